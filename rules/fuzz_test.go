package rules

import (
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"planfold/convert/step"
	"planfold/rules/action"
	"planfold/rules/document"
)

// FuzzCompile compiles anything, and maps a small plan by what compiles.
func FuzzCompile(f *testing.F) {
	for _, name := range append(ruleFiles(f), badFiles(f)...) {
		f.Add(readFile(f, name))
	}
	neutral, plan := readFile(f, neutralRules), readFile(f, dialects+"neutral/plan.xml")
	f.Fuzz(func(t *testing.T, text []byte) {
		layer := File{Name: "rules.yaml", Data: text, Beside: os.DirFS("testdata/bad")}
		if s, faults := Compile([]File{{Name: "neutral.yaml", Data: neutral}, layer}); (s == nil) != (len(faults) > 0) {
			t.Fatal("a set with faults, or none without", faults)
		}
		s, faults := Compile([]File{layer})
		if (s == nil) != (len(faults) > 0) {
			t.Fatal("a set with faults, or none without", faults)
		}
		for _, d := range faults {
			if d.Position.Line < 0 || d.Position.Column < 0 || d.Message == "" {
				t.Fatalf("%#v", d)
			}
		}
		if s == nil {
			return
		}
		for _, xml := range [][]byte{plan, []byte(smallPlan)} {
			s := s.Traced(func(e Event) {
				if e.Why != nil {
					e.Why()
				}
			})
			_, _, err := s.Read(opening(xml), "plan.xml", func(p *step.Plan, o *step.Operation) error {
				s.AssignItems(p, nil)
				s.Assign(p, o, nil)
				return nil
			})
			if err != nil {
				t.Fatal(err)
			}
		}
		check(t, s, plan)
	})
}

func badFiles(f testing.TB) []string {
	files, err := filepath.Glob("testdata/bad/*.yaml")
	if err != nil || len(files) == 0 {
		f.Fatal("no seeds", err)
	}
	return files
}

// neutralCompiler has compiled the neutral rules, and can compile what is added.
func neutralCompiler(f *testing.F) compiler {
	var none document.Faults
	c := compiler{faults: &none, set: &Set{rules: map[string][]*rule{}}}
	c.compile(layered([]File{{Name: "neutral.yaml", Data: readFile(f, neutralRules)}}, &none))
	return c
}

// FuzzCondition takes any text for a condition of each kind of rule, and asks it of
// every object of the neutral plan; where it does not hold, also why. A fault lies
// within the condition.
func FuzzCondition(f *testing.F) {
	kind := map[string]int{}
	for i, k := range action.Kinds {
		kind[k] = i
	}
	for _, name := range append(ruleFiles(f), badFiles(f)...) {
		var faults document.Faults
		if n := document.Parse(name, readFile(f, name), &faults); n != nil && n.Get("rules") != nil {
			for _, r := range n.Get("rules").Values {
				if when, of := r.Get("when"), r.Get("for"); when != nil && of != nil {
					f.Add(kind[of.Text], when.Text)
				}
			}
		}
	}
	neutral := neutralCompiler(f)
	plan := neutral.set.of(f, "plan.xml", readFile(f, dialects+"neutral/plan.xml"), nil)
	f.Fuzz(func(t *testing.T, of int, text string) {
		k := action.Kinds[uint(of)%uint(len(action.Kinds))]
		quoted, err := json.Marshal(text)
		if err != nil {
			t.Skip()
		}
		line := "when: " + string(quoted)
		var faults document.Faults
		c := compiler{faults: &faults, set: neutral.set, conditions: neutral.conditions}
		when := c.condition(document.Parse("rules.yaml", []byte(line), &faults).Get("when"), k, "f")
		if (when == nil) != faults.Any() {
			t.Fatal("a condition with faults, or none without", faults.List())
		}
		for _, d := range faults.List() {
			if d.Position.Line != 1 || d.Position.Column > len([]rune(line))+1 || d.Message == "" || !strings.Contains(text, "planfold") && strings.Contains(d.Message, "planfold.") {
				t.Fatalf("%q: %#v", text, d)
			}
		}
		if when == nil {
			return
		}
		set := *neutral.set
		set.rules = map[string][]*rule{k: {{name: "f", when: when}}}
		s := set.Traced(func(e Event) {
			if e.Why != nil {
				e.Why()
			}
		})
		s.AssignItems(plan.Plan, step.Facts{"N-0812": {Triangles: 5000}})
		for _, o := range plan.Operations {
			s.Assign(plan.Plan, o, nil)
		}
		s.mapping("plan.xml").planRules(plan.Plan)
	})
}

// check does with the rules all that check does.
func check(t *testing.T, s *Set, xml []byte) {
	s.Lint()
	v := s.Survey()
	p := v.Plan()
	of, _, err := p.Read(opening(xml), "plan.xml", func(of *step.Plan, o *step.Operation) error {
		p.AssignItems(of, nil)
		p.Assign(of, o, nil)
		p.Operation(of, o)
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	p.End(of)
	v.Findings()
	if err := v.Look(opening(xml), "plan.xml"); err != nil {
		t.Fatal(err)
	}
	if c := v.Coverage(); c.Plans.Did > c.Plans.Total || c.Rules.Did > c.Rules.Total || c.Percent() > 100 {
		t.Fatal("more than all", c)
	}
}

// FuzzTemplate takes any text for a template of each kind of rule, and fills it for
// every object of the neutral plan. A fault lies within the text; one without ${ is
// taken as it is.
func FuzzTemplate(f *testing.F) {
	for i, text := range []string{
		"plain", "${step.title}", "${ part.item.id } x ${part.quantity}", "$${not} ${'}'}", "${operation.id", "${}", "a\n${\n  bad.x}", "${decimal('1')}",
		"${step.parts.map(p, p.item.id).join(', ')}", "${{'a': 1}['a']}", "${facts.triangles.orValue(0)}", "${parameters.x}", "$$${plan.id}$", "${\"\\\"\"}", "ä${plan.id}ö${plan.nothing}",
	} {
		f.Add(i, text)
	}
	neutral := neutralCompiler(f)
	export := readFile(f, dialects+"neutral/plan.xml")
	actions := map[string]string{"operation": "title", "step": "skip", "part": "skip", "attachment": "title", "item": "hide", "plan": "hold", "occurrence": "hide", "characteristic": "skip"}
	f.Fuzz(func(t *testing.T, of int, text string) {
		k := action.Kinds[uint(of)%uint(len(action.Kinds))]
		quoted, err := json.Marshal(text)
		if err != nil || actions[k] == "" {
			t.Skip()
		}
		line := "{" + actions[k] + ": " + string(quoted) + "}"
		var faults document.Faults
		c := compiler{faults: &faults, set: neutral.set, conditions: neutral.conditions}
		node := document.Parse("rules.yaml", []byte(line), &faults)
		made := c.text(k)(node.Get(actions[k]), "text")
		if (made == nil) != faults.Any() {
			t.Fatal("a template with faults, or none without", faults.List())
		}
		for _, d := range faults.List() {
			if d.Position.Line != 1 || d.Position.Column > len([]rune(line))+1 || d.Message == "" || !strings.Contains(text, "planfold") && strings.Contains(d.Message, "planfold.") {
				t.Fatalf("%q: %#v", text, d)
			}
		}
		if made == nil {
			return
		}
		if !strings.Contains(text, "${") && made.Fixed != node.Get(actions[k]).Text {
			t.Fatalf("%q became %q", text, made.Fixed)
		}
		rule := "planfold: 1\nrules:\n  - {name: f, for: " + k + ", set: " + line + "}\n"
		s, wrong := Compile([]File{{Name: "neutral.yaml", Data: readFile(t, neutralRules)}, {Name: "rules.yaml", Data: []byte(rule)}})
		if s == nil {
			if len(wrong) == 0 {
				t.Fatal("no set, and no fault")
			}
			return
		}
		m := s.of(t, "plan.xml", export, nil)
		for _, o := range m.Operations {
			for _, st := range o.Steps {
				if st.Skip.Origin.Rule == "f" && strings.TrimSpace(st.Skip.Value) == "" {
					t.Fatalf("%q left a step out without a reason", text)
				}
			}
		}
	})
}
