package rules

import (
	"slices"

	"planfold/convert/diag"
	"planfold/convert/step"
)

// fieldType says what a field of a record takes.
type fieldType int

const (
	text      fieldType = iota // one text: trimmed, runs of white space as one space
	decimal                    // one text that is a decimal number
	texts                      // one text in each language, with markup
	list                       // every text found
	notes                      // every text found, each in its languages
	placement                  // 12 or 16 numbers
	position                   // three numbers, a length
	direction                  // three numbers
	degrees                    // one number, an angle
	records                    // records of another kind, found inside
)

var fieldTypes = [...]string{"text", "decimal", "texts", "list of text", "list of texts", "placement", "position", "direction", "degrees", "records"}

func (t fieldType) String() string { return fieldTypes[t] }

// field is one row of a kind's table: a key of the rule file, what it takes, and
// where that goes in the step model. Reading, conditions, the trace and the
// reference all follow the one table.
type field struct {
	name    string
	typ     fieldType
	at      func(record any) any           // pointer to where it goes, for the types that have one place
	invalid *diag.Code                     // raised when the value is refused
	aside   bool                           // a text may state it besides other things, or not at all
	refers  bool                           // it names a record, which a join must find
	allowed []string                       // the only texts that it can have; nil: any
	lasting bool                           // a duration; what is none is kept, and told
	of      *kind                          // of records
	extend  func(record, entry any, n int) // adds one of n entries that are yet to come
	entries func(record any) []any
}

// kind is a kind of record.
type kind struct {
	name   string
	fields []*field
	make   func() any
	// needed are the fields that rules must take. A record that does not get one is
	// left out, with the code missing; without a code it is kept.
	needed  []string
	missing *diag.Code
	// check looks at a record when its fields are set, reports what is wrong, and
	// says whether to keep it.
	check func(m *mapping, record any, at step.Origin) bool
}

// said is the kind in a message, where its key is no word.
func (k *kind) said() string { return said(k.name) }

func said(kind string) string {
	switch kind {
	case "signOff":
		return "sign-off"
	case "displaced":
		return "displaced occurrence"
	}
	return kind
}

func (k *kind) field(name string) *field {
	for _, f := range k.fields {
		if f.name == name {
			return f
		}
	}
	return nil
}

func (k *kind) names() []string {
	var names []string
	for _, f := range k.fields {
		names = append(names, f.name)
	}
	return names
}

// put makes a row for a field with one place.
func put[T, V any](name string, typ fieldType, at func(*T) *V) *field {
	return &field{name: name, typ: typ, at: func(r any) any { return at(r.(*T)) }}
}

// within makes a row for a field that holds records of another kind.
func within[T, V any](name string, of *kind, at func(*T) *[]V) *field {
	return &field{
		name: name, typ: records, of: of,
		extend: func(r, e any, n int) { s := at(r.(*T)); *s = append(slices.Grow(*s, n), *e.(*V)) },
		entries: func(r any) []any {
			s := *at(r.(*T))
			out := make([]any, len(s))
			for i := range s {
				out[i] = &s[i]
			}
			return out
		},
	}
}

// or says which code a refused value raises.
func (f *field) or(c *diag.Code) *field {
	f.invalid = c
	return f
}

// oneOf lists the values a field can have.
func (f *field) oneOf(allowed ...string) *field {
	f.allowed = allowed
	return f
}

func fresh[T any]() any { return new(T) }

// duration marks a text that says how long something lasts.
func (f *field) duration() *field {
	f.lasting = true
	return f
}

// stated marks what a text may state besides other things: a pattern that finds
// nothing there has not missed it.
func (f *field) stated() *field {
	f.aside = true
	return f
}

// reference marks a field that names another record.
func (f *field) reference() *field {
	f.refers = true
	return f
}
