package rules

import (
	"os"
	"path/filepath"
	"testing"

	"planfold/convert/step"
)

// FuzzCompile compiles anything, and maps a small plan by what compiles.
func FuzzCompile(f *testing.F) {
	for _, pattern := range []string{"testdata/bad/*.yaml", "testdata/mapping/*.yaml", dialects + "*/rules.yaml"} {
		files, err := filepath.Glob(pattern)
		if err != nil || len(files) == 0 {
			f.Fatal("no seeds", pattern, err)
		}
		for _, name := range files {
			b, err := os.ReadFile(name)
			if err != nil {
				f.Fatal(err)
			}
			f.Add(b)
		}
	}
	plan, err := os.ReadFile(dialects + "neutral/plan.xml")
	if err != nil {
		f.Fatal(err)
	}
	f.Fuzz(func(t *testing.T, text []byte) {
		s, faults := Compile([]File{{Name: "rules.yaml", Data: text}})
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
			_, _, err := s.Read(opening(xml), "plan.xml", func(p *step.Plan, o *step.Operation) error {
				s.AssignItems(p, nil)
				s.Assign(p, o, nil)
				return nil
			})
			if err != nil {
				t.Fatal(err)
			}
		}
	})
}
