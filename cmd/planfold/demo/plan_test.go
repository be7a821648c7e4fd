package demo

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"image/png"
	"math/big"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"planfold/testdata/open"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const schemaFile = "../../../schema/plan.xsd"

// valid checks a plan against the schema with xmllint (libxml2).
func valid(t *testing.T, file string) {
	t.Helper()
	tool, err := exec.LookPath("xmllint")
	if err != nil {
		if os.Getenv("CI") == "true" {
			t.Fatal("xmllint is not there")
		}
		t.Skip("xmllint is not there")
	}
	out, err := exec.Command(tool, "--nonet", "--noout", "--schema", schemaFile, file).CombinedOutput()
	assert.NoError(t, err, "%s", out)
}

func TestPlansAreValid(t *testing.T) {
	dir := t.TempDir()
	catalogue, err := writtenCatalogue()
	require.NoError(t, err)
	for name, data := range catalogue {
		if strings.HasPrefix(name, "plans/") {
			file := filepath.Join(dir, filepath.Base(name))
			require.NoError(t, os.WriteFile(file, data, 0o644))
			valid(t, file)
			references(t, catalogue, parsePlan(t, data))
		}
	}
	file := filepath.Join(dir, "plan.xml")
	require.NoError(t, os.WriteFile(file, files(t)["plan.xml"], 0o644))
	valid(t, file)
	orphans(t, catalogue)
}

func TestSchemaRefusesWhatIsWrong(t *testing.T) {
	if _, err := exec.LookPath("xmllint"); err != nil {
		t.Skip("xmllint is not there")
	}
	good := string(files(t)["plan.xml"])
	for _, c := range [][2]string{
		{`nominal="24"`, `nominal="24 NU"`},
		{`item="P-5030"`, `item="P-5031"`},
		{`view="V-10-1"`, `view="V-99"`},
		{`point="hold"`, `point="stop"`},
		{`id="S-10-2"`, `id="S-10-1"`},
		{"<placement>1 ", "<placement>"},
	} {
		require.Contains(t, good, c[0])
		file := filepath.Join(t.TempDir(), "plan.xml")
		require.NoError(t, os.WriteFile(file, []byte(strings.Replace(good, c[0], c[1], 1)), 0o644))
		err := exec.Command("xmllint", "--nonet", "--noout", "--schema", schemaFile, file).Run()
		assert.Error(t, err, "%s in place of %s", c[1], c[0])
	}
}

func TestNeutralExampleIsValid(t *testing.T) {
	file := "../../../testdata/dialects/neutral/plan.xml"
	if _, err := os.Stat(file); err != nil {
		t.Skip("no example of the neutral dialect")
	}
	valid(t, file)
}

func TestPlanIsRich(t *testing.T) {
	p := parsePlan(t, files(t)["plan.xml"])
	steps, occurrences, hold, serial, lot, noGeometry := 0, 0, 0, 0, 0, 0
	for _, s := range p.Structures {
		occurrences += len(s.Occurrences)
	}
	for _, o := range p.all() {
		steps += len(o.Steps)
		for _, s := range o.Steps {
			for _, c := range s.Characteristics {
				if c.Point == "hold" {
					hold++
				}
			}
			for _, q := range s.Parts {
				switch q.Capture {
				case "serial":
					serial++
				case "lot":
					lot++
				}
			}
		}
	}
	for _, i := range p.Items {
		if len(i.Geometry) == 0 && i.Class == "consumable" {
			noGeometry++
		}
	}
	assert.GreaterOrEqual(t, len(p.all()), 6)
	assert.GreaterOrEqual(t, steps, 24)
	assert.GreaterOrEqual(t, len(p.Items), 30)
	assert.GreaterOrEqual(t, occurrences, 120)
	assert.GreaterOrEqual(t, hold, 2)
	assert.Positive(t, serial)
	assert.Positive(t, lot)
	assert.Positive(t, noGeometry)
	t.Logf("%d operations, %d steps, %d items, %d occurrences", len(p.all()), steps, len(p.Items), occurrences)
}

func TestPlanRefersOnlyToWhatIsThere(t *testing.T) {
	out := files(t)
	references(t, out, parsePlan(t, out["plan.xml"]))
	orphans(t, out)
}

// references checks what the schema cannot: occurrences, files, quantities, and
// that each occurrence is consumed once.
func references(t *testing.T, out map[string][]byte, p planDoc) {
	t.Helper()
	stands, item := map[string]map[string]string{}, map[string]string{}
	for _, s := range p.Structures {
		stands[s.Of] = map[string]string{}
		for _, o := range s.Occurrences {
			stands[s.Of][o.ID] = o.Item
		}
	}
	find := map[string]string{}
	for _, i := range p.Items {
		item[i.ID] = i.Unit
		for _, g := range i.Geometry {
			assert.Contains(t, out, g.File, i.ID)
		}
		for _, d := range i.Documents {
			assert.Contains(t, out, d.File, i.ID)
		}
	}
	displaced := map[string][]string{}
	for _, v := range p.Views {
		for _, d := range v.Displace {
			displaced[v.ID] = append(displaced[v.ID], d.Occurrence)
		}
	}
	used := map[string]int{}
	for _, o := range p.all() {
		of := o.Builds
		if of == "" {
			of = p.ID
		}
		require.Contains(t, stands, of, o.ID)
		for _, s := range o.Steps {
			for _, d := range displaced[s.View] {
				assert.Contains(t, stands[of], d, "view of %s", s.ID)
			}
			mine := map[string]bool{}
			for _, q := range s.Parts {
				require.Contains(t, item, q.Item, s.ID)
				if q.Find != "" {
					assert.Contains(t, []string{"", q.Item}, find[q.Find], "find number %s", q.Find)
					find[q.Find] = q.Item
				}
				if len(q.Occurrences) > 0 {
					assert.Equal(t, fmt.Sprint(len(q.Occurrences)), q.Quantity, "%s %s", s.ID, q.Item)
				}
				for _, r := range q.Occurrences {
					assert.Equal(t, q.Item, stands[of][r.Ref], "%s %s", s.ID, r.Ref)
					used[of+"/"+r.Ref]++
					mine[r.Ref] = true
				}
			}
			for i, r := range s.Tighten {
				assert.Equal(t, i+1, r.Order)
				assert.True(t, mine[r.Occurrence], "%s tightens %s, which it does not fit", s.ID, r.Occurrence)
			}
			for _, f := range s.Attachments {
				assert.Contains(t, out, f.File, s.ID)
			}
		}
	}
	for of, list := range stands {
		for o := range list {
			assert.Equal(t, 1, used[of+"/"+o], "%s in %s is consumed that often", o, of)
		}
	}
}

// orphans finds files that no plan refers to.
func orphans(t *testing.T, out map[string][]byte) {
	t.Helper()
	all := ""
	for name, data := range out {
		if strings.HasSuffix(name, ".xml") || strings.HasSuffix(name, ".obj") {
			all += string(data)
		}
	}
	for name := range out {
		if strings.HasPrefix(name, "geometry/") || strings.HasPrefix(name, "files/") {
			assert.Contains(t, all, strings.TrimPrefix(name, "geometry/"), "no plan refers to it")
		}
	}
}

func TestPredecessorsLeadFromBothBranchesToTheHousing(t *testing.T) {
	after := map[string][]string{}
	p := parsePlan(t, files(t)["plan.xml"])
	for _, o := range p.all() {
		for _, q := range o.Predecessors {
			after[o.ID] = append(after[o.ID], q.Ref)
		}
	}
	assert.Empty(t, after["OP-22"], "the lines start at once")
	assert.Empty(t, after["OP-23"])
	assert.Subset(t, after["OP-40"], []string{"OP-22", "OP-23"})
	seen := map[string]int{} // 1: on the way, 2: done
	var visit func(string)
	visit = func(id string) {
		require.NotEqual(t, 1, seen[id], "cyclic order at %s", id)
		if seen[id] == 2 {
			return
		}
		seen[id] = 1
		for _, q := range after[id] {
			require.True(t, slices.ContainsFunc(p.all(), func(o operationDoc) bool { return o.ID == q }), q)
			visit(q)
		}
		seen[id] = 2
	}
	for id := range after {
		visit(id)
	}
}

func TestHazardsAndTextsAreComplete(t *testing.T) {
	// ANSI Z535.6: signal word, hazard, consequence and avoidance.
	signal := []string{"DANGER", "WARNING", "CAUTION", "NOTICE"}
	n := 0
	for _, o := range parsePlan(t, files(t)["plan.xml"]).all() {
		for _, s := range o.Steps {
			require.Len(t, s.Texts, 2, s.ID)
			for _, h := range s.Hazards {
				n++
				require.Len(t, h.SignalWord, 2, s.ID)
				assert.Contains(t, signal, h.SignalWord[0])
				for _, texts := range [][]string{h.Description, h.Consequence, h.Avoidance} {
					require.Len(t, texts, 2, s.ID)
					assert.NotEmpty(t, texts[0])
					assert.NotEqual(t, texts[0], texts[1], "not translated")
				}
			}
		}
	}
	assert.Greater(t, n, 10)
}

// A decimal is written as its language writes it.
func TestDecimalsAreWrittenAsTheLanguageDoes(t *testing.T) {
	plan := files(t)["plan.xml"]
	assert.Regexp(t, `xml:lang="en">[^<]*\d\.\d`, string(plan))
	assert.Regexp(t, `xml:lang="de">[^<]*\d,\d`, string(plan))
	assert.Empty(t, regexp.MustCompile(`xml:lang="en">[^<]*\d,\d[^<]*`).FindAllString(string(plan), -1))
	assert.Empty(t, regexp.MustCompile(`xml:lang="de">[^<]*\d\.\d[^<]*`).FindAllString(string(plan), -1))
}

func TestLimitsAreInOrderAndUnitsAreKnown(t *testing.T) {
	known := units(t)
	for _, o := range parsePlan(t, files(t)["plan.xml"]).all() {
		for _, s := range o.Steps {
			for _, c := range s.Characteristics {
				lower, nominal, upper := rational(t, c.Lower), rational(t, c.Nominal), rational(t, c.Upper)
				assert.LessOrEqual(t, lower.Cmp(nominal), 0, s.ID)
				assert.LessOrEqual(t, nominal.Cmp(upper), 0, s.ID)
				assert.Contains(t, known, c.Unit, s.ID)
			}
			for _, q := range s.Parts {
				assert.Contains(t, known, q.Unit, s.ID)
			}
		}
	}
}

func rational(t *testing.T, s string) *big.Rat {
	t.Helper()
	r, ok := new(big.Rat).SetString(s)
	require.True(t, ok, s)
	return r
}

// units are the codes of UN/ECE Recommendation 20, from the open data.
func units(t *testing.T) map[string]bool {
	t.Helper()
	data, err := os.ReadFile(open.Path(t, "units/data/units-of-measure.csv"))
	require.NoError(t, err)
	rows, err := csv.NewReader(bytes.NewReader(data)).ReadAll()
	require.NoError(t, err)
	require.Equal(t, "CommonCode", rows[0][1])
	out := map[string]bool{}
	for _, row := range rows[1:] {
		out[row[1]] = true
	}
	return out
}

func TestRatiosFollowFromTheTeeth(t *testing.T) {
	assert.Equal(t, "9.31", single().ratio()) // 60/19 · 56/19 = 3360/361
	ratios := map[string]bool{}
	for _, v := range catalogue(8) {
		assert.Equal(t, stage1Sum, v.z1+v.z2, "fits the housing")
		ratios[v.ratio()] = true
	}
	assert.Len(t, ratios, 8)
}

func TestCatalogueSharesItsFiles(t *testing.T) {
	out, err := writtenCatalogue()
	require.NoError(t, err)
	plans, wheels := 0, 0
	ids := map[string]bool{}
	for name, data := range out {
		switch {
		case strings.HasPrefix(name, "plans/"):
			plans++
			ids[parsePlan(t, data).ID] = true
		case strings.HasPrefix(name, "geometry/wheel-1-"):
			wheels++
		}
	}
	assert.Equal(t, 3, plans)
	assert.Len(t, ids, 3)
	assert.Equal(t, 3, wheels)
	assert.NotContains(t, out, "plan.xml")
	assert.Equal(t, files(t)["geometry/housing-lower.stl"], out["geometry/housing-lower.stl"])
	own, names := map[string]bool{}, map[string]bool{}
	for _, v := range catalogue(500) {
		own[v.suffix], names[v.id] = true, true
	}
	assert.Len(t, own, len(firstStages), "more plans need no more geometry")
	assert.Len(t, names, 500)
}

func TestSheetsOpenElsewhere(t *testing.T) {
	out := files(t)
	for name, data := range out {
		switch filepath.Ext(name) {
		case ".png":
			_, err := png.Decode(bytes.NewReader(data))
			assert.NoError(t, err, name)
		case ".pdf":
			rendered(t, name, data)
		}
	}
}

// rendered has pdftoppm (Poppler) draw a sheet: it says nothing and the page is
// not blank.
func rendered(t *testing.T, name string, data []byte) {
	t.Helper()
	tool, err := exec.LookPath("pdftoppm")
	if err != nil {
		t.Log("pdftoppm is not there")
		return
	}
	c := exec.Command(tool, "-r", "20", "-gray", "-")
	c.Stdin = bytes.NewReader(data)
	var said bytes.Buffer
	c.Stderr = &said
	page, err := c.Output()
	assert.NoError(t, err, name)
	assert.Empty(t, said.String(), name)
	dark := 0
	for _, b := range page {
		if b < 128 {
			dark++
		}
	}
	assert.Greater(t, dark, 200, name)
}
