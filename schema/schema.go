// Package schema holds the published shapes of every document that planfold
// reads or writes: JSON Schemas (draft-07), and the XML Schema of the neutral
// plan dialect. They are embedded, and every JSON document is checked against
// its schema as bytes before it is issued. It also says how JSON is written.
package schema

import (
	"bytes"
	"embed"
	"encoding/json"
	"fmt"
	"strings"
	"sync"

	"github.com/xeipuuv/gojsonschema"
)

//go:embed *.json
var files embed.FS

// Problem is one place where a document does not fit its schema.
type Problem struct {
	Where   string // path of the member, "parts.0.quantity"
	Message string
}

func (p Problem) String() string { return p.Where + ": " + p.Message }

var compiled sync.Map // name → *gojsonschema.Schema, filled as needed

// Check holds the document against the named schema ("step", "bundle", …) and
// lists every problem; none means that it fits. It panics on an unknown name.
func Check(name string, doc []byte) []Problem {
	s, err := load(name)
	if err != nil {
		panic("schema: internal error: " + err.Error())
	}
	result, err := s.Validate(gojsonschema.NewBytesLoader(doc))
	if err != nil {
		return []Problem{{"(document)", "not JSON: " + err.Error()}}
	}
	var out []Problem
	for _, e := range result.Errors() {
		out = append(out, Problem{e.Field(), e.Description()})
	}
	return out
}

// CheckPart is Check for a piece of a document that is too large to check whole: its
// members may be missing.
func CheckPart(name string, doc []byte) []Problem { return Check(partOf+name, doc) }

const partOf = "a part of "

// Source is the text of the named schema.
func Source(name string) ([]byte, error) { return files.ReadFile(name + ".schema.json") }

// Encode writes a document as canonical JSON: UTF-8, LF, two spaces, members in
// the order of the structure, shortest round-trip numbers.
func Encode(doc any) ([]byte, error) {
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	if err := e.Encode(doc); err != nil {
		return nil, fmt.Errorf("encode JSON: %w", err)
	}
	return b.Bytes(), nil
}

func load(name string) (*gojsonschema.Schema, error) {
	if s, ok := compiled.Load(name); ok {
		return s.(*gojsonschema.Schema), nil
	}
	whole, part := strings.CutPrefix(name, partOf)
	text, err := Source(whole)
	if err == nil && part {
		text, err = withoutRequired(text)
	}
	if err != nil {
		return nil, fmt.Errorf("schema %q: %w", name, err)
	}
	s, err := gojsonschema.NewSchema(gojsonschema.NewBytesLoader(text))
	if err != nil {
		return nil, fmt.Errorf("schema %q: %w", name, err)
	}
	compiled.Store(name, s)
	return s, nil
}

// withoutRequired is a schema whose document may lack any of its members.
func withoutRequired(text []byte) ([]byte, error) {
	var s map[string]json.RawMessage
	if err := json.Unmarshal(text, &s); err != nil {
		return nil, err
	}
	delete(s, "required")
	return json.Marshal(s)
}
