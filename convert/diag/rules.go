package diag

// Codes of a rule file. Each refuses the rules: nothing is converted by half a file.
var (
	RuleYAMLMalformed = row("RULE_YAML_MALFORMED", Error, "a rule file is not well-formed YAML, or not one mapping",
		"the rules are refused", "mend the file at the position; a tab or a missing quote is the usual cause")
	RuleVersionUnknown = row("RULE_VERSION_UNKNOWN", Error, "a rule file does not say that it is written in a version of the rule language that this planfold reads",
		"the rules are refused", "write \"planfold: 1\" at the top")
	RuleKeyUnknown = row("RULE_KEY_UNKNOWN", Error, "a rule file has a key that means nothing at its place",
		"the rules are refused", "correct the key; the message names the nearest one that is known there")
	RuleKeyTwice = row("RULE_KEY_TWICE", Error, "a mapping of a rule file has one key twice",
		"the rules are refused", "keep one of them")
	RuleKeyMissing = row("RULE_KEY_MISSING", Error, "a rule file leaves out a key that is needed at its place",
		"the rules are refused", "add the key")
	RuleValueInvalid = row("RULE_VALUE_INVALID", Error, "a value of a rule file is of another kind than its key takes, or none of those allowed",
		"the rules are refused", "write one of the values that the message names")
	RuleMatchInvalid = row("RULE_MATCH_INVALID", Error, "a record pattern cannot be used: it is no path, or it asks for more than the names and attributes of an element and of those around it",
		"the rules are refused", "match by names and attributes; put what needs the content into \"where\"")
	RulePathInvalid = row("RULE_PATH_INVALID", Error, "an XPath cannot be used: it does not compile, or it leaves its record",
		"the rules are refused", "correct it at the column; reach other records by a join")
	RulePatternInvalid = row("RULE_PATTERN_INVALID", Error, "a pattern is no RE2 regular expression, or has not the group that is asked for",
		"the rules are refused", "correct the pattern; RE2 has no look-around and no back-references")
	RuleConditionInvalid = row("RULE_CONDITION_INVALID", Error, "a condition does not compile or is not a yes or no",
		"the rules are refused", "correct it at the column; the fields are listed in the reference of the rule language")
	RuleJoinUnknown = row("RULE_JOIN_UNKNOWN", Error, "a value is taken through a join that the rules do not define",
		"the rules are refused", "define it under \"joins\", or correct the name")
	RuleNameTwice = row("RULE_NAME_TWICE", Error, "two rules of one file have the same name",
		"the rules are refused", "rename one: a name says which rule fired")
	RuleActionUnsuited = row("RULE_ACTION_UNSUITED", Error, "a rule does something to a kind of object that it cannot be done to",
		"the rules are refused", "move the action to a rule for a kind that the message names")
	RuleTableMissing = row("RULE_TABLE_MISSING", Error, "the file of a table is not there, cannot be read, or lies outside the folder of the rule file that names it",
		"the rules are refused", "put the file beside the rule file, or correct the name")
	RuleTableMalformed = row("RULE_TABLE_MALFORMED", Error, "a table is no CSV in UTF-8 with a name for each column and a cell for each name in every row",
		"the rules are refused", "mend the table at the position; save it as CSV in UTF-8")
	RuleTableKey = row("RULE_TABLE_KEY", Error, "a table lacks its key column, or a row has no key, or one that another row has",
		"the rules are refused", "give each row a key of its own; say under \"tables\" which column it is")
	RuleTableUnknown = row("RULE_TABLE_UNKNOWN", Error, "an action takes a table that the rules do not define",
		"the rules are refused", "define it under \"tables\", or correct the name")
	RuleHazardIncomplete = row("RULE_HAZARD_INCOMPLETE", Error, "a table of hazard statements lacks a column, or a row has no signal word or names no hazard",
		"the rules are refused", "let whoever answers for the statements complete the table; no words are put in their place")
	RuleTemplateInvalid = row("RULE_TEMPLATE_INVALID", Error, "an expression inside a text does not compile, is not closed, or gives neither a text nor a whole number",
		"the rules are refused", "correct it at the column; write $${ for the characters ${")
	RuleLimit = row("RULE_LIMIT", Error, "a rule file is larger or deeper than any that people write",
		"the rules are refused", "split the file; look for an alias that repeats itself")
)
