package diag

// Codes of what check finds in rules that compile. Those of severity info are
// normal for a dialect's file that many sites share.
var (
	RuleUnreachable = row("RULE_UNREACHABLE", Warning, "a rule can never fire: its condition is false whatever the plan has, or a rule before it always stops",
		"nothing; the rule does nothing", "correct the condition, move the rule up, or remove it")
	RuleReplaced = row("RULE_REPLACED", Warning, "a later rule without a condition always replaces what a rule sets",
		"nothing; the later rule counts", "give the later rule a condition, change their order, or remove one")
	RuleOverridden = row("RULE_OVERRIDDEN", Warning, "a rule fired in the plans given, and later rules replaced all that it set",
		"nothing; the later rules count", "look whether the order of the rules is as meant")
	RuleWithoutOccurrences = row("RULE_WITHOUT_OCCURRENCES", Warning, "a rule moves, aligns or shows occurrences, and the rules read none",
		"nothing; the rule does nothing", "read occurrences and the plan's product (read.occurrences, read.plan.product, and the occurrences of parts)")
	RuleUnused = row("RULE_UNUSED", Warning, "rules define a join, a parameter, a list or a table that nothing uses",
		"nothing", "use it, or remove it; a misspelt use is a fault of its own")
	RuleVitalUnsought = row("RULE_VITAL_UNSOUGHT", Warning, "rules read parts, hazard statements, characteristics or steps, and do not look for what misleads when it is missing: an item, a quantity, a signal word, a hazard, a limit, a text",
		"nothing; that field is empty in all of them", "add a key that the message names; if no plan says it, nothing: mind that the floor then sees it nowhere")
	RuleNameAbsent = row("RULE_NAME_ABSENT", Warning, "a condition names an id, a class or the like that no plan given has",
		"nothing; that comparison is never true for these plans", "correct the name, or give the plans that have it")
	RuleIdle = row("RULE_IDLE", Info, "a rule fired for nothing in the plans given",
		"nothing", "give a plan that it is meant for, or correct its condition")
	RuleReadsNothing = row("RULE_READS_NOTHING", Info, "reading rules found nothing in the plans given",
		"nothing; those fields are empty", "look whether the plans have it under another path")
	RuleReadsNoVital = row("RULE_READS_NO_VITAL", Warning, "of the plans given, no part, hazard, characteristic or step gets a value without which it misleads (an item, a quantity, a signal word, a limit, a text), or none of such records, sign-offs or tightening is read, or one of the paths to it leads nowhere, though the rules look for it",
		"nothing; that field is empty, or those records are not there", "correct the path; look in the plans where the value stands")

	RuleExpectationFailed = row("RULE_EXPECTATION_FAILED", Error, "a plan, as the rules turn it into steps, is not as an expectation says",
		"nothing; check ends with status 4", "correct the plan, the rules that the message names, or the expectation")
	RuleExpectationIdle = row("RULE_EXPECTATION_IDLE", Warning, "an expectation was held against nothing in the plans given",
		"nothing; it neither holds nor fails", "correct its \"for\" and \"when\", or give the plans that it is meant for")
	RuleExpectationAbsent = row("RULE_EXPECTATION_ABSENT", Info, "an expectation is for a plan that is not among those given",
		"nothing; it neither holds nor fails", "give that plan, or correct its id")
)
