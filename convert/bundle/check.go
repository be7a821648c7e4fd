package bundle

import (
	"encoding/json"
	"fmt"
	"path"
	"slices"

	"planfold/schema"
)

// Problem is a file that is not what it must be.
type Problem struct {
	File    string `json:"file"`
	Message string `json:"message"`
}

func (p Problem) String() string { return p.File + ": " + p.Message }

// CheckDocument holds a JSON document against the named schema, as bytes.
func CheckDocument(name, file string, doc []byte) []Problem {
	var out []Problem
	for _, p := range schema.Check(name, doc) {
		out = append(out, Problem{file, p.String()})
	}
	return out
}

// CheckStep checks step.json and the scene beside it (nil: there is none): schema,
// digests, and that all that they name is among the edition's files and steps.
func CheckStep(folder string, doc, scene []byte, sums Sums, steps map[string]bool) []Problem {
	file := "steps/" + folder + "/step.json"
	problems := CheckDocument("step", file, doc)
	var s Step
	if err := json.Unmarshal(doc, &s); err != nil {
		return append(problems, Problem{file, err.Error()})
	}
	fault := func(format string, args ...any) {
		problems = append(problems, Problem{file, fmt.Sprintf(format, args...)})
	}
	for _, id := range s.Predecessors {
		if !steps[id] {
			fault("waits for step %q, which the edition does not have", id)
		}
	}
	for _, r := range s.named() {
		if digest, ok := sums[path.Join("steps", folder, r.URI)]; !ok {
			fault("names %q, which the edition does not list", r.URI)
		} else if digest != r.SHA256 {
			fault("gives %q another digest than SHA256SUMS", r.URI)
		}
	}
	for _, uri := range s.shared() {
		if sums[path.Join("steps", folder, uri)] == "" {
			fault("names %q, which the edition does not list", uri)
		}
	}
	if (s.Scene == nil) != (scene == nil) {
		fault("disagrees with scene.gltf on whether there is a scene")
	}
	if s.Scene == nil || scene == nil {
		return problems
	}
	for _, n := range s.Scene.Nodes {
		if n.Part != nil && *n.Part >= len(s.Parts) {
			fault("has a node %q that shows part %d of %d", n.Name, *n.Part, len(s.Parts))
		}
	}
	return append(problems, CheckScene("steps/"+folder+"/scene.gltf", scene, sums)...)
}

// named lists every file that the step names, in each place that names one.
func (s *Step) named() []Resource {
	out := slices.Clone(s.Resources)
	attachments := slices.Clone(s.Attachments)
	for _, p := range s.Parts {
		attachments = append(attachments, p.Documents...)
	}
	for _, a := range attachments {
		if a.URI != "" {
			out = append(out, Resource{a.URI, a.Bytes, a.SHA256})
		}
	}
	if s.Scene != nil {
		out = append(out, Resource{s.Scene.URI, s.Scene.Bytes, s.Scene.SHA256})
	}
	if s.Picture != nil {
		out = append(out, Resource{s.Picture.URI, s.Picture.Bytes, s.Picture.SHA256})
	}
	return out
}

// shared lists the files beside the steps that the step names.
func (s *Step) shared() (uris []string) {
	if s.Locator != nil {
		uris = append(uris, s.Locator.URI)
	}
	if s.Registration != nil && s.Registration.URI != "" {
		uris = append(uris, s.Registration.URI)
	}
	return uris
}

// CheckScene follows the buffers of a glTF document to the edition's files. One without
// URI has no bytes: it stands for what is compressed in the others.
func CheckScene(file string, document []byte, sums Sums) []Problem {
	var doc struct {
		Buffers []struct {
			URI string `json:"uri"`
		} `json:"buffers"`
	}
	if err := json.Unmarshal(document, &doc); err != nil {
		return []Problem{{file, "not JSON: " + err.Error()}}
	}
	var out []Problem
	for _, b := range doc.Buffers {
		if b.URI == "" {
			continue
		}
		if _, ok := sums[path.Join(path.Dir(file), b.URI)]; !ok {
			out = append(out, Problem{file, fmt.Sprintf("names buffer %q, which the edition does not list", b.URI)})
		}
	}
	return out
}
