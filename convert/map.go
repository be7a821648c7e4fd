package convert

import (
	"context"
	"fmt"

	"planfold/convert/diag"
	"planfold/convert/step"
)

// Map reads one plan and applies the assigning rules, without geometry: nothing is
// known of any item's triangles or bounds. Each operation is handed to each when
// its element ends, with the head of its plan, and is free to be kept. The head is
// nil if the export is no plan; the list holds what was found wrong.
func Map(m Mapper, s Source, each func(*step.Plan, *step.Operation) error) (*step.Plan, diag.List, error) {
	var assigned diag.List
	var begun bool
	p, list, err := m.Read(s.Open, s.Base, func(p *step.Plan, o *step.Operation) error {
		if !begun {
			begun = true
			assigned.Add(m.AssignItems(p, nil)...)
		}
		assigned.Add(m.Assign(p, o, nil)...)
		return each(p, o)
	})
	return p, append(list, assigned...), err
}

// Each calls do with every index below n, on at most the given number of
// goroutines. It ends early when ctx ends or do returns an error, and returns that
// error. A panic in do is returned as an error.
func Each(ctx context.Context, workers, n int, do func(i int) error) error {
	jobs := make([]job, n)
	panics := make([]error, n)
	for i := range jobs {
		jobs[i] = job{
			do:       func() error { return do(i) },
			panicked: func(value any, where string) { panics[i] = fmt.Errorf("internal error: %v (%s)", value, where) },
		}
	}
	if err := pool(ctx, workers, jobs, func(int) {}); err != nil {
		return err
	}
	for _, err := range panics {
		if err != nil {
			return err
		}
	}
	return ctx.Err()
}
