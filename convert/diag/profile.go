package diag

// Codes of output profiles.
var (
	ProfileMalformed = row("PROFILE_MALFORMED", Error, "a profile file is not JSON, or not one object",
		"the profile is refused", "mend the file at the position given")
	ProfileKeyUnknown = row("PROFILE_KEY_UNKNOWN", Error, "a profile has a member that profiles do not have",
		"the profile is refused", "remove the member or correct its spelling")
	ProfileKeyTwice = row("PROFILE_KEY_TWICE", Error, "a profile gives a member twice",
		"the profile is refused", "keep one of them")
	ProfileKeyMissing = row("PROFILE_KEY_MISSING", Error, "a profile lacks a member",
		"the profile is refused", "add it; a built-in profile shows all members")
	ProfileValueWrong = row("PROFILE_VALUE_WRONG", Error, "a member of a profile has a value of the wrong kind or out of range",
		"the profile is refused", "give a value within the range that the message names")
)
