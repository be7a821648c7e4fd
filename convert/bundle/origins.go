package bundle

import (
	"bytes"
	"cmp"
	"encoding/binary"
	"io"
	"maps"
	"reflect"
	"slices"
	"strconv"

	"planfold/convert/step"
	"planfold/schema"
)

// OriginsWriter collects the origins of an edition's values and writes origin.json.
// There are some fifty values a step, so that each takes a few bytes here.
type OriginsWriter struct {
	file     string
	rules    table
	pointers table
	steps    map[string][]byte // by folder: of each value its pointer, line, column and rule, as varints
}

// table gives each text a number.
type table struct {
	texts []string
	index map[string]int
}

func (t *table) number(text []byte) int {
	if i, ok := t.index[string(text)]; ok {
		return i
	}
	if t.index == nil {
		t.index = map[string]int{}
	}
	s := string(text)
	t.index[s] = len(t.texts)
	t.texts = append(t.texts, s)
	return len(t.texts) - 1
}

// sorted is the table's texts in order, and the place of each in them.
func (t *table) sorted() (texts []string, place []int) {
	texts, place = slices.Sorted(slices.Values(t.texts)), make([]int, len(t.texts))
	for i, s := range t.texts {
		place[i], _ = slices.BinarySearch(texts, s)
	}
	return texts, place
}

// NewOrigins begins the origins of a plan's edition.
func NewOrigins(file string) *OriginsWriter {
	return &OriginsWriter{file: file, steps: map[string][]byte{}}
}

// Add records the origins of a step's values.
func (o *OriginsWriter) Add(folder string, s *Step) {
	var all []byte
	walkTexts(reflect.ValueOf(s).Elem(), nil, func(pointer []byte, t *step.Text) {
		if t.Origin == (step.Origin{}) {
			return
		}
		for _, n := range [...]int{o.pointers.number(pointer), t.Origin.Line, t.Origin.Column, o.rules.number([]byte(t.Origin.Rule))} {
			all = binary.AppendUvarint(all, uint64(n))
		}
	})
	o.steps[folder] = slices.Clip(all)
}

// source is the origin of one value, its pointer and rule as places in order.
type source struct{ pointer, line, column, rule int }

// Write writes origin.json, and returns what its schema says of it.
// Rules and pointers are in order, so that nothing depends on which step was recorded
// first.
func (o *OriginsWriter) Write(w io.Writer) ([]Problem, error) {
	rules, rulePlace := o.rules.sorted()
	pointers, pointerPlace := o.pointers.sorted()
	for i, p := range pointers {
		pointers[i] = string(quoted(p))
	}
	text, err := schema.Encode(&Origins{Format: "planfold/origin/1", File: o.file, Rules: append([]string{}, rules...), Steps: map[string]map[string]Source{}})
	if err != nil {
		return nil, err
	}
	out := schema.NewWriter(w)
	before, rest := schema.Empty(text, "steps")
	out.Text(before)
	out.List(list("origin", "steps", "{}"), indent, func(yield func([]byte)) {
		var entry []byte
		for _, folder := range slices.Sorted(maps.Keys(o.steps)) {
			entry = append(append(entry[:0], quoted(folder)...), ": {"...)
			list := sources(o.steps[folder], pointerPlace, rulePlace)
			for i, s := range list {
				entry = s.append(entry, pointers)
				if i < len(list)-1 {
					entry = append(entry, ',')
				}
			}
			if len(list) > 0 {
				entry = append(entry, "\n    "...)
			}
			entry = append(entry, '}')
			yield(entry)
		}
	})
	out.Text(rest)
	return written(out, "origin", text)
}

// sources are the origins of a step, in the order of their pointers.
func sources(packed []byte, pointerPlace, rulePlace []int) []source {
	var out []source
	for len(packed) > 0 {
		var n [4]int
		for i := range n {
			v, size := binary.Uvarint(packed)
			n[i], packed = int(v), packed[size:]
		}
		out = append(out, source{pointerPlace[n[0]], n[1], n[2], rulePlace[n[3]]})
	}
	slices.SortFunc(out, func(a, b source) int { return cmp.Compare(a.pointer, b.pointer) })
	return out
}

// append writes pointer and line:column:rule on a line of their own.
func (s source) append(to []byte, pointers []string) []byte {
	to = append(append(to, "\n      "...), pointers[s.pointer]...)
	to = strconv.AppendInt(append(to, ": \""...), int64(s.line), 10)
	to = strconv.AppendInt(append(to, ':'), int64(s.column), 10)
	to = strconv.AppendInt(append(to, ':'), int64(s.rule), 10)
	return append(to, '"')
}

// quoted is a text as JSON.
func quoted(s string) []byte {
	b, err := schema.Encode(s)
	if err != nil {
		panic("bundle: internal error: " + err.Error())
	}
	return bytes.TrimSuffix(b, []byte{'\n'})
}
