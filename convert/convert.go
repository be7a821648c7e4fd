// Package convert is the run: it takes plans through reading, reduction,
// assembly and issue, in phases, and reports what became of each.
//
//	scan      each plan is read once: its identity, its outline, the files it names
//	files     each attachment is found, identified and measured, once
//	geometry  each distinct geometry file is decoded, each distinct mesh reduced, once
//	assemble  each plan is read again; its steps get their scenes and documents,
//	          which are checked as bytes and issued as an edition, or not at all
//	close     the catalog moves to the new editions; the report is written
//
// All concurrency of the converter is here: a phase runs its jobs on one bounded
// pool, and no job starts another. A job's results go into a slice by index, so
// that the number of workers changes no byte. A panic or a bad input in one job
// becomes that job's diagnostic; the rest goes on.
package convert

import (
	"context"
	"fmt"
	"io"
	"io/fs"
	"sync"
	"time"

	"planfold/convert/bundle"
	"planfold/convert/diag"
	"planfold/convert/profile"
	"planfold/convert/store"
)

// Folder is a folder of input files. Plans that share one share a *Folder.
type Folder struct {
	Name string // as given by the user
	FS   fs.FS
}

// Source is a plan to convert.
type Source struct {
	Name        string                        // as given by the user, for the report
	Base        string                        // the file's own name, for what is issued
	Open        func() (io.ReadCloser, error) // anew for each pass
	Geometry    *Folder                       // root of geometry references
	Attachments *Folder                       // root of attachment references
}

// Unreadable says why the plan cannot be read.
func (s Source) Unreadable(err error) diag.Diagnostic {
	return diag.FileUnreadable.At(diag.Position{File: s.Base}, "cannot read the plan: %v", cause(err))
}

// Options of a run. Only Profile, Effective and the mapper's rules change what
// is issued; the rest says how to run.
type Options struct {
	Store     *store.Store
	Cache     *store.Cache
	Mapper    Mapper
	Profile   profile.Profile
	Tool      bundle.Tool
	Plans     []Source
	Effective string // serial number or date that the mapper leaves out others for; "": none
	Only      string // convert this plan id alone; "" converts all
	DryRun    bool   // do all but issue
	Workers   int    // at least 1
	Clock     func() time.Time
	Progress  func(phase string, done, total int) // may be nil; called from one goroutine at a time
}

// Run converts the plans. The error is the machine's (disk, store); what is wrong
// with the input stands in the report. When ctx ends, jobs under way are finished,
// no more are begun, and the report says so.
func Run(ctx context.Context, o Options) (*Report, error) {
	catalog, err := openTree(o)
	if err != nil {
		return nil, err
	}
	r := &run{Options: o, ctx: ctx, catalog: catalog, finder: finder{listed: map[fileKey][]string{}}, files: map[fileKey]*file{}, geometry: map[shapeKey]*shapes{}}
	r.levels.load = r.loadLevel
	started := o.Clock()
	for _, phase := range []func() error{r.scan, r.findFiles, r.reduceGeometry, r.checkSpace, r.assemble} {
		if err := phase(); err != nil {
			return nil, err
		}
		if ctx.Err() != nil {
			break
		}
	}
	return r.close(started)
}

type run struct {
	Options
	ctx      context.Context
	catalog  *bundle.Catalog
	plans    []*planJob
	finder   finder
	finding  sync.Mutex           // of files, when plans are assembled
	files    map[fileKey]*file    // attachments
	geometry map[shapeKey]*shapes // filled before they are looked up
	shapes   []*shapes            // the same, in the order of the plans
	levels   levels               // what is looked at of geometry when plans are assembled
}

// TreeError says that a tree was made in another way than is asked for now.
type TreeError struct{ What, Has, Asked string }

func (e *TreeError) Error() string {
	if e.Has == "" {
		return fmt.Sprintf("the output folder was made without %s, this run is for %s %q; use another folder", e.What, e.What, e.Asked)
	}
	if e.Asked == "" {
		return fmt.Sprintf("the output folder was made for %s %q, this run is for none; use another folder", e.What, e.Has)
	}
	return fmt.Sprintf("the output folder was made for %s %q, this run is for %s %q; use another folder", e.What, e.Has, e.What, e.Asked)
}

// openTree reads the catalog, takes up editions that a killed run issued without
// reaching the catalog, and refuses a tree of another profile or effectivity.
func openTree(o Options) (*bundle.Catalog, error) {
	c, err := bundle.ReadCatalog(o.Store.FS())
	if err != nil {
		return nil, fmt.Errorf("read the output folder: %w", err)
	}
	if c.Profile != "" && c.Profile != o.Profile.Name {
		return nil, &TreeError{"profile", c.Profile, o.Profile.Name}
	}
	if c.Profile != "" && c.Effective != o.Effective {
		return nil, &TreeError{"effectivity", c.Effective, o.Effective}
	}
	c.Profile, c.Effective = o.Profile.Name, o.Effective
	return c, bundle.TakeUp(o.Store.FS(), c)
}

// panicked turns a caught panic into a diagnostic.
func panicked(at diag.Position, p any, where string) diag.Diagnostic {
	return diag.RunPanic.At(at, "internal error: %v (%s)", p, where)
}
