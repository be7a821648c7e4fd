package demo

// words is one text in both of the demo's languages.
type words struct{ en, de string }

// The parts of a plan, as they are written to its file.

type item struct {
	id, revision, class, unit, material string
	find                                string // number in the parts list
	title                               words
	geometry                            string // file; empty: none
	documents                           []document
	notes                               []words
}

type document struct {
	file  string
	title words
}

type hazard struct {
	id                                  string
	signal, hazard, consequence, avoids words
}

type part struct {
	item               string
	quantity, unit     string // quantity empty: one for each occurrence
	occurrences        []string
	designators        []string
	capture, shelfLife string
	purpose            words
	substitute         string
}

type tool struct {
	id    string
	title words
}

type characteristic struct {
	id, nominal, lower, upper, unit, point string
	title                                  words
}

type evidence struct {
	kind  string
	title words
}

type operation struct {
	id, number, builds, quantity        string
	workCentre, qualification, duration string
	title                               words
	after, equipment                    []string
	notes                               []words
	steps                               []step
	nested                              []operation
}

type step struct {
	id, number      string
	title, text     words // the text may hold markup
	after           []string
	view            *view
	hazards         []hazard
	parts           []part
	tools           []tool
	tighten         []string
	characteristics []characteristic
	signOffs        []string
	evidence        []evidence
	attachments     []document
}
