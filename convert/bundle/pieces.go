package bundle

import (
	"encoding/json"
	"fmt"
	"io"
	"io/fs"

	"planfold/schema"
)

// bundle.json and origin.json have an entry a step and grow with the plan, so that
// they are written, checked and read without standing in memory.

// Write writes bundle.json, and returns what its schema says of it.
func (m *Manifest) Write(w io.Writer) ([]Problem, error) {
	head := *m
	head.Steps, head.Diagnostics = []StepEntry{}, nil
	text, err := schema.Encode(&head)
	if err != nil {
		return nil, err
	}
	out := schema.NewWriter(w)
	before, rest := schema.Empty(text, "steps")
	out.Text(before)
	out.List(list("bundle", "steps", "[]"), indent, func(yield func([]byte)) {
		for i := range m.Steps {
			yield(out.Entry(&m.Steps[i], indent))
		}
	})
	const end = "\n}\n"
	out.Text(rest[:len(rest)-len(end)])
	if len(m.Diagnostics) > 0 {
		out.Text([]byte(",\n  \"diagnostics\": ["))
		out.List(list("bundle", "diagnostics", "[]"), indent, func(yield func([]byte)) {
			for _, d := range m.Diagnostics {
				d.Plan = "" // the manifest is the plan's own
				yield(out.Entry(&d, indent))
			}
		})
		out.Text([]byte{']'})
	}
	out.Text([]byte(end))
	return written(out, "bundle", text)
}

const indent = "    " // of the entries of a member

func list(name, member, brackets string) schema.List {
	return schema.List{Schema: name, Before: fmt.Sprintf("{%q: %c", member, brackets[0]), After: string(brackets[1]) + "}"}
}

// written ends a document and holds the rest of it against its schema.
func written(out *schema.Writer, name string, rest []byte) ([]Problem, error) {
	problems, err := out.End()
	return append(CheckDocument(name, name+".json", rest), inFile(name+".json", problems)...), err
}

func inFile(file string, problems []schema.Problem) []Problem {
	var out []Problem
	for _, p := range problems {
		out = append(out, Problem{file, p.String()})
	}
	return out
}

// checkPieces holds a document that was issued against its schema, and hands over
// the entries of its steps. It returns the rest of the document. An error says that
// it is not made as it must be to be read in pieces.
func checkPieces(name, file string, r io.Reader, size int, step func(entry []byte)) (rest []byte, problems []Problem, err error) {
	rest, err = readPieces(r, func(member, brackets string) (each func([]byte), end func()) {
		l := list(name, member, brackets)
		l.Size = size
		each = func(entry []byte) {
			l.Check(entry)
			if member == "steps" && step != nil {
				step(entry)
			}
		}
		return each, func() { problems = append(problems, inFile(file, l.End())...) }
	})
	if err != nil {
		return nil, nil, err
	}
	return rest, append(CheckDocument(name, file, rest), problems...), nil
}

// ManifestOf reads the bundle.json of an edition's folder, without its steps and
// diagnostics.
func ManifestOf(tree fs.FS, folder string) (*Manifest, error) {
	f, err := tree.Open(folder + "/bundle.json")
	if err != nil {
		return nil, err
	}
	defer f.Close()
	rest, err := readPieces(f, func(string, string) (func([]byte), func()) { return func([]byte) {}, func() {} })
	if err != nil {
		return nil, err
	}
	var m Manifest
	return &m, json.Unmarshal(rest, &m)
}

// readPieces reads a document and hands over the entries of the members that grow,
// each as it stands there. It returns the document without them.
func readPieces(r io.Reader, begin func(member, brackets string) (each func([]byte), end func())) ([]byte, error) {
	d := json.NewDecoder(r)
	rest := []byte{'{'}
	if err := expect(d, '{'); err != nil {
		return nil, err
	}
	for d.More() {
		member, err := d.Token()
		if err != nil {
			return nil, err
		}
		var value json.RawMessage
		if name := member.(string); name == "steps" || name == "diagnostics" {
			value, err = readEntries(d, name, begin)
		} else {
			err = d.Decode(&value)
		}
		if err != nil {
			return nil, err
		}
		if len(rest) > 1 {
			rest = append(rest, ',')
		}
		rest = append(append(append(rest, quoted(member.(string))...), ':'), value...)
	}
	return append(rest, '}'), expect(d, '}')
}

// readEntries reads a member that grows, and returns its brackets.
func readEntries(d *json.Decoder, member string, begin func(member, brackets string) (func([]byte), func())) ([]byte, error) {
	opening, err := d.Token()
	if err != nil {
		return nil, err
	}
	brackets := map[json.Token]string{json.Delim('{'): "{}", json.Delim('['): "[]"}[opening]
	if brackets == "" {
		return nil, fmt.Errorf("%v where a list or a mapping is due", opening)
	}
	each, end := begin(member, brackets)
	for d.More() {
		var entry []byte
		if brackets == "{}" {
			key, err := d.Token()
			if err != nil {
				return nil, err
			}
			entry = append(quoted(key.(string)), ':')
		}
		var value json.RawMessage
		if err := d.Decode(&value); err != nil {
			return nil, err
		}
		each(append(entry, value...))
	}
	end()
	_, err = d.Token()
	return []byte(brackets), err
}
