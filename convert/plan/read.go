package plan

import (
	"errors"
	"fmt"
	"io"
	"strings"

	"planfold/convert/diag"
)

// ErrNoRecord is returned by the emit of Read for an element that is no record after
// all. Inside another record it stays where it stands; else it is dropped.
var ErrNoRecord = errors.New("no record")

// Read reads an export as a stream. It asks isRecord at each start tag, with the
// element's name, attributes and Parent (no content yet), and hands each record to
// emit when it ends, so that a record within a record comes before the one around
// it. An element handed over is the caller's to keep.
//
// The first fault of the export ends the reading: it is returned with its line and
// column, and nothing is emitted after it. An error of emit, or of r, ends it too
// and is returned as err. A plan may be accepted only when both are empty: records
// before a fault have been emitted.
func Read(r io.Reader, name string, isRecord func(*Element) bool, emit func(*Element) error) (diag.List, error) {
	d := &reader{name: name, isRecord: isRecord, emit: emit, names: map[string]string{}, spaces: newSpaces()}
	wrong, err := d.read(r)
	if err != nil {
		return nil, err
	}
	if wrong == nil {
		return nil, nil
	}
	p := diag.Position{File: name, Line: d.at.line, Column: d.at.column}
	return diag.List{wrong.code.At(p, "%s", wrong.message)}, nil
}

// reader holds the elements that are open.
type reader struct {
	name     string
	isRecord func(*Element) bool
	emit     func(*Element) error

	source *source
	at     place // of the token; when a method returns a fault, of the fault
	tag    startTag
	spaces spaces
	names  map[string]string // names seen, so that equal ones share memory

	inner    *Element // the innermost open element
	open     []tag
	records  []record
	sequence int
	hadRoot  bool
	hadType  bool

	text      []byte // collected within a record, across comments and CDATA sections
	textStart place
	textBlank bool // nothing but white space so far
}

// tag is an open start tag.
type tag struct {
	name     string // as written
	bindings int    // of namespaces, to undo
	line     int
}

// record is an open record.
type record struct {
	element *Element
	cost    int
}

func (r *reader) read(in io.Reader) (*fault, error) {
	var wrong *fault
	if r.source, r.at, wrong = newSource(in); wrong != nil {
		return wrong, nil
	}
	for {
		if len(r.source.token()) == 0 {
			if err := r.source.fill(); err == io.EOF {
				r.endText()
				return r.end(), nil
			} else if err != nil {
				return r.explain(err, "")
			}
		}
		if wrong, err := r.scan(); wrong != nil || err != nil {
			return wrong, err
		}
	}
}

// start opens an element.
func (r *reader) start(t *startTag) *fault {
	switch {
	case r.hadRoot && len(r.open) == 0:
		return malformed("a second root element <%s>; a document has one", shown(t.name))
	case len(r.open) == maxDepth:
		return limit("elements are nested more than %d deep", maxDepth)
	}
	at := r.at
	e := &Element{Parent: r.inner, Line: at.line, Column: at.column, Sequence: r.sequence}
	bindings, wrong := r.resolve(e, t)
	if wrong != nil {
		return wrong
	}
	r.at = at
	if wrong = r.hang(e); wrong != nil {
		return wrong
	}
	r.open = append(r.open, tag{r.intern(t.name), bindings, at.line})
	r.inner = e
	r.sequence++
	r.hadRoot = true
	return nil
}

// hang puts an element into the record it belongs to, or opens a record with it.
func (r *reader) hang(e *Element) *fault {
	parent := r.inner
	isRecord := r.isRecord(e)
	if len(r.records) > 0 {
		child := e
		if isRecord {
			child = &Element{Name: e.Name, Parent: parent, Line: e.Line, Column: e.Column, Sequence: e.Sequence, Cut: true}
		}
		parent.Content = append(parent.Content, Node{Element: child, Line: e.Line, Column: e.Column})
		if wrong := r.spend(cost(child)); wrong != nil {
			return wrong
		}
	}
	if isRecord {
		r.records = append(r.records, record{e, cost(e)})
	}
	return nil
}

func cost(e *Element) int {
	n := elementCost + len(e.Attributes)*attributeCost
	for _, a := range e.Attributes {
		n += len(a.Value)
	}
	return n
}

// spend counts what the innermost record takes in memory.
func (r *reader) spend(n int) *fault {
	in := &r.records[len(r.records)-1]
	if in.cost += n; in.cost > maxRecord {
		return limit("the record <%s> of line %d takes more than %d MiB; let rules cut smaller records out of it", in.element.Name.Local, in.element.Line, maxRecord>>20)
	}
	return nil
}

// close ends the innermost element, and hands it over if it is a record.
func (r *reader) close(name []byte) (*fault, error) {
	if len(r.open) == 0 {
		return malformed("</%s> ends an element that is not open", shown(name)), nil
	}
	t := r.open[len(r.open)-1]
	if t.name != string(name) {
		return malformed("</%s> where </%s> is due (line %d)", shown(name), shown([]byte(t.name)), t.line), nil
	}
	r.open = r.open[:len(r.open)-1]
	r.spaces.undo(t.bindings)
	e := r.inner
	r.inner = e.Parent
	if n := len(r.records); n > 0 && r.records[n-1].element == e {
		cost := r.records[n-1].cost
		r.records = r.records[:n-1]
		if err := r.emit(e); err != ErrNoRecord {
			return nil, err
		}
		return r.putBack(e, cost), nil
	}
	return nil, nil
}

// putBack leaves an element that is no record in the record around it.
func (r *reader) putBack(e *Element, cost int) *fault {
	if len(r.records) == 0 {
		return nil
	}
	around := e.Parent.Content
	around[len(around)-1].Element = e
	return r.spend(cost)
}

// end is reached where the file ends between tokens.
func (r *reader) end() *fault {
	switch {
	case len(r.open) > 0:
		t := r.open[len(r.open)-1]
		return malformed("the file ends before </%s> (line %d)", shown([]byte(t.name)), t.line)
	case !r.hadRoot:
		return malformed("there is no root element")
	}
	return nil
}

// explain turns an end of the source inside a token into the fault that it is, or
// returns the error of the input.
func (r *reader) explain(err error, inside string) (*fault, error) {
	s := r.source
	switch err {
	case errStop:
		if s.stopped.code != diag.PlanLimit {
			r.at = r.at.after(s.token())
		}
		return s.stopped, nil
	case io.EOF:
		r.at = r.at.after(s.token())
		return malformed("the file ends inside %s", inside), nil
	}
	return nil, fmt.Errorf("read %s: %w", r.name, err)
}

func malformed(format string, args ...any) *fault {
	return &fault{diag.PlanMalformed, fmt.Sprintf(format, args...)}
}

func limit(format string, args ...any) *fault {
	return &fault{diag.PlanLimit, fmt.Sprintf(format, args...)}
}

// shown is a name as it stands in the export, cut short when it is absurd.
func shown(name []byte) string {
	if len(name) > 80 {
		return strings.ToValidUTF8(string(name[:80]), "") + "…"
	}
	return string(name)
}
