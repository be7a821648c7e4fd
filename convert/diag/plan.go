package diag

// Codes of the reading of a plan export, before it has a meaning.
var (
	PlanMalformed = row("PLAN_MALFORMED", Error, "the export is not well-formed XML with namespaces",
		"the plan is refused from there on", "export the plan again; any XML checker names the same line")
	PlanEntity = row("PLAN_ENTITY", Error, "the export declares or uses entities of its own",
		"the plan is refused: expanding them could take any amount of memory, or read other files",
		"export the plan without a document type declaration, with the characters themselves")
	PlanEncoding = row("PLAN_ENCODING", Error, "the export is not in the character encoding it says, or in one that is not read",
		"the plan is refused from there on", "export the plan as UTF-8, UTF-16, ISO-8859-1, ISO-8859-15, windows-1252 or US-ASCII, and say which")
	PlanLimit = row("PLAN_LIMIT", Error, "the export exceeds a limit of the reader (depth, attributes, length of a name, a tag, a text or a record)",
		"the plan is refused from there on", "split what is too large; the message names the limit")
)
