package main

import (
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"planfold/convert/bundle"
	"planfold/convert/diag"
	"planfold/testdata/dialects"
	"planfold/testdata/open"
)

func TestDialectsThatShipOnlyRead(t *testing.T) {
	require.NotEmpty(t, dialects.Names())
	readme, err := os.ReadFile(root + "/README.md")
	require.NoError(t, err)
	for _, name := range dialects.Names() {
		text, known := dialects.Rules(name)
		assert.True(t, known)
		assert.NotContains(t, string(text), "\nrules:", "%s assigns", name)
		assert.Contains(t, string(text), "\nname: "+name+"\n")
		assert.Contains(t, string(readme), "| `"+name+"` |", "%s is not in the table of README", name)
	}
}

// counted asks xmllint (libxml2) what an XPath gives for a file, without namespaces.
func counted(t *testing.T, file, path string) string {
	t.Helper()
	if _, err := exec.LookPath("xmllint"); err != nil {
		t.Skip("xmllint is not there")
	}
	out, err := exec.Command("xmllint", "--nonet", "--xpath", path, file).Output()
	require.NoError(t, err)
	return strings.TrimSpace(string(out))
}

// The QIF plans are open data of the Digital Metrology Standards Consortium, BSL-1.0,
// see qif/SOURCE.
func qif(t *testing.T, name string, status int) (edition, string) {
	t.Helper()
	file := open.Path(t, "qif/"+name)
	e := shared(t, name, func(out string) edition { return convertTo(t, out, status, "-r", "qif", file) })
	const plan = "//*[local-name()='Plan']"
	assert.Equal(t, counted(t, file, "count("+plan+"//*[local-name()='NumberedPlanElement'])"), strconv.Itoa(len(e.steps)))
	assert.Equal(t, counted(t, file, "count("+plan+"//*[local-name()='CharacteristicItemIds']/*)"),
		strconv.Itoa(count(e, func(s bundle.Step) int { return len(s.Characteristics) })))
	assert.Equal(t, counted(t, file, "count("+plan+"//*[local-name()='WorkInstructionIds']/*)"),
		strconv.Itoa(count(e, func(s bundle.Step) int { return len(s.Text) })))
	assert.Equal(t, counted(t, file, "string(/*/*[local-name()='QPId'])"), e.manifest.Plan)
	return e, file
}

func count(e edition, of func(bundle.Step) int) int {
	n := 0
	for _, s := range e.steps {
		n += of(s)
	}
	return n
}

// limits writes a characteristic: nominal, lower, upper, unit.
func limits(s bundle.Step, i int) string {
	c := s.Characteristics[i]
	return strings.Join([]string{c.ID.Value, c.Nominal.Value, c.Lower.Value, c.Upper.Value, c.Unit.Value}, " ")
}

func TestQIFPlanWithWorkInstructions(t *testing.T) {
	e, _ := qif(t, "planWithWorkInstructions.QIF", statusDone)
	require.Len(t, e.steps, 2)
	assert.Equal(t, []string{"1", "2"}, []string{e.steps[0].ID.Value, e.steps[1].ID.Value})
	assert.Equal(t, "Rotate Part", e.steps[1].Text.First())
	assert.Empty(t, e.steps[0].Text)
	// The example calls 2.200 and 1.800 deviations (DefinedAsLimit is false), though
	// it plainly means limits: the plan stays the master.
	assert.Equal(t, "D1 2.000 3.800 4.200 ", limits(e.steps[0], 0))
	assert.Equal(t, "D2 2.000 5.800 6.200 ", limits(e.steps[1], 0))
}

func TestQIFOrderedPlan(t *testing.T) {
	e, file := qif(t, "orderedPlan.QIF", statusLeftOut)
	require.Len(t, e.steps, 7)
	assert.Equal(t, "11 81.208839738425993 80.708839738425993 81.708839738425993 mm", limits(e.steps[0], 0), "deviations, added to every digit")
	assert.Equal(t, "B 2466.729248046875   mm", limits(e.steps[1], 0), "a basic dimension has no limits")
	assert.Equal(t, "3  944.80274658203098 945.20274658203107 mm", limits(e.steps[1], 2), "defined as limits; no nominal")
	assert.Equal(t, "A   4 mm", limits(e.steps[2], 0), "the width of a zone")
	assert.Equal(t, "8  9.6 10.4 mm", limits(e.steps[3], 0))
	assert.Equal(t, "6 10 9.6 10.4 mm", limits(e.steps[3], 1))
	var found []string
	for _, d := range e.report.Plans[0].Diagnostics {
		if d.Severity > diag.Info {
			found = append(found, d.Code+" "+strconv.Itoa(d.Position.Line))
		}
	}
	assert.Equal(t, []string{"FILE_OUTSIDE 198"}, found, "the model's file, on a drive of its own")
	assert.Equal(t, `D:\CM14_Parts\QIF\sheet2_solid4.SLDPRT`, counted(t, file, "string(//*[local-name()='DigitalModel']/*/*[local-name()='Name'])"))
}

// The production schedule is MESA's published example, see b2mml/SOURCE: The Business
// To Manufacturing Markup Language (B2MML) is used courtesy of MESA International.
func TestB2MMLSchedule(t *testing.T) {
	files, err := filepath.Glob(open.Path(t, "b2mml/courbon") + "/PRO-*.xml")
	require.NoError(t, err)
	require.Len(t, files, 1)
	e := convertTo(t, t.TempDir(), statusDone, "-r", "b2mml-schedule", files[0])
	assert.Equal(t, counted(t, files[0], "string(//*[local-name()='ProductionRequest']/*[local-name()='ID'])"), e.manifest.Plan)
	require.Len(t, e.steps, 1, "three segments, one in the other: the innermost is a step")
	assert.Equal(t, []string{"0010", "Weighing", "3", "Contenair"}, []string{
		e.steps[0].Operation.Parent.Value, e.steps[0].Operation.ID.Value, e.steps[0].Operation.WorkCentre.Value, e.steps[0].ID.Value,
	})
	var rows []string
	for _, p := range e.steps[0].Parts {
		rows = append(rows, strings.Join([]string{p.Find.Value, p.Item.Value, p.Quantity.Value, p.Unit.Value, p.PartsOf}, " "))
	}
	assert.Equal(t, []string{
		" CRBN0001 199.910 KGM ", " CRBN0002 2152.3 KGM ",
		"0010 CRBN0001 5.000 KGM operation", "0020 CRBN0002 50.000 KGM operation", "0030 CRBN0001 811.000 KGM operation", "0040 CRBN0003 100.000 KGM operation",
	}, rows)
	const consumed = "//*[local-name()='MaterialRequirement'][not(*[local-name()='MaterialUse'] = 'Produced')]"
	assert.Equal(t, counted(t, files[0], "count("+consumed+")"), strconv.Itoa(len(rows)))
}

// twins converts a plan of the reducer with geometry of its own, as its dialect says.
func twins(t *testing.T, dialect, geometry string) edition {
	t.Helper()
	at := root + "/testdata/dialects/"
	return convertTo(t, t.TempDir(), statusLeftOut, "-r", dialect, "-r", at+"reducer.yaml", "-g", geometry, "-a", geometry, at+dialect+"/plan.xml")
}

// The reducer's plan says the same in B2MML as in the neutral dialect.
func TestB2MMLTwin(t *testing.T) {
	in := t.TempDir()
	box, err := os.ReadFile("testdata/golden/latch/in/plate.stl")
	require.NoError(t, err)
	for _, name := range []string{"housing-lower.stl", "shield.stl", "seal.stl", "bolt.stl"} {
		require.NoError(t, os.MkdirAll(in+"/geometry", 0o777))
		require.NoError(t, os.WriteFile(in+"/geometry/"+name, box, 0o666))
	}
	want, got := twins(t, "neutral", in), twins(t, "b2mml", in)
	require.Len(t, want.steps, 3)
	require.Len(t, got.steps, 3)
	scenes := 0
	for i, s := range want.manifest.Steps {
		for _, file := range []string{"step.json", "scene.gltf"} {
			mine, err := os.ReadFile(want.folder + "/steps/" + s.Folder + "/" + file)
			require.NoError(t, err)
			other, err := os.ReadFile(got.folder + "/steps/" + got.manifest.Steps[i].Folder + "/" + file)
			require.NoError(t, err)
			// What was not carried over is named by its line.
			line := regexp.MustCompile(`"(line|column)": [0-9]+`)
			assert.Equal(t, line.ReplaceAllString(string(mine), "…"), line.ReplaceAllString(string(other), "…"), "%s of %s", file, s.Folder)
		}
		scenes += want.steps[i].Scene.Triangles
	}
	assert.Positive(t, scenes)
	assert.Empty(t, append(want.lines("ORDER_CYCLE"), got.lines("ORDER_CYCLE")...))
	text, err := planfold(t, "diff", want.folder, got.folder).CombinedOutput()
	assert.NoError(t, err, "%s", text)
	assert.Contains(t, string(text), "no difference")
}

// A segment holds from one date to another.
func TestB2MMLEffectivity(t *testing.T) {
	at := root + "/testdata/dialects/b2mml/plan.xml"
	text, err := os.ReadFile(at)
	require.NoError(t, err)
	const title = "<Description languageID=\"de\">Deckel verschrauben</Description>"
	require.Contains(t, string(text), title)
	plan := t.TempDir() + "/plan.xml"
	dated := strings.Replace(string(text), title, title+"<EffectiveStartDate>2024-05-01T00:00:00Z</EffectiveStartDate>", 1)
	require.NoError(t, os.WriteFile(plan, []byte(dated), 0o666))
	for date, steps := range map[string]int{"2024-04-30": 2, "2024-05-01": 3} {
		assert.Len(t, convertTo(t, t.TempDir(), statusLeftOut, "-r", "b2mml", "--effective", date, plan).steps, steps, date)
	}
}

func TestDialectsHoldTheirExpectations(t *testing.T) {
	at := root + "/testdata/dialects/"
	schedules, err := filepath.Glob(open.Path(t, "b2mml/courbon") + "/PRO-*.xml")
	require.NoError(t, err)
	for _, c := range []struct {
		rules, expectations string
		plans               []string
		status              int
	}{
		{"neutral", "reducer.yaml", []string{at + "neutral/plan.xml"}, statusDone},
		{"b2mml", "reducer.yaml", []string{at + "b2mml/plan.xml"}, statusDone},
		{"b2mml-schedule", "b2mml-schedule/expectations.yaml", schedules, statusDone},
		{"qif", "qif/expectations.yaml", []string{open.Path(t, "qif/orderedPlan.QIF"), open.Path(t, "qif/planWithWorkInstructions.QIF")}, statusDone},
		{at + "block-stage/rules.yaml", "block-stage/expectations.yaml", []string{open.Path(t, "block-stage-revisions")}, statusLeftOut},
	} {
		check := planfold(t, append([]string{"check", "-r", c.rules, "-r", at + c.expectations}, c.plans...)...)
		text, _ := check.CombinedOutput()
		assert.Equal(t, c.status, check.ProcessState.ExitCode(), "%s", text)
		assert.Contains(t, string(text), "0 expectations failed")
		assert.NotContains(t, string(text), "RULE_UNUSED", "%s", text)
	}
}

// The schemas are MESA's, see b2mml/SOURCE: The Business To Manufacturing Markup
// Language (B2MML) is used courtesy of MESA International.
func TestB2MMLTwinIsValid(t *testing.T) {
	schema := open.Path(t, "b2mml/Schema/AllSchemas.xsd")
	if _, err := exec.LookPath("xmllint"); err != nil {
		t.Skip("xmllint is not there")
	}
	plan := root + "/testdata/dialects/b2mml/plan.xml"
	text, err := exec.Command("xmllint", "--nonet", "--noout", "--schema", schema, plan).CombinedOutput()
	assert.NoError(t, err, "%s", text)
	b, err := os.ReadFile(plan)
	require.NoError(t, err)
	wrong := t.TempDir() + "/wrong.xml"
	require.NoError(t, os.WriteFile(wrong, []byte(strings.Replace(string(b), "<MaterialUse>Consumed<", "<MaterialUse>Used<", 1)), 0o666))
	assert.Error(t, exec.Command("xmllint", "--nonet", "--noout", "--schema", schema, wrong).Run())
}
