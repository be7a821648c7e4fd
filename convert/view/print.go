package view

import (
	"bytes"
	_ "embed"
	"encoding/base64"
	"encoding/json"
	"fmt"
	"html/template"
	"path"
	"strings"

	"planfold/convert/bundle"
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
}

// card is one step. Damage says why there is nothing of it.
type card struct {
	bundle.Step
	Entry  bundle.StepEntry
	Folder string
	Damage string
}

// Print writes the steps of an edition as pages to be printed, each on one A4 page where it
// fits: one HTML document that holds its pictures.
func (t *Tree) Print(edition, lang string) ([]byte, error) {
	c := cards{Language: language(lang)}
	text, err := t.ReadFile(edition + "/bundle.json")
	if err == nil {
		err = json.Unmarshal(text, &c.Manifest)
	}
	if err != nil {
		return nil, err
	}
	for _, s := range c.Steps {
		c.Cards = append(c.Cards, t.card(edition+"/steps/"+s.Folder, s))
	}
	page, err := template.New("card").Funcs(template.FuncMap{
		"word": c.Language.word, "duration": c.Language.duration, "own": c.Language.own, "say": c.Language.say, "gravity": gravity, "direction": direction,
		"image": t.image,
		"unit":  unitOf, "purposed": purposed,
	}).Parse(cardPage)
	if err != nil {
		return nil, err
	}
	var out bytes.Buffer
	if err := page.Execute(&out, &c); err != nil {
		return nil, fmt.Errorf("print %q: %w", edition, err)
	}
	return out.Bytes(), nil
}

func (t *Tree) card(folder string, entry bundle.StepEntry) card {
	c := card{Entry: entry, Folder: folder}
	text, err := t.ReadFile(folder + "/step.json")
	if err == nil {
		err = json.Unmarshal(text, &c)
	}
	if err != nil {
		c.Damage = err.Error()
	}
	return c
}

// image is a picture as a data URI; none where it is missing or no picture.
func (t *Tree) image(folder, uri string) template.URL {
	name := path.Join(folder, uri)
	kind := contentTypes[path.Ext(name)]
	if uri == "" || !strings.HasPrefix(kind, "image/") {
		return ""
	}
	data, err := t.ReadFile(name)
	if err != nil {
		return ""
	}
	return template.URL("data:" + kind + ";base64," + base64.StdEncoding.EncodeToString(data))
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

// unitOf is a unit as it is read; pieces need none.
func unitOf(code step.Text, symbol string) string {
	switch {
	case code.Value == "C62" || code.Value == "H87" || code.Value == "EA":
		return "×"
	case symbol != "":
		return symbol
	}
	return code.Value
}
