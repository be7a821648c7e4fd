package convert

import (
	"context"
	"fmt"
	"runtime"
	"slices"
	"strings"
	"sync"

	"golang.org/x/sync/errgroup"
	"golang.org/x/sync/semaphore"
)

// memoryBudget bounds the inputs that are worked on at once, in bytes of memory.
const memoryBudget = 6 << 30

// job is one piece of a phase's work.
type job struct {
	memory   int64 // rough need, in bytes
	do       func() error
	panicked func(value any, where string)
}

func (r *run) runPhase(name string, jobs []job) error {
	progress := r.progress(name, len(jobs))
	progress(0)
	if err := pool(r.ctx, r.Workers, jobs, progress); err != nil {
		return fmt.Errorf("%s: %w", name, err)
	}
	return nil
}

// mostOfOne leaves room for small jobs beside one that needs more than there is, so
// that a single large file leaves no worker idle.
const mostOfOne = memoryBudget / 4 * 3

// pool runs the jobs on at most the given number of goroutines, in order, but for
// those that memory has no room for yet: the next that fit go first. It stops early
// when ctx ends or a job returns an error, which is the machine's fault.
func pool(ctx context.Context, workers int, jobs []job, progress func(int)) error {
	group, ctx := errgroup.WithContext(ctx)
	free := semaphore.NewWeighted(int64(max(workers, 1)))
	memory := semaphore.NewWeighted(memoryBudget)
	for waiting := slices.Clone(jobs); len(waiting) > 0; {
		if free.Acquire(ctx, 1) != nil {
			break
		}
		i := slices.IndexFunc(waiting, func(j job) bool { return memory.TryAcquire(j.weight()) })
		if i < 0 {
			i = 0
			if memory.Acquire(ctx, waiting[i].weight()) != nil {
				break
			}
		}
		j := waiting[i]
		waiting = slices.Delete(waiting, i, i+1)
		group.Go(func() error {
			defer progress(1)
			defer free.Release(1)
			defer memory.Release(j.weight())
			if ctx.Err() != nil {
				return nil
			}
			return j.run()
		})
	}
	if err := group.Wait(); err != nil && err != context.Canceled {
		return err
	}
	return nil
}

func (j job) weight() int64 { return min(max(j.memory, 0), mostOfOne) }

func (j job) run() (err error) {
	defer func() {
		if p := recover(); p != nil {
			j.panicked(p, panicPlace())
		}
	}()
	return j.do()
}

// panicPlace names the function that panicked, without a path of the machine that
// built it.
func panicPlace() string {
	var pcs [32]uintptr
	frames := runtime.CallersFrames(pcs[:runtime.Callers(3, pcs[:])])
	for {
		f, more := frames.Next()
		if strings.HasPrefix(f.Function, "planfold/") {
			return fmt.Sprintf("%s:%d", f.Function, f.Line)
		}
		if !more {
			return "unknown place"
		}
	}
}

func (r *run) progress(phase string, total int) func(int) {
	if r.Progress == nil {
		return func(int) {}
	}
	var mu sync.Mutex
	done := 0
	return func(n int) {
		mu.Lock()
		defer mu.Unlock()
		done += n
		r.Progress(phase, done, total)
	}
}
