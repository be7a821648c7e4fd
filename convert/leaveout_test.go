package convert_test

import (
	"encoding/json"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"planfold/convert"
	"planfold/convert/diag"
	"planfold/convert/step"
	"planfold/convert/store"
)

// skipping is a mapper whose rules leave out steps.
type skipping struct {
	mapper
	steps map[string]bool
}

func (m skipping) LeavesOut() bool { return true }

func (m skipping) Assign(_ *step.Plan, o *step.Operation, _ step.Facts) diag.List {
	for _, s := range o.Steps {
		if m.steps[s.ID.Value] {
			s.Skip = text("not here")
		}
	}
	return nil
}

// What waits for a step that a rule leaves out waits for what that step waits for,
// wherever it stands in the file.
func TestStepsWaitForWhatIsIssued(t *testing.T) {
	tr := trial{dir: t.TempDir(), plans: map[string]string{"P-1": "P-1"}, mapper: func(id string) (*step.Plan, []*step.Operation) {
		plan, operations := bracket(id)
		steps := operations[0].Steps
		last := &step.Step{ID: text("S 3"), Predecessors: []step.Text{text("S 2")}}
		steps[1].Predecessors = []step.Text{text("S 1")}
		operations[0].Steps = []*step.Step{steps[0], last, steps[1]}
		return plan, operations
	}}
	s, err := store.Open(tr.dir)
	require.NoError(t, err)
	defer s.Close()
	o := tr.options(t, s)
	o.Mapper = skipping{tr.mapper, map[string]bool{"S 2": true}}
	_, err = convert.Run(t.Context(), o)
	require.NoError(t, err)
	waits := map[string][]string{}
	for name, content := range issued(t, tr.dir) {
		if strings.HasSuffix(name, "/step.json") {
			var doc struct {
				ID           string
				Predecessors []string
			}
			require.NoError(t, json.Unmarshal([]byte(content), &doc))
			waits[doc.ID] = doc.Predecessors
		}
	}
	assert.Equal(t, map[string][]string{"S 1": nil, "S 3": {"S 1"}}, waits)
}

// Of alternative operations all but one are to be skipped; until then it is said.
func TestOpenAlternativesOfOperations(t *testing.T) {
	m := mapper(func(id string) (*step.Plan, []*step.Operation) {
		plan, operations := bracket(id)
		other := &step.Operation{ID: text("OP-20"), Alternative: text("joining"), Steps: []*step.Step{{ID: text("S 3")}}}
		operations[0].Alternative = text("joining")
		return plan, append(operations, other)
	})
	open := findCode(check(t, "P-1", m).Diagnostics, "MAP_ALTERNATIVE_OPEN")
	require.NotNil(t, open)
	assert.Contains(t, open.Message, `"joining", of which "OP-10" is the first`)
	settled := mapper(func(id string) (*step.Plan, []*step.Operation) {
		plan, operations := m(id)
		operations[1].Steps[0].Skip = text("glued elsewhere")
		return plan, operations
	})
	assert.Nil(t, findCode(check(t, "P-1", settled).Diagnostics, "MAP_ALTERNATIVE_OPEN"))
}

// A plan that has other operations or steps when it is read again is refused, and the
// run goes on.
func TestPlanThatChangesIsRefused(t *testing.T) {
	for name, change := range map[string]func([]*step.Operation) []*step.Operation{
		"more operations": func(list []*step.Operation) []*step.Operation {
			return append(list, &step.Operation{ID: text("late"), Steps: list[0].Steps})
		},
		"fewer steps": func(list []*step.Operation) []*step.Operation {
			list[0].Steps = list[0].Steps[:1]
			return list
		},
	} {
		for _, leavesOut := range []bool{false, true} {
			reads := 0
			tr := trial{dir: t.TempDir(), plans: map[string]string{"P-1": "P-1"}, mapper: func(id string) (*step.Plan, []*step.Operation) {
				plan, operations := bracket(id)
				if reads++; reads > 1 {
					operations = change(operations)
				}
				return plan, operations
			}}
			s, err := store.Open(tr.dir)
			require.NoError(t, err)
			o := tr.options(t, s)
			if leavesOut {
				o.Mapper = skipping{tr.mapper, nil}
			}
			report, err := convert.Run(t.Context(), o)
			require.NoError(t, err, name)
			require.Equal(t, "refused", report.Plans[0].Outcome, name)
			require.Equal(t, 2, reads, name)
			s.Close()
		}
	}
}
