package plan

import (
	"errors"
	"fmt"
	"io"
	"strings"

	"planfold/convert/diag"
)

// ErrNoRecord is returned by emit for an element with content that is no record
// after all. Inside another record it stays where it stands; else it is dropped.
var ErrNoRecord = errors.New("no record")

// Take says what becomes of an element.
type Take int

const (
	Inside Take = iota // it belongs to the record around it, if there is one
	Aside              // like Inside, but the record does without it and its content
	Start              // a record of which the start tag is enough: handed over at once, without content
	Whole              // a record with its content, handed over when it ends
)

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
	d := newReader(name, emit)
	d.memory.elements.keep, d.memory.attributes.keep, d.memory.nodes.keep = true, true, true
	d.pick = func(e *Element) Take {
		if isRecord(e) {
			return Whole
		}
		return Inside
	}
	return d.readAll(r)
}

// Pick is Read for plans far larger than memory: pick says what to do with each
// element, and an element handed over, like all that it leads to, may be used until
// emit returns and not after, since its memory then serves the next one. Its
// strings may be kept.
func Pick(r io.Reader, name string, pick func(*Element) Take, emit func(*Element) error) (diag.List, error) {
	d := newReader(name, emit)
	d.pick = pick
	return d.readAll(r)
}

// PickBeside is Pick that hands to beside what stands outside of all records, but for what
// is in an element that pick puts aside: the values of attributes, and texts that are not
// blank, each with its element and where it begins.
func PickBeside(r io.Reader, name string, pick func(*Element) Take, emit func(*Element) error, beside func(e *Element, text string, line, column int)) (diag.List, error) {
	d := newReader(name, emit)
	d.pick, d.beside = pick, beside
	return d.readAll(r)
}

func newReader(name string, emit func(*Element) error) *reader {
	return &reader{name: name, emit: emit, spaces: newSpaces()}
}

func (r *reader) readAll(in io.Reader) (diag.List, error) {
	wrong, err := r.read(in)
	if err != nil {
		return nil, err
	}
	if wrong == nil {
		return nil, nil
	}
	p := diag.Position{File: r.name, Line: r.at.line, Column: r.at.column}
	return diag.List{wrong.code.At(p, "%s", wrong.message)}, nil
}

// reader holds the elements that are open.
type reader struct {
	name string
	pick func(*Element) Take
	emit func(*Element) error

	beside func(e *Element, text string, line, column int) // nil: no one asks

	source *source
	at     place // of the token; when a method returns a fault, of the fault
	tag    startTag
	spaces spaces
	names  names
	memory memory

	inner    *Element // the innermost open element
	open     []tag
	records  []record
	nodes    []Node // content so far of the open elements that are built, outermost first
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
	take     Take
	built    bool // its content is wanted: it is a whole record or stands in one
	beside   bool // it and all around it are no record, nor put aside
	nodes    int  // where its content starts
	before   mark // of the memory, before the element
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
func (r *reader) start(t *startTag) (*fault, error) {
	switch {
	case r.hadRoot && len(r.open) == 0:
		return malformed("a second root element <%s>; a document has one", shown(t.name)), nil
	case len(r.open) == maxDepth:
		return limit("elements are nested more than %d deep", maxDepth), nil
	}
	at := r.at
	o := tag{before: r.memory.mark(), line: at.line, nodes: len(r.nodes)}
	e := &r.memory.elements.take(1)[0]
	*e = Element{Parent: r.inner, Line: at.line, Column: at.column, Sequence: r.sequence}
	var wrong *fault
	if o.bindings, wrong = r.resolve(e, t); wrong != nil {
		return wrong, nil
	}
	r.at = at
	if o.name = e.Name.Local; t.prefix > 0 {
		o.name = r.names.of(t.name)
	}
	o.take = r.pick(e)
	if wrong := r.hang(e, &o); wrong != nil {
		return wrong, nil
	}
	o.beside = r.beside != nil && o.take == Inside && (len(r.open) == 0 || r.open[len(r.open)-1].beside)
	if o.beside {
		for _, a := range e.Attributes {
			r.beside(e, a.Value, a.Line, a.Column)
		}
	}
	r.open = append(r.open, o)
	r.inner = e
	r.sequence++
	r.hadRoot = true
	if o.take == Start {
		return nil, r.emit(e)
	}
	return nil, nil
}

// hang counts an element in the record it belongs to, or opens a record with it.
func (r *reader) hang(e *Element, o *tag) *fault {
	o.built = o.take == Whole
	if r.building() && o.take != Aside {
		n := elementCost
		if o.take == Inside {
			o.built = true
			n = cost(e)
		}
		if wrong := r.spend(n); wrong != nil {
			return wrong
		}
	}
	if o.take == Whole {
		r.records = append(r.records, record{e, cost(e)})
	}
	return nil
}

// building reports whether the content of the innermost element is wanted.
func (r *reader) building() bool { return len(r.open) > 0 && r.open[len(r.open)-1].built }

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
	if content := r.nodes[t.nodes:]; len(content) > 0 {
		e.Content = r.memory.nodes.take(len(content))
		copy(e.Content, content)
		r.nodes = r.nodes[:t.nodes]
	}
	if t.take == Whole {
		cost := r.records[len(r.records)-1].cost
		r.records = r.records[:len(r.records)-1]
		switch err := r.emit(e); {
		case err == ErrNoRecord && r.building():
			t.take = Inside
			if wrong := r.spend(cost); wrong != nil {
				return wrong, nil
			}
		case err == ErrNoRecord:
			t.take = Aside
		case err != nil:
			return nil, err
		}
	}
	r.leave(e, &t)
	return nil, nil
}

// leave puts an element that has ended into the content around it, or what is left
// of it there, and frees its memory unless it is a part of a record.
func (r *reader) leave(e *Element, t *tag) {
	if t.take == Inside && t.built {
		r.nodes = append(r.nodes, Node{Element: e, Line: e.Line, Column: e.Column})
		return
	}
	left := Element{Name: e.Name, Parent: e.Parent, Line: e.Line, Column: e.Column, Sequence: e.Sequence, Cut: true}
	r.memory.release(t.before)
	if r.building() && (t.take == Start || t.take == Whole) {
		cut := &r.memory.elements.take(1)[0]
		*cut = left
		r.nodes = append(r.nodes, Node{Element: cut, Line: left.Line, Column: left.Column})
	}
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
