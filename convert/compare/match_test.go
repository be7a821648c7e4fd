package compare

import (
	"io"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"planfold/convert"
	"planfold/convert/bundle"
	"planfold/convert/step"
	"planfold/rules"
	"planfold/testdata/open"
)

// steps makes documents "operation.id: text"; an id that is a number is derived.
func steps(t *testing.T, lines ...string) *edition {
	t.Helper()
	var docs []*bundle.Step
	for i, l := range lines {
		at, text, ok := strings.Cut(l, ": ")
		require.True(t, ok)
		operation, id, _ := strings.Cut(at, ".")
		if strings.Trim(id, "0123456789") == "" {
			id = at
		}
		docs = append(docs, &bundle.Step{
			Plan: bundle.PlanHead{ID: step.Text{Value: "P"}}, Operation: &step.Operation{ID: step.Text{Value: operation}}, ID: step.Text{Value: id}, Sequence: i + 1,
			Text: step.Texts{{Text: step.Text{Value: text}}},
		})
	}
	return editionWith(docs...)
}

func toldOf(t *testing.T, old, new *edition) []string {
	t.Helper()
	var out []string
	for _, c := range compareEditions(old, new).Changes {
		out = append(out, strings.TrimSpace(c.Step+" "+signs[c.Kind]+" "+c.What+c.says()))
	}
	return out
}

// What was not carried over is the same where it differs by ids that changed alone.
func TestGapsAreFoundAgain(t *testing.T) {
	edition := func(id string, messages ...string) *edition {
		e := steps(t, "O."+id+": Fit the bearing into its seat.")
		doc, _ := e.open(0)
		for _, m := range messages {
			doc.step.NotCarried = append(doc.step.NotCarried, bundle.NotCarried{Code: "FILE_MISSING", Message: m})
		}
		return editionWith(doc.step)
	}
	assert.Equal(t, []string{"y > id: x -> y", `y - notCarried[FILE_MISSING]: "b.pdf" is not there`}, toldOf(t,
		edition("x", `part 1 of step "x" names no item`, `"a.pdf" is not there`, `"b.pdf" is not there`),
		edition("y", `part 1 of step "y" names no item`, `"a.pdf" is not there`)))
}

func TestStepsAreFoundAgain(t *testing.T) {
	a, b, c := "Fit the bearing into its seat.", "Grease the lip of the seal.", "Torque the bolts crosswise."
	for name, x := range map[string]struct{ old, new, want []string }{
		"derived ids after one was put in": {
			[]string{"O.1: " + a, "O.2: " + b},
			[]string{"O.1: " + c, "O.2: " + a, "O.3: " + b},
			[]string{"O.1 + step: text " + c},
		},
		"a derived id after one went, and words that changed": {
			[]string{"O.1: " + a, "O.2: " + b},
			[]string{"O.1: Grease the lip of the new seal."},
			[]string{"O.1 ~ text: Grease the lip of the {+new +}seal.", "O.1 - step: text " + a},
		},
		"an id of the plan that changed": {
			[]string{"O.x: " + a, "O.y: " + b},
			[]string{"O.x: " + a, "O.z: " + b},
			[]string{"z > id: y -> z"},
		},
		"another id and other words is another step": {
			[]string{"O.x: " + a, "O.y: " + b},
			[]string{"O.x: " + a, "O.z: Grease the lip of the new seal."},
			[]string{"z + step: text Grease the lip of the new seal.", "y - step: text " + b},
		},
		"two that changed places: the least that moved": {
			[]string{"O.x: " + a, "O.y: " + b, "O.z: " + c},
			[]string{"O.z: " + c, "O.x: " + a, "O.y: " + b},
			[]string{"z > sequence: 3 -> 1"},
		},
		"to another operation": {
			[]string{"O.x: " + a, "O.y: " + b, "Q.z: " + c},
			[]string{"O.x: " + a, "Q.y: " + b, "Q.z: " + c},
			[]string{"y > operation: O -> Q"},
		},
		"an operation under another id": {
			[]string{"O.1: " + a, "O.2: " + b},
			[]string{"N.1: " + a, "N.2: " + b},
			[]string{"> operation.id: O -> N"},
		},
	} {
		t.Run(name, func(t *testing.T) {
			assert.Equal(t, x.want, toldOf(t, steps(t, x.old...), steps(t, x.new...)))
		})
	}
}

func TestWords(t *testing.T) {
	assert.Equal(t, "Torque to [-9-]{+12+} Nm.", words("Torque to 9 Nm.", "Torque to 12 Nm."))
	assert.Equal(t, "Do [-not -]touch.", words("Do not touch.", "Do touch."))
	assert.Equal(t, "[[-0.06075-]{+-0.08725+}, 0]", words("[0.06075, 0]", "[-0.08725, 0]"), "a number changes whole")
	assert.Equal(t, "Gap [-0,05-]{+0,5+} mm, [-6.1e-05-]{+6.1e-06+}.", words("Gap 0,05 mm, 6.1e-05.", "Gap 0,5 mm, 6.1e-06."))
	assert.Equal(t, "S-60-[-4-]{+5+}, 10-[-12-]{+13+}", words("S-60-4, 10-12", "S-60-5, 10-13"), "a hyphen is no sign")
	assert.Equal(t, "[-all gone-]", words("all gone", ""))
	assert.Equal(t, "", words("", ""))
}

// Taking the brackets out of a text difference gives back both texts.
func FuzzWordsHoldBothTexts(f *testing.F) {
	f.Add("Fit the old ring.", "Fit a new, greased ring.")
	f.Add("", "x")
	f.Add("a b a b", "b a b a\xff")
	f.Fuzz(func(t *testing.T, a, b string) {
		var old, new strings.Builder
		for _, r := range wordDiff(a, b) {
			old.WriteString(r.old + r.kept)
			new.WriteString(r.new + r.kept)
		}
		if old.String() != a || new.String() != b {
			t.Fatalf("%q to %q gives %q to %q", a, b, old.String(), new.String())
		}
	})
}

// Revisions of the block-stage plan (CERN OHL 1.2, block-stage-revisions/SOURCE). What is
// asserted was read in the files with diff: from 17 to 19 the ids of all six
// sub-assemblies changed and no step came or went; from 04 to 05 one part's item did.
func TestBlockStageRevisions(t *testing.T) {
	rule, err := os.ReadFile("../../testdata/dialects/block-stage/rules.yaml")
	require.NoError(t, err)
	set, list := rules.Compile([]rules.File{{Name: "rules.yaml", Data: rule}})
	require.Empty(t, list)
	mapped := func(number string) *convert.Mapped {
		files, err := filepath.Glob(filepath.Join(open.Path(t, "block-stage-revisions"), number+"_*.xml"))
		require.NoError(t, err)
		require.Len(t, files, 1)
		m := convert.MapWhole(set, convert.Source{Base: filepath.Base(files[0]), Open: func() (io.ReadCloser, error) { return os.Open(files[0]) }})
		return m
	}
	count := func(old, new string) map[string]int {
		out := map[string]int{}
		for _, c := range Mappings(mapped(old), mapped(new)).Changes {
			out[signs[c.Kind]+" "+inBrackets.ReplaceAllString(c.What, "")]++
		}
		return out
	}
	got := count("17", "19")
	assert.Equal(t, 6, got["> operation.id"])
	assert.Zero(t, got["+ step"]+got["- step"]+got["> sequence"]+got["+ predecessors"]+got["- predecessors"])
	assert.Equal(t, map[string]int{"~ plan.id": 1, "+ parts.itemTotal": 11, "~ parts.itemTitle": 11, "~ parts.itemNotes": 11}, count("04", "05"))
	assert.Positive(t, count("11", "12")["+ step"])
}

// A scene of which every node got another name.
func BenchmarkMatchScenesWithOtherNames(b *testing.B) {
	scene := func(prefix string) *edition {
		s := &bundle.Step{Operation: &step.Operation{ID: step.Text{Value: "O"}}, ID: step.Text{Value: "x"}, Scene: &bundle.Scene{}}
		for i := range 5000 {
			s.Scene.Nodes = append(s.Scene.Nodes, bundle.SceneNode{Name: prefix + strconv.Itoa(i), Item: "P-1", Role: "context", Triangles: 12})
		}
		return editionWith(s)
	}
	for b.Loop() {
		compareEditions(scene("a-"), scene("b-"))
	}
}
