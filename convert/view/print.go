package view

import (
	"bytes"
	_ "embed"
	"encoding/base64"
	"encoding/json"
	"errors"
	"fmt"
	"html/template"
	"path"
	"slices"
	"strings"

	"planfold/convert/bundle"
	"planfold/convert/diag"
	"planfold/convert/step"
)

//go:embed card.html
var cardPage string

// Plans are the plans of the tree by the names of their folders, each with the edition to
// print: the current one, else the last, which is held.
func (t *Tree) Plans() (plans, editions []string, err error) {
	catalog, err := bundle.ReadCatalog(t.fs)
	if err != nil {
		return nil, nil, err
	}
	for _, p := range catalog.Plans {
		edition := p.Current
		if edition == "" {
			edition = p.Editions[len(p.Editions)-1].Folder
		}
		plans, editions = append(plans, p.Folder), append(editions, "plans/"+p.Folder+"/"+edition)
	}
	return plans, editions, nil
}

// cards are the steps of an edition, to be printed.
type cards struct {
	bundle.Manifest
	Language language
	Cards    []card
	tree     *Tree
	damaged  []*DamagedError
}

// card is one step. Damage says why there is nothing of it.
type card struct {
	bundle.Step
	Entry  bundle.StepEntry
	Folder string
	Damage string
}

// Print writes the steps of an edition as pages to be printed, each on one A4 page where it
// fits: one HTML document that holds its pictures. Files that are not as they were issued
// are returned; where they should stand the page says that they cannot be shown. Without
// the edition's bundle.json there is no page.
func (t *Tree) Print(edition, lang string) (document []byte, damaged []*DamagedError, err error) {
	c := cards{Language: language(lang), tree: t}
	if err := c.read(edition+"/bundle.json", &c.Manifest); err != nil {
		return nil, c.damaged, machine(err)
	}
	for _, s := range c.Steps {
		c.Cards = append(c.Cards, c.card(edition+"/steps/"+s.Folder, s))
	}
	page, err := template.New("card").Funcs(template.FuncMap{
		"word": c.Language.word, "duration": c.Language.duration, "own": c.Language.own, "say": c.Language.say, "gravity": gravity, "direction": direction,
		"image": c.image,
		"unit":  unitOf, "purposed": purposed, "aside": aside, "inTurn": inTurn, "signals": signals, "doubts": doubts, "gaps": gaps,
	}).Parse(cardPage)
	if err != nil {
		return nil, nil, err
	}
	var out bytes.Buffer
	if err := page.Execute(&out, &c); err != nil {
		return nil, nil, fmt.Errorf("print %q: %w", edition, err)
	}
	return out.Bytes(), c.damaged, nil
}

// read reads a document of the edition, and notes it where it is damaged.
func (c *cards) read(name string, into any) error {
	text, err := c.tree.ReadFile(name)
	if err == nil {
		if err = json.Unmarshal(text, into); err != nil {
			err = &DamagedError{name, "cannot be read: " + err.Error()}
		}
	}
	return c.noted(name, err)
}

func (c *cards) noted(name string, err error) error {
	if err == nil {
		return nil
	}
	var not *DamagedError
	err = damage(name, err)
	if errors.As(err, &not) && !slices.ContainsFunc(c.damaged, func(d *DamagedError) bool { return d.Name == name }) {
		c.damaged = append(c.damaged, not)
	}
	return err
}

// machine is an error that is not the issued tree's.
func machine(err error) error {
	var not *DamagedError
	if errors.As(err, &not) {
		return nil
	}
	return err
}

func (c *cards) card(folder string, entry bundle.StepEntry) card {
	one := card{Entry: entry, Folder: folder}
	if err := c.read(folder+"/step.json", &one); err != nil {
		one.Damage = err.Error()
	}
	return one
}

// image is a picture as it stands in the page. It has neither field where there is none,
// or a document of another kind.
type image struct {
	Source template.URL // a data URI
	Damage bool
}

func (c *cards) image(folder, uri string) (image, error) {
	name := path.Join(folder, uri)
	kind := contentTypes[path.Ext(name)]
	if uri == "" || !strings.HasPrefix(kind, "image/") {
		return image{}, nil
	}
	data, err := c.tree.ReadFile(name)
	if err := c.noted(name, err); err != nil {
		return image{Damage: true}, machine(err)
	}
	return image{Source: template.URL("data:" + kind + ";base64," + base64.StdEncoding.EncodeToString(data))}, nil
}

// purposed are the parts that the plan gives a purpose (preparation), or those without one.
func purposed(parts []bundle.Part, want bool) []bundle.Part {
	var out []bundle.Part
	for _, p := range parts {
		if want == (len(p.Purpose) > 0) {
			out = append(out, p)
		}
	}
	return out
}

// signals are the signal words of hazard statements, each once.
func signals(hazards []step.Hazard) []step.Texts {
	var out []step.Texts
	for _, h := range hazards {
		same := func(t step.Texts) bool { return t.First() == h.SignalWord.First() }
		if len(h.SignalWord) > 0 && !slices.ContainsFunc(out, same) {
			out = append(out, h.SignalWord)
		}
	}
	return out
}

// aside are the parts of which the picture shows one beside the others, since nothing says
// where it goes.
func aside(s bundle.Step) []bundle.Part {
	var out []bundle.Part
	if s.Scene != nil {
		for _, n := range s.Scene.Nodes {
			if n.Occurrence == "" && n.Triangles > 0 && n.Part != nil && *n.Part < len(s.Parts) {
				out = append(out, s.Parts[*n.Part])
			}
		}
	}
	return out
}

// doubtful are the words for what makes it doubtful whether an overlay lies right, by code.
var doubtful = map[string]string{
	diag.SceneRegistrationSymmetric.Name: "alignedTurned",
	diag.SceneRegistrationToCome.Name:    "alignedLater",
	diag.SceneRegistrationHidden.Name:    "alignedHidden",
}

// doubts are those words of a step.
func doubts(s bundle.Step) []string {
	var out []string
	for _, n := range s.NotCarried {
		if w := doubtful[n.Code]; w != "" && !slices.Contains(out, w) {
			out = append(out, w)
		}
	}
	return out
}

// gaps are what was not carried over, but for doubts that stand where they matter.
func gaps(s bundle.Step) []bundle.NotCarried {
	return slices.DeleteFunc(slices.Clone(s.NotCarried), func(n bundle.NotCarried) bool { return s.Registration != nil && doubtful[n.Code] != "" })
}

// turn is a piece of the tightening order, as long as it is of one part.
type turn struct {
	Part   *bundle.Part // nil where the step consumes none that is tightened
	Places []step.Tightening
}

func inTurn(s bundle.Step) []turn {
	var out []turn
	for _, t := range s.Tightening {
		var part *bundle.Part
		is := func(p bundle.Part) bool {
			return slices.ContainsFunc(p.Occurrences, func(o step.Text) bool { return o.Value == t.Occurrence.Value })
		}
		if i := slices.IndexFunc(s.Parts, is); i >= 0 {
			part = &s.Parts[i]
		}
		if len(out) == 0 || out[len(out)-1].Part != part {
			out = append(out, turn{Part: part})
		}
		last := &out[len(out)-1]
		last.Places = append(last.Places, t)
	}
	return out
}

// unitOf is a unit as it is read; pieces need none.
func unitOf(code step.Text, symbol string) string {
	switch {
	case slices.Contains(words.Pieces, code.Value):
		return "×"
	case symbol != "":
		return symbol
	}
	return code.Value
}
