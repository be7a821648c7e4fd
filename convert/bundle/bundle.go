// Package bundle knows the issued tree: the names of its files, the JSON
// documents in them, how an edition is identified, and what must be true of it.
//
// Documents are built from the step model, written as canonical JSON, and checked
// as bytes (Check… functions) before anything is issued; Verify makes the same
// checks on an issued tree. The package touches no disk: it is given an fs.FS to
// read, and returns bytes for the store to write.
package bundle

import (
	"planfold/convert/diag"
	"planfold/convert/step"
)

// Tool names the program that made an edition.
type Tool struct {
	Name    string `json:"name"`
	Version string `json:"version"`
}

// Input is a file that an edition was made from, under the name by which the
// plan or the command called it.
type Input struct {
	Name   string `json:"name"`
	SHA256 string `json:"sha256"`
	Bytes  int64  `json:"bytes"`
}

// Manifest is bundle.json.
type Manifest struct {
	Format       string      `json:"format"`
	Plan         string      `json:"plan"`
	Revision     string      `json:"revision"`
	RevisionFrom string      `json:"revisionFrom,omitempty"` // "digest" if the plan gives none
	Edition      string      `json:"edition"`
	Held         bool        `json:"held"`
	Cause        string      `json:"cause"`
	Title        step.Texts  `json:"title,omitempty"`
	Status       step.Text   `json:"status,omitzero"`
	Approver     step.Text   `json:"approver,omitzero"`
	Tool         Tool        `json:"tool"`
	Rules        string      `json:"rules"`
	Profile      ProfileUsed `json:"profile"`
	Effective    string      `json:"effective,omitempty"` // serial number or date that it holds for; what does not is left out
	Inputs       []Input     `json:"inputs"`
	Steps        []StepEntry `json:"steps"`
	Whole        *WholeEntry `json:"whole,omitempty"`
	Locator      *WholeEntry `json:"locator,omitempty"`
	Skipped      []Skipped   `json:"skipped,omitempty"`
	Totals       Totals      `json:"totals"`
	Diagnostics  diag.List   `json:"diagnostics,omitempty"`
}

// ProfileUsed names the profile and the digest of its canonical JSON.
type ProfileUsed struct {
	Name   string `json:"name"`
	SHA256 string `json:"sha256"`
}

// StepEntry lists one step of an edition.
type StepEntry struct {
	Folder       string   `json:"folder"`
	ID           string   `json:"id"`
	Operation    string   `json:"operation"`
	Sequence     int      `json:"sequence"`
	Predecessors []string `json:"predecessors,omitempty"`
	Title        string   `json:"title,omitempty"`
	Triangles    int      `json:"triangles"`
	Bytes        int64    `json:"bytes"` // of step.json, the scene and all it needs
}

// WholeEntry describes whole.gltf, or locator.gltf. Deviation is in mm, Origin in metres.
type WholeEntry struct {
	Triangles int        `json:"triangles"`
	Bytes     int64      `json:"bytes"`
	Deviation float64    `json:"deviation"`
	Origin    [3]float64 `json:"origin"`
}

// Skipped is a step that a rule left out.
type Skipped struct {
	Operation string `json:"operation"`
	Step      string `json:"step"`
	Reason    string `json:"reason"`
	Rule      string `json:"rule,omitempty"`
}

// Totals of an edition. Triangles are those drawn, over all steps; Blobs are distinct.
type Totals struct {
	Operations int   `json:"operations"`
	Steps      int   `json:"steps"`
	Items      int   `json:"items"`
	Triangles  int   `json:"triangles"`
	SceneBytes int64 `json:"sceneBytes"`
	Blobs      int   `json:"blobs"`
	BlobBytes  int64 `json:"blobBytes"`
}
