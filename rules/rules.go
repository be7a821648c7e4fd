// Package rules gives meaning to a plan: a rule file says which elements of an
// export are operations, steps, parts and the rest (the reading rules), and what
// is done to them (the assigning rules).
//
//	files ──Compile──▶ Set ──Read──▶ step.Plan and its operations, as a stream
//	                       ──Assign─▶ the same with budgets, roles, motions, …
//
// A Set is the mapper that package convert asks for. It is never changed once
// compiled, but for what Counting remembers, and serves any number of plans at a time.
// Rules are trusted to be wrong, not hostile: all faults of a rule file are reported at
// once, each at its line and column.
//
// The meaning of every key stands in one table a kind of record (fields.go) and in
// the table of actions (package action). What reading cannot understand in a plan
// becomes a diagnostic; nothing is guessed.
package rules

import (
	"crypto/sha256"
	"encoding/hex"
	"io"
	"io/fs"
	"strconv"

	"planfold/convert/diag"
	"planfold/rules/document"
	"planfold/rules/selector"
	"planfold/rules/table"
)

// File is one rule file.
type File struct {
	Name   string
	Data   []byte
	Beside fs.FS // the folder it stands in, for the tables that it names; nil: there are none
	Shared bool  // a dialect that many sites use: that a plan has not all of it is normal
}

// Set is a compiled set of rules.
type Set struct {
	name          string
	digest        string
	frame         frame
	decimalComma  bool
	effective     string            // serial number or date; "": everything holds
	language      string            // of texts that have none
	units         map[string]string // codes by the dialect's spelling
	prefixes      map[string]string // by namespace
	joins         []*join
	noHazards     *selector.Match // elements whose texts are no hazard statements
	plan          []*reading
	items         []*reading
	occurrences   []*reading
	views         []*reading
	operations    []*reading
	revisionOrder string // as in step.Plan
	rules         map[string][]*rule
	tables        map[string]*table.Table // by name; nil: at fault
	passes        passes
	expectations  []*expectation
	mentions      []mention // by conditions
	unused        diag.List // parameters, lists and tables
	constants     []string  // variables that conditions and texts ask for
	trace         trace
	shared        map[string]bool // files that many sites use
	counted       *counted        // nil: nothing is
}

// frame is how the dialect writes lengths, axes and matrices.
type frame struct {
	metres      float64 // a unit of placements, cameras and distances
	up          byte
	columnMajor bool
	geometry    map[string]float64 // metres a unit, by format
}

// Compile reads rule files, later ones layered over earlier ones. The set is nil
// when anything is wrong; the list then holds every fault.
func Compile(files []File) (*Set, diag.List) {
	var faults document.Faults
	root := layered(files, &faults)
	if root == nil {
		return nil, faults.List()
	}
	c := compiler{faults: &faults, files: files, set: &Set{rules: map[string][]*rule{}}, conditions: conditions{sees: variables}}
	c.compile(root)
	c.conditions.shown().close()
	if faults.Any() {
		return nil, faults.List()
	}
	c.set.digest = digest(files, c.tables)
	c.set.shared = map[string]bool{}
	for _, f := range files {
		c.set.shared[f.Name] = f.Shared
	}
	c.set.planPasses()
	return c.set, nil
}

// Digest is the SHA-256 over the rule files in their order and the tables that they
// use, hexadecimal. Names of files do not count.
func (s *Set) Digest() string { return s.digest }

func digest(files []File, tables [][]byte) string {
	h := sha256.New()
	write := func(data []byte) {
		// The length keeps two files from being taken for one.
		io.WriteString(h, strconv.Itoa(len(data))+"\n")
		h.Write(data)
	}
	for _, f := range files {
		write(f.Data)
	}
	for _, t := range tables {
		write(t)
	}
	return hex.EncodeToString(h.Sum(nil))
}
