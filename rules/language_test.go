package rules

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"planfold/convert/diag"
	"planfold/convert/step"
)

// tagged is the texts as "tag=text".
func tagged(t step.Texts) []string {
	var out []string
	for _, l := range t {
		out = append(out, l.Lang+"="+l.Text.Value)
	}
	return out
}

// titled reads the title of one step, by a rule for it.
func titled(t *testing.T, rule, inside string) (*step.Step, diag.List) {
	t.Helper()
	rules := `
planfold: 1
read:
  plan: {match: /plan, id: "@id"}
  operations: {match: //op, id: "@id", steps: {each: step, title: ` + rule + `, text: text}}
`
	if i := strings.Index(rule, "\n"); i >= 0 {
		rules = rule[i:] + strings.Replace(rules, rule, rule[:i], 1)
	}
	m := rulesOf(t, rules).of(t, "plan.xml", []byte("<plan id='X'><op id='A'><step>"+inside+"</step></op></plan>"), nil)
	require.Len(t, m.Operations[0].Steps, 1)
	return m.Operations[0].Steps[0], m.Faults
}

func TestLanguageIsTakenWhereTheDialectSaysIt(t *testing.T) {
	for name, c := range map[string]struct {
		rule, xml string
		want      []string
	}{
		"beside the text":            {`{path: t/v, lang: ../@l}`, `<t l="en"><v>Fit</v></t><t l="DE"><v>Fügen</v></t>`, []string{"en=Fit", "DE=Fügen"}},
		"of an attribute":            {`{path: t/@v, lang: ../@l}`, `<t l="en" v="Fit"/><t l="de" v="Fügen"/>`, []string{"en=Fit", "de=Fügen"}},
		"of a text node":             {`{path: t/text(), lang: ../@l}`, `<t l="en">Fit</t><t l="de">Fügen</t>`, []string{"en=Fit", "de=Fügen"}},
		"with an underscore":         {`{path: t, lang: "@l"}`, `<t l="pt_BR">Montar</t>`, []string{"pt-BR=Montar"}},
		"in another case":            {`{path: t, lang: "@l"}`, `<t l="EN">Fit</t><t l="en">it</t>`, []string{"EN=Fit\nit"}},
		"where lang finds none":      {`{path: t, lang: "@l"}`, `<t xml:lang="fr">Poser</t><t l="en">Fit</t>`, []string{"fr=Poser", "en=Fit"}},
		"a path a language":          {`{languages: {en: e, de: d}}`, `<d>Fügen</d><e>Fit</e>`, []string{"de=Fügen", "en=Fit"}},
		"a path a language, pattern": {`{languages: {en: e, de: d}, pattern: '^\d+ (.*)'}`, `<d>1 Fügen</d><e>2 Fit</e>`, []string{"de=Fügen", "en=Fit"}},
		"by default":                 {"t\nlanguage: de", `<t>Fügen</t><t xml:lang="en">Fit</t>`, []string{"de=Fügen", "en=Fit"}},
		"a constant by default":      {"{value: Fügen}\nlanguage: de", ``, []string{"de=Fügen"}},
		"an element for all":         {`t`, `<t xml:lang="en"> <p xml:lang="en">Fit</p> <p xml:lang="de">Fügen</p></t>`, []string{"en=Fit", "de=Fügen"}},
		"a foreign word":             {`t`, `<t xml:lang="en">Say <i xml:lang="de">Halt</i>.</t>`, []string{"en=Say Halt."}},
	} {
		t.Run(name, func(t *testing.T) {
			s, faults := titled(t, c.rule, c.xml)
			assert.Equal(t, c.want, tagged(s.Title))
			assert.Empty(t, faults)
		})
	}
}

func TestTextsOfUnlikeLanguagesAreNeverMadeOne(t *testing.T) {
	// What names them is no tag, so they cannot be shown with one.
	s, faults := titled(t, `{path: t, lang: "@l"}`, `<t l="English 1">Fit</t><t l="German 1">Fügen</t><t>x</t>`)
	assert.Equal(t, []string{"=Fit", "=Fügen", "=x"}, tagged(s.Title))
	require.Len(t, faults, 2)
	assert.Equal(t, diag.MapLanguageUnknown.Name, faults[0].Code)
	s, _ = titled(t, "t\nlanguage: en", `<t>Fit</t><t l="x" xml:lang="x-!">?</t>`)
	assert.Equal(t, []string{"en=Fit", "=?"}, tagged(s.Title), "what says another language does not get the default")
}

func TestNotesOfALanguageEachArePaired(t *testing.T) {
	rules := `
planfold: 1
read:
  plan: {match: /plan, id: "@id"}
  operations: {match: //op, id: "@id", notes: {languages: {de: d, en: e}}}
`
	m := rulesOf(t, rules).of(t, "plan.xml", []byte(`<plan id='X'><op id='A'><e>1</e><d>eins</d><e>2</e><d>zwei</d></op></plan>`), nil)
	notes := m.Operations[0].Notes
	require.Len(t, notes, 2)
	assert.Equal(t, []string{"en=1", "de=eins"}, tagged(notes[0]))
	assert.Equal(t, []string{"en=2", "de=zwei"}, tagged(notes[1]))
}

func TestLanguagesAreReadInEveryPass(t *testing.T) {
	rules := `
planfold: 1
joins: {names: {match: //name, key: "@of"}}
read:
  plan: {match: /plan, id: "@id", title: {path: t/v, lang: ../@in}}
  operations:
    match: //op
    id: "@id"
    title: {join: names, by: "@id", languages: {en: "@e", de: "@d"}}
    notes: {join: names, by: "@id", path: "@e", lang: ../@l}
`
	m := rulesOf(t, rules).of(t, "plan.xml", []byte(`<plan id='X'><t in="fr"><v>Poser</v></t><op id="A"/><name of="A" e="Fit" d="Fügen" l="nl"/></plan>`), nil)
	assert.Equal(t, []string{"fr=Poser"}, tagged(m.Plan.Title))
	assert.Equal(t, []string{"en=Fit", "de=Fügen"}, tagged(m.Operations[0].Title))
	assert.Equal(t, []string{"nl=Fit"}, tagged(m.Operations[0].Notes[0]))
}
