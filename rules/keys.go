package rules

// The keys of the rule language that are neither fields nor actions. Compiling
// takes their names from these tables; the reference and the JSON Schema of the
// language are written from the same rows. What a key takes is said as in the table
// of actions.

type key struct{ name, takes, says string }

type keys []key

func (ks keys) names() []string {
	var out []string
	for _, k := range ks {
		out = append(out, k.name)
	}
	return out
}

// fileKeys stand at the top of a rule file. One without takes has a table of its
// own below, or the field tables.
var fileKeys = keys{
	{"planfold", "1", "version of the rule language; each file begins with it"},
	{"name", "text", "what the rules are called, in messages and bundles"},
	{"frame", "", "how the export writes lengths, axes and matrices"},
	{"decimalComma", "true or false", "true: quantities and limits are written \"2,5\"; a point is then refused"},
	{"namespaces", "{…: text}", "prefixes that paths use, each with its namespace; a name without prefix is in none"},
	{"joins", "", "records of anywhere in the plan that fields find by a key, by name"},
	{"noHazards", "record pattern", "elements whose own attributes and text are no hazard statements, though they begin with a signal word"},
	{"read", "", "which elements of the export are records, and where their fields are found"},
	{"revisionOrder", "issued or text", "which revision is newer: the one issued last, or the later by its text; absent: unknown"},
	{"language", "language tag", "language of texts for which nothing says one (BCP 47)"},
	{"units", "{…: text}", "how the plan writes units, each with its code of UN/ECE Recommendation 20"},
	{"parameters", "", "values for conditions and texts, by name: a text, a number, true or false, or a list of these; a later file overrides them name by name"},
	{"lists", "", "lists of values of one type, by name"},
	{"tables", "", "CSV files beside the rule file, by name"},
	{"rules", "", "assigning rules, in their order: what is done to what was read"},
	{"expectations", "", "what must be true of plans once they are steps; only check looks"},
}

var tableKeys = keys{
	{"file", "text", "path of the CSV file, in the folder of the rule file that names it"},
	{"key", "text", "the column by which rows are found"},
}

const lengthUnits = "m or dm or cm or mm or um or in or ft"

var frameKeys = keys{
	{"unit", lengthUnits, "unit of placements, cameras and distances; mm if absent"},
	{"up", "X or Y or Z", "the axis that points up; Z if absent"},
	{"matrix", "row or column", "order of a placement's numbers: row has the translation last in each row"},
	{"geometry", "", "unit of each geometry format that does not say its own; a format without one is refused where a file of it is met"},
}

var geometryKeys = keys{
	{"stl", lengthUnits, "unit of STL files"},
	{"obj", lengthUnits, "unit of OBJ files"},
}

var joinKeys = keys{
	{"match", "record pattern", "which elements the join finds"},
	{"key", "path", "from such an element, what it is found by"},
}

var readKeys = keys{
	{"plan", "", "the plan itself, mostly the root element"},
	{"items", "", "what part numbers name: title, geometry, documents"},
	{"occurrences", "", "placed instances of items in the product structure"},
	{"views", "", "saved views: camera, visible and displaced occurrences"},
	{"operations", "", "units of routed work, with their steps; may nest"},
}

// recordKeys belong to every record besides its fields; a record that is streamed
// has match, one inside another has each.
var recordKeys = keys{
	{"match", "record pattern", "which elements are such records, decided at the start tag: a path from the document, such as //operation[@type='work']"},
	{"each", "path", "which elements inside the record around it are such records"},
	{"where", "path", "not true at the element: it is no such record"},
	{"join", "text", "the join whose records are such records, where they stand elsewhere: each leads to what refers to them"},
	{"by", "path", "from what each leads to, the key by which the join finds the record, or several with white space between"},
}

// recordKeysBy are those of a record that is found by "match" or "each".
func recordKeysBy(by string) []string {
	if by == "match" {
		return []string{by, "where"}
	}
	return []string{by, "where", "join", "by"}
}

// valueKeys say where the value of a field is found.
var valueKeys = keys{
	{"path", "path", "XPath 1.0 from the record's element; it cannot leave the record, but for names and attributes around it"},
	{"up", "whole number", "how many elements above the record's own the path begins; not beyond the streamed record"},
	{"where", "path", "XPath from where the path begins, so with up or here from there; not true: this gives nothing"},
	{"pattern", "pattern", "RE2; the group (the first, if there is one) of the first match is the value, in a list that of every match; no match: this gives nothing"},
	{"group", "whole number from 0", "which group of the pattern is the value; 0 is the whole match"},
	{"rest", "notes", "`notes`: what the group leaves of the text is kept as a note of the record"},
	{"default", "text", "the value when the path gives nothing"},
	{"lang", "path", "from what the path found, the language of that text (BCP 47); else its xml:lang counts, else the rule file's language"},
	{"languages", "{…: path}", "a path for each language, by its tag, instead of a path"},
	{"value", "text", "a constant, instead of a path; its place, as that of a default, is the record it is set for"},
	{"file", "pattern", "RE2 on the plan file's name, instead of a path"},
	{"join", "", "the join in whose records the path is followed: those whose key equals the value of by; of a list of joins each is followed from the records of the one before"},
	{"by", "", "from the record's element, the key by which the join finds its records, or several with white space between; of a list, one for each join"},
	{"first", "true or false", "true: of several records of the join only the first counts; else a value that they give differently is refused, and so is a quantity that several give"},
	{"here", "true or false", "true, in a record with a join: the path begins at what refers to the record, not in it"},
	{"plus", "", "of a decimal: a path or a value that is added to it, digit by digit; finding none, or none that is a number, is reported as such a value is"},
	{"html", "true or false", "true: the text is HTML written as text: its markup is escaped, or stands in CDATA"},
}

// valueSources are the value keys of which a value has exactly one.
var valueSources = []string{"path", "languages", "value", "file"}

var ruleKeys = keys{
	{"name", "text", "what the rule is called: origin of what it sets; no other rule has it"},
	{"for", "", "the kind of object that the rule is applied to"},
	{"when", "condition", "a CEL condition; the rule fires where it is true; absent: always"},
	{"set", "", "what is done where the rule fires: actions with their arguments"},
	{"stop", "true or false", "true: the last rule for its object, where it fires"},
}

var expectationKeys = keys{
	{"name", "text", "what is expected, in words for people; no other expectation has it"},
	{"plan", "text", "id of the plan that it is for; absent: every plan"},
	{"for", "plan or item or operation or step or part", "the kind of object that it is held against; absent: plan"},
	{"when", "condition", "a CEL condition; where it is false, nothing is expected; absent: of every such object"},
	{"expect", "condition", "a CEL condition that must be true"},
}
