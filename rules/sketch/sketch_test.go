package sketch_test

import (
	"bytes"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"planfold/convert/diag"
	"planfold/convert/step"
	"planfold/rules"
	"planfold/rules/sketch"
	"planfold/testdata/open"
)

func opening(text []byte) func() (io.ReadCloser, error) {
	return func() (io.ReadCloser, error) { return io.NopCloser(bytes.NewReader(text)), nil }
}

// sketched compiles the sketch of an export, and maps the export by it.
func sketched(t testing.TB, name string, export []byte) (text string, p *step.Plan, operations []*step.Operation) {
	t.Helper()
	sketch, faults, err := sketch.Rules(opening(export), name)
	require.NoError(t, err)
	require.Empty(t, faults)
	s, faults := rules.Compile([]rules.File{{Name: "sketch.yaml", Data: sketch}})
	require.Empty(t, faults, "%s", sketch)
	p, _, err = s.Read(opening(export), name, func(_ *step.Plan, o *step.Operation) error {
		operations = append(operations, o)
		return nil
	})
	require.NoError(t, err)
	require.NotNil(t, p)
	return string(sketch), p, operations
}

func read(t testing.TB, name string) []byte {
	t.Helper()
	b, err := os.ReadFile(name)
	require.NoError(t, err)
	return b
}

// The neutral plan: all that its structure shows is found.
func TestSketchOfTheNeutralPlan(t *testing.T) {
	text, p, operations := sketched(t, "plan.xml", read(t, "../../testdata/dialects/neutral/plan.xml"))
	assert.Equal(t, "GR-200", p.ID.Value)
	assert.Equal(t, "C", p.Revision.Value)
	assert.Len(t, p.Items, 10)
	assert.Equal(t, "geometry/housing-lower.stl", p.Items["P-1010"].Geometry[0].File.Value)
	require.Len(t, operations, 2)
	assert.Equal(t, "OP-10", operations[0].ID.Value, "the inner one ends first")
	steps := operations[1].Steps
	require.Len(t, steps, 2)
	assert.Equal(t, "Fit shaft and end shields", steps[0].Title.First())
	assert.Contains(t, steps[0].Text.First(), "Lay the shaft into the lower housing.")
	require.Len(t, steps[0].Parts, 4)
	assert.Equal(t, "P-1010", steps[0].Parts[0].Item.Value)
	assert.Equal(t, "2.50", steps[0].Parts[3].Quantity.Value)

	assert.Empty(t, steps[1].Hazards, "never guessed")
	assert.Empty(t, steps[1].Characteristics, "never guessed")
	assert.Contains(t, text, "# - hazards: /p:plan/p:operations//p:operation/p:step/p:hazard (1 element)")
	assert.Contains(t, text, "# - characteristics: ")
	assert.Contains(t, text, `# - /p:plan/@approver: 1, "M. Lindqvist"`)
}

// A plan that names nothing as other plans do: steps refer to lines of a list, these
// to items, and both to a list of files; hazards speak in the element of instructions.
func TestSketchOfReferencesTwoDeep(t *testing.T) {
	text, p, operations := sketched(t, "plan.xml", read(t, "testdata/reducer.xml"))
	assert.Equal(t, []string{"GR-31", "D", "open"}, []string{p.ID.Value, p.Revision.Value, p.Status.Value})
	assert.Equal(t, "Getriebe schließen", p.Title[1].Text.Value)
	require.Len(t, p.Items, 4)
	assert.Equal(t, "shapes/half.stl", p.Items["HALF-UP"].Geometry[0].File.Value)
	assert.Empty(t, p.Items["HALF-UP"].Attachments)

	require.Len(t, operations, 2)
	closing := operations[0]
	assert.Equal(t, []string{"CLOSE", "2"}, []string{closing.ID.Value, closing.Order.Value})
	require.Len(t, closing.Steps, 2)
	lower := closing.Steps[0]
	assert.Equal(t, "1", lower.Order.Value)
	assert.Equal(t, "Lower the upper half onto the dowels until the joint is closed.", lower.Text.First(), "not the hazard's")
	require.Len(t, lower.Parts, 2)
	assert.Equal(t, []string{"BOLT-M8", "2"}, []string{lower.Parts[1].Item.Value, lower.Parts[1].Quantity.Value})
	require.Len(t, lower.Attachments, 1)
	assert.Equal(t, "pictures/close.jpg", lower.Attachments[0].File.Value)

	assert.Empty(t, lower.Hazards, "never guessed")
	assert.Contains(t, text, "# - hazards: /p:folder/p:way/p:bay/p:peril (1 element)")
	assert.Contains(t, text, "# - /p:folder/p:way/p:bay/p:turn/p:peril/p:say: 1, ")
	assert.Contains(t, text, `by: "@line" # 100 in 100 are keys of /p:folder/p:needs/p:line; 5 values, such as "N4"`)
}

// What has a signal word is a hazard, whatever it is called and however long it is.
// Names that XML allows and YAML or XPath could take for something else.
func TestNamesAreOnlyNames(t *testing.T) {
	for _, name := range []string{"null", "True", "no", "line-x.1", "_line", "Stückliste", "部品", "𐀀", "a·b", "text", "self", "or"} {
		export := strings.NewReplacer("<b:line ", "<b:"+name+" ", "</b:line>", "</b:"+name+">").Replace(string(read(t, "testdata/reducer.xml")))
		text, _, operations := sketched(t, "plan.xml", []byte(export))
		require.Contains(t, text, "/p:"+name)
		require.Len(t, operations, 2, name)
		require.NotEmpty(t, operations[0].Steps[0].Parts, name)
		assert.Equal(t, "HALF-UP", operations[0].Steps[0].Parts[0].Item.Value, name)
	}
}

func TestHazardsAreNoInstructions(t *testing.T) {
	text, _, operations := sketched(t, "plan.xml", []byte(`<w><op id="1"><todo><mind level="warning"><line>Keep your hands away from the press while it moves down.</line></mind>
		<line>Press the bearing in.</line></todo><todo><line>Take the shaft out.</line></todo></op>
		<op id="2"><todo><mind level="danger"><line>The press is live until the main switch is off and locked.</line></mind><line>Lock the main switch with your own lock.</line></todo></op></w>`))
	assert.NotContains(t, text, "text: mind")
	require.Len(t, operations, 2)
	require.Len(t, operations[0].Steps, 2)
	assert.Equal(t, "Press the bearing in.", operations[0].Steps[0].Text.First())
	assert.Contains(t, text, "# - hazards: /w/op/todo/mind (2 elements)")
	assert.Contains(t, text, "what looks like hazards is read")
}

// An order is taken where the document has another one, and numbers are unique.
func TestOrderIsTakenWhereTheDocumentHasAnother(t *testing.T) {
	const export = `<w><op id="a"><step nr="2"><text>Tighten the bolts crosswise.</text></step><step nr="%d"><text>Turn the bolts in.</text></step></op></w>`
	for number, taken := range map[int]bool{1: true, 2: false, 3: false} {
		text, _, _ := sketched(t, "plan.xml", fmt.Appendf(nil, export, number))
		assert.Equal(t, taken, strings.Contains(text, "\n      order: \"@nr\""), text)
	}
}

// Examples are of the files that the line takes.
func TestExamplesFit(t *testing.T) {
	text, _, _ := sketched(t, "plan.xml", []byte(`<w><item id="A-1"><f at="a.jpg"/><f at="b.stl"/></item><item id="A-2"><f at="c.stl"/></item>
		<op id="1"><step><text>Lay it in.</text><use item="A-1" qty="1"/></step><step><text>Lay the other in.</text><use item="A-2" qty="1"/></step></op></w>`))
	assert.Regexp(t, `= '.stl'", file: "@at"} # named like files; 2 values, such as "b.stl"`, text)
	assert.Regexp(t, `= '.jpg'", file: "@at"} # named like files; 1 value, such as "a.jpg"`, text)
}

// B2MML, QIF and the block-stage plan, as published: see the SOURCE beside each.
func TestSketchesOfPublishedPlans(t *testing.T) {
	for name, want := range map[string]struct{ operations, steps, parts, items int }{
		"b2mml/courbon/PRO-20121210181416-27942.xml": {3, 3, 7, 0},
		"qif/orderedPlan.QIF":                        {1, 7, 0, 0},
		"qif/planWithWorkInstructions.QIF":           {1, 2, 0, 0},
		"block-stage/docs/*.xml":                     {3, 37, 21, 20},
	} {
		t.Run(name, func(t *testing.T) {
			found, err := filepath.Glob(filepath.Join(open.Path(t, filepath.Dir(name)), filepath.Base(name)))
			require.NoError(t, err)
			require.Len(t, found, 1)
			_, p, operations := sketched(t, filepath.Base(found[0]), read(t, found[0]))
			steps, parts := 0, 0
			for _, o := range operations {
				steps += len(o.Steps)
				parts += len(o.Common.Parts)
				for _, s := range o.Steps {
					parts += len(s.Parts)
				}
			}
			assert.Equal(t, want.operations, len(operations))
			assert.Equal(t, want.steps, steps)
			assert.Equal(t, want.parts, parts)
			assert.Len(t, p.Items, want.items)
		})
	}
}

func TestNothingIsProposedForWhatIsNoPlan(t *testing.T) {
	for text, code := range map[string]string{
		"<a/>":                                   "SKETCH_EMPTY",
		"<config><host>x</host></config>":        "SKETCH_EMPTY",
		"<plan><operation></plan>":               "PLAN_MALFORMED",
		"<!DOCTYPE a [<!ENTITY b 'c'>]><a/>":     "",
		"<html><p>one two three four</p></html>": "SKETCH_EMPTY",
	} {
		out, faults, err := sketch.Rules(opening([]byte(text)), "x.xml")
		require.NoError(t, err)
		require.NotEmpty(t, faults, text)
		assert.Empty(t, out, text)
		if code != "" {
			assert.Equal(t, code, faults[0].Code, text)
		}
	}
}

// endless is an export of many operations that is never whole in memory. It
// measures what the heap holds while it is read.
type endless struct {
	left, operations int
	rest             string
	most             *uint64
}

func (r *endless) Read(p []byte) (int, error) {
	switch {
	case r.rest != "":
	case r.left == r.operations+1:
		r.rest = "<plan><operations>"
	case r.left > 0:
		r.rest = fmt.Sprintf("<operation id='OP-%d'><step><text>Turn shaft %d by hand.</text></step></operation>", r.left, r.left)
		if r.left%20_000 == 0 {
			*r.most = max(*r.most, heap())
		}
	case r.left == 0:
		r.rest = "</operations></plan>"
	default:
		return 0, io.EOF
	}
	n := copy(p, r.rest)
	if r.rest = r.rest[n:]; r.rest == "" {
		r.left--
	}
	return n, nil
}

func (r *endless) Close() error { return nil }

func heap() uint64 {
	var m runtime.MemStats
	runtime.GC()
	runtime.ReadMemStats(&m)
	return m.HeapAlloc
}

// What is kept of an export is bounded, however large it is: of values, their
// digests.
func TestMemoryIsBounded(t *testing.T) {
	before, most := heap(), uint64(0)
	_, faults, err := sketch.Rules(func() (io.ReadCloser, error) {
		return &endless{left: 100_001, operations: 100_000, most: &most}, nil
	}, "plan.xml")
	require.NoError(t, err)
	require.Empty(t, faults)
	assert.Less(t, most-min(most, before), uint64(12<<20), "9 MB of export")
}

// FuzzRules takes any XML: what is proposed compiles, or it is said why nothing is.
func FuzzRules(f *testing.F) {
	for _, pattern := range []string{"../../testdata/dialects/*/*.xml", "../testdata/mapping/*.xml"} {
		files, err := filepath.Glob(pattern)
		require.NoError(f, err)
		for _, name := range files {
			f.Add(read(f, name))
		}
	}
	f.Add([]byte(`<r xmlns:a="b'c" a:steps="1"><div><step a:id="#: x">one two three four</step><step/></div></r>`))
	f.Add([]byte(`<o><operation id="é"><operation><note><step>x</step></note></operation></operation><yes>1</yes></o>`))
	f.Fuzz(func(t *testing.T, export []byte) {
		text, faults, err := sketch.Rules(opening(export), "plan.xml")
		if err != nil {
			t.Fatal(err)
		}
		if (len(text) > 0) == (len(faults) > 0) {
			t.Fatal("a sketch with faults, or none without", faults)
		}
		if len(faults) > 0 {
			return
		}
		var wrong diag.List
		if _, wrong = rules.Compile([]rules.File{{Name: "sketch.yaml", Data: text}}); len(wrong) > 0 {
			t.Fatalf("%s\n%s", wrong[0], text)
		}
	})
}
