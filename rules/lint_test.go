package rules

import (
	"fmt"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"planfold/convert/diag"
)

// surveyed maps a plan under a survey, and returns what failed and what was found.
func surveyed(t testing.TB, v *Survey, name string, xml []byte) diag.List {
	t.Helper()
	p := v.Plan()
	m := p.Set.of(t, name, xml, nil)
	for _, o := range m.Operations {
		p.Operation(m.Plan, o)
	}
	return p.End(m.Plan)
}

// Each rule file under testdata/lint stands beside what check finds in it when it
// reads the plan there.
func TestLint(t *testing.T) {
	files, err := filepath.Glob("testdata/lint/*.yaml")
	require.NoError(t, err)
	raised := map[string]bool{}
	for _, f := range files {
		code := strings.TrimSuffix(filepath.Base(f), ".yaml")
		t.Run(code, func(t *testing.T) {
			s := compiled(t, f)
			v := s.Survey()
			list := s.Lint()
			list.Add(surveyed(t, v, "plan.xml", readFile(t, "testdata/lint/plan.xml"))...)
			list.Add(v.Findings()...)
			var report strings.Builder
			for _, d := range list {
				raised[d.Code] = raised[d.Code] || d.Code == code
				report.WriteString(d.String() + "\n")
				for _, r := range d.Related {
					report.WriteString("    " + r.Position.String() + ": " + r.Message + "\n")
				}
			}
			assert.True(t, raised[code], "%s is not raised", code)
			golden(t, strings.TrimSuffix(f, ".yaml")+".report.txt", []byte(report.String()))
		})
	}
	for _, c := range diag.Codes() {
		if lintCode(c) {
			assert.True(t, raised[c.Name], "testdata/lint has no %s", c.Name)
		}
	}
}

// lintCode tells what check finds in rules that compile from what refuses them.
func lintCode(c *diag.Code) bool {
	return strings.HasPrefix(c.Name, "RULE_") && (c.Severity < diag.Error || c == diag.RuleExpectationFailed)
}

func TestFindingsDoNotDependOnTheOrderOfPlans(t *testing.T) {
	s := compiled(t, "testdata/lint/RULE_NAME_ABSENT.yaml")
	plan := readFile(t, "testdata/lint/plan.xml")
	other := []byte(strings.ReplaceAll(string(plan), `id="X"`, `id="Y"`))
	var lists []diag.List
	for _, plans := range [][][]byte{{plan, other}, {other, plan}} {
		v := s.Survey()
		for _, p := range plans {
			assert.Empty(t, surveyed(t, v, "plan.xml", p))
		}
		lists = append(lists, v.Findings())
	}
	assert.Equal(t, lists[0], lists[1])
	for _, d := range lists[0] {
		assert.NotContains(t, d.Message, `"Y"`, "another plan has that name")
	}
}

func TestWithoutPlansNothingIsSaidOfPlans(t *testing.T) {
	v := compiled(t, "testdata/lint/RULE_READS_NOTHING.yaml").Survey()
	assert.Nil(t, v.Plan().End(nil), "a plan that was refused")
	assert.Empty(t, v.Findings())
}

func TestGoodRulesOfTheDialectsAreNotFaultedWithoutPlans(t *testing.T) {
	for _, files := range [][]string{{"neutral/rules.yaml"}, {"neutral/rules.yaml", "reducer.yaml"}, {"block-stage/rules.yaml"}} {
		for i := range files {
			files[i] = dialects + files[i]
		}
		assert.Empty(t, compiled(t, files...).Lint())
	}
}

func TestConditionIsConstantWhateverTheVariablesAre(t *testing.T) {
	for condition, want := range map[string]string{
		"true":                         "true",
		`item.id == "" || 1 < 2`:       "true",
		`part.quantity != "" && 1 > 2`: "false",
		`[1, 2].exists(x, x > 2)`:      "false",
		`step.parts.all(p, 1 > 2)`:     "", // there may be none
		`part.quantity == "4"`:         "",
		`parameters.on`:                "", // another file may change it
		`decimal("x") > 1.0`:           "", // fails
		`item.class in []`:             "",
		`[0,1,2,3,4,5,6,7,8,9].all(a, [0,1,2,3,4,5,6,7,8,9].all(b, [0,1,2,3,4,5,6,7,8,9].all(c, [0,1,2,3,4,5,6,7,8,9].all(d, [0,1,2,3,4,5,6,7,8,9].all(e, a + b + c + d + e >= 0)))))`: "", // too much work to tell
	} {
		s := rulesOf(t, small+"parameters: {on: false}\nrules:\n  - {name: r, for: part, when: '"+condition+"', set: {role: focus}}\n")
		got := ""
		if yes, known := s.rules["part"][0].when.constant(); known {
			got = fmt.Sprint(yes)
		}
		assert.Equal(t, want, got, condition)
	}
}

// Why a condition is false is found out by programs that are made when they are
// asked for: run with -race.
func TestPlansAreSurveyedAtTheSameTime(t *testing.T) {
	text := small + "expectations:\n"
	for i := range 4 {
		text += fmt.Sprintf("- {name: e%d, plan: X%d, for: step, expect: step.title == 'none'}\n", i, i)
	}
	v := rulesOf(t, text).Survey()
	var all sync.WaitGroup
	for i := range 4 {
		xml := strings.Replace(smallPlan, `"X"`, fmt.Sprintf(`"X%d"`, i), 1)
		all.Go(func() { assert.Len(t, surveyed(t, v, "plan.xml", []byte(xml)), 2, "one a step") })
	}
	all.Wait()
	assert.Equal(t, 4, v.plans)
}
