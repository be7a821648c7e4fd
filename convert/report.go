package convert

import (
	"bytes"
	"cmp"
	"io"
	"time"

	"planfold/convert/bundle"
	"planfold/convert/diag"
	"planfold/schema"
)

// Report is run.json: what the last run did with each plan.
type Report struct {
	Format   string           `json:"format"`
	Tool     bundle.Tool      `json:"tool"`
	Status   int              `json:"status"`   // exit status
	Finished bool             `json:"finished"` // false when the run was stopped
	Started  string           `json:"started"`
	Seconds  float64          `json:"seconds"`
	Workers  int              `json:"workers"`
	Totals   ReportTotals     `json:"totals"`
	Plans    []PlanReport     `json:"plans"`
	Geometry []GeometryReport `json:"geometry,omitempty"`

	Diagnostics diag.List `json:"diagnostics,omitempty"` // of the rules, over all plans
}

// ReportTotals counts over the whole run.
type ReportTotals struct {
	Plans           int `json:"plans"`
	Converted       int `json:"converted"`
	Unchanged       int `json:"unchanged"`
	Held            int `json:"held"`
	Refused         int `json:"refused"`
	Stopped         int `json:"stopped"`
	Steps           int `json:"steps"`
	GeometryFiles   int `json:"geometryFiles"`
	SourceTriangles int `json:"sourceTriangles"`
	Errors          int `json:"errors"`
	Warnings        int `json:"warnings"`
}

// PlanReport is what became of one plan.
type PlanReport struct {
	File        string    `json:"file"`
	ID          string    `json:"id,omitempty"`
	Revision    string    `json:"revision,omitempty"`
	Edition     string    `json:"edition,omitempty"` // its folder below the output folder
	Outcome     string    `json:"outcome"`           // "converted", "unchanged", "held", "refused" or, when the run was, "stopped"
	Cause       string    `json:"cause,omitempty"`
	Steps       int       `json:"steps,omitempty"`
	Triangles   int       `json:"triangles,omitempty"`
	Bytes       int64     `json:"bytes,omitempty"`
	Diagnostics diag.List `json:"diagnostics,omitempty"`
}

// GeometryReport is what became of one geometry file.
type GeometryReport struct {
	File        string    `json:"file"`
	Triangles   int       `json:"triangles,omitempty"`
	Levels      int       `json:"levels,omitempty"`
	Diagnostics diag.List `json:"diagnostics,omitempty"`
}

// The exit statuses that a run itself can tell apart.
const (
	statusDone    = 0
	statusStopped = 1
	statusLeftOut = 3
)

// close moves the catalog to the new editions and writes the report.
func (r *run) close(started time.Time) (*Report, error) {
	report := &Report{
		Format: "planfold/run/1", Tool: r.Tool, Finished: r.ctx.Err() == nil, Workers: r.Workers,
		Started: started.UTC().Format(time.RFC3339), Seconds: r.Clock().Sub(started).Seconds(), Plans: []PlanReport{},
	}
	for _, p := range r.plans {
		report.add(p, r.takeIntoCatalog(p))
	}
	for _, s := range r.shapes {
		report.addGeometry(s)
	}
	if report.Finished {
		report.Diagnostics = r.Mapper.Unread()
		report.count(report.Diagnostics)
	}
	report.Status = report.status()
	if r.DryRun {
		return report, nil
	}
	text, err := schema.Encode(r.catalog)
	if err != nil {
		return nil, err
	}
	if p := bundle.CheckDocument("catalog", "catalog.json", text); len(p) > 0 {
		panic("convert: internal error: " + p[0].String())
	}
	if err := r.Store.Write("catalog.json", text); err != nil {
		return nil, err
	}
	if err := r.Store.Stream("run.json", report.write); err != nil {
		return nil, err
	}
	return report, nil
}

// write writes run.json. A rule that is wrong raises a diagnostic for each of a
// hundred thousand steps, so that those of a plan are written one by one.
func (rep *Report) write(w io.Writer) error {
	head := *rep
	head.Plans = []PlanReport{}
	text, err := schema.Encode(&head)
	if err != nil {
		return err
	}
	out := schema.NewWriter(w)
	before, rest := schema.Empty(text, "plans")
	out.Text(before)
	for i, p := range rep.Plans {
		if i > 0 {
			out.Text([]byte{','})
		}
		out.Text([]byte("\n    "))
		p.write(out)
	}
	if len(rep.Plans) > 0 {
		out.Text([]byte("\n  "))
	}
	out.Text(rest)
	problems, err := out.End()
	if problems = append(problems, schema.Check("run", text)...); len(problems) > 0 {
		panic("convert: internal error: run.json: " + problems[0].String())
	}
	return err
}

// write writes a plan's entry. Each of its diagnostics is checked in the entry.
func (p PlanReport) write(out *schema.Writer) {
	const end = "\n    }"
	list := p.Diagnostics
	p.Diagnostics = nil
	entry := bytes.TrimSuffix(out.Entry(&p, "    "), []byte(end))
	out.Text(entry)
	in := schema.List{Schema: "run", Before: `{"plans":[` + string(entry), After: "}]}"}
	if len(list) > 0 {
		out.Text([]byte(",\n      \"diagnostics\": ["))
		in.Before, in.After = in.Before+`,"diagnostics":[`, "]}]}"
	}
	out.List(in, "        ", func(yield func([]byte)) {
		for i := range list {
			yield(out.Entry(&list[i], "        "))
		}
	})
	if len(list) > 0 {
		out.Text([]byte{']'})
	}
	out.Text([]byte(end))
}

// takeIntoCatalog makes a plan's edition current, if it may be, and reports when
// nothing says whether it may.
func (r *run) takeIntoCatalog(p *planJob) (edition string) {
	e := p.result.edition
	if e == nil || p.refused {
		return ""
	}
	unknown := ""
	r.catalog.Add(p.id, *e, func(revision, than string) bool {
		yes, known := p.result.newer(revision, than)
		if !known {
			unknown = than
		}
		return yes
	})
	if unknown != "" {
		p.diagnostics.Add(diag.RunRevisionUndecided.At(p.position(), "plan %q: revision %q is issued; %q stays current", p.id, p.revision, unknown))
	}
	return "plans/" + bundle.Name(p.id) + "/" + e.Folder
}

func (rep *Report) add(p *planJob, edition string) {
	outcome := cmp.Or(p.result.outcome, "stopped")
	if p.refused {
		outcome = "refused"
	}
	for i := range p.diagnostics {
		d := &p.diagnostics[i]
		d.Plan = p.id
		if d.Position.File == p.source.Base {
			d.Position.File = p.source.Name // as the user named it; what is issued has the base alone
		}
	}
	out := PlanReport{File: p.source.Name, ID: p.id, Revision: p.revision, Edition: edition, Outcome: outcome, Diagnostics: p.diagnostics}
	if e := p.result.edition; e != nil {
		t := p.result.totals
		out.Cause, out.Steps, out.Triangles, out.Bytes = e.Cause, t.Steps, t.Triangles, t.SceneBytes+t.BlobBytes
	}
	rep.Plans = append(rep.Plans, out)
	t := &rep.Totals
	t.Plans++
	t.Steps += out.Steps
	*map[string]*int{"converted": &t.Converted, "unchanged": &t.Unchanged, "held": &t.Held, "refused": &t.Refused, "stopped": &t.Stopped}[outcome]++
	rep.count(p.diagnostics)
}

func (rep *Report) addGeometry(s *shapes) {
	rep.Totals.GeometryFiles++
	rep.Totals.SourceTriangles += s.record.Triangles
	out := GeometryReport{File: s.path, Triangles: s.record.Triangles, Diagnostics: s.diagnostics}
	for _, l := range s.ladders {
		out.Levels += len(l.Levels)
	}
	if s.path != "" {
		rep.Geometry = append(rep.Geometry, out)
	}
	rep.count(s.diagnostics)
}

func (rep *Report) count(list diag.List) {
	for _, d := range list {
		switch d.Severity {
		case diag.Error:
			rep.Totals.Errors++
		case diag.Warning:
			rep.Totals.Warnings++
		}
	}
}

func (rep *Report) status() int {
	switch {
	case !rep.Finished:
		return statusStopped
	case rep.Totals.Errors > 0 || rep.Totals.Held > 0 || rep.Totals.Refused > 0:
		return statusLeftOut
	}
	return statusDone
}
