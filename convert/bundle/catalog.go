package bundle

import (
	"cmp"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"path"
	"slices"
)

// Catalog is catalog.json: every plan of the tree with its editions.
type Catalog struct {
	Format    string          `json:"format"`
	Profile   string          `json:"profile"`
	Effective string          `json:"effective,omitempty"` // serial number or date that the tree holds for
	Plans     []*CatalogEntry `json:"plans"`
}

// CatalogEntry is one plan of a catalog.
type CatalogEntry struct {
	ID       string    `json:"id"`
	Folder   string    `json:"folder"`
	Current  string    `json:"current,omitempty"` // name of the edition's folder; none if every edition is held
	Editions []Edition `json:"editions"`          // in the order of issue
}

// Edition is one issued edition.
type Edition struct {
	Revision string `json:"revision"`
	ID       string `json:"edition"`
	Folder   string `json:"folder"`
	Held     bool   `json:"held"`
	Cause    string `json:"cause"`
}

// ReadCatalog reads the catalog of a tree; a tree without one gives an empty one.
func ReadCatalog(tree fs.FS) (*Catalog, error) {
	c := &Catalog{Format: "planfold/catalog/1", Plans: []*CatalogEntry{}}
	b, err := fs.ReadFile(tree, "catalog.json")
	if errors.Is(err, fs.ErrNotExist) {
		return c, nil
	}
	if err != nil {
		return nil, err // taken for an empty catalog, it would be written over
	}
	const advice = "delete it, and the next run makes it anew from the editions"
	if p := CheckDocument("catalog", "catalog.json", b); len(p) > 0 {
		return nil, fmt.Errorf("%s; %s", p[0], advice)
	}
	if err := json.Unmarshal(b, c); err != nil {
		return nil, fmt.Errorf("catalog.json: %w; %s", err, advice)
	}
	return c, nil
}

// Plan finds a plan's entry, or nil.
func (c *Catalog) Plan(id string) *CatalogEntry {
	i, ok := c.find(id)
	if !ok {
		return nil
	}
	return c.Plans[i]
}

func (c *Catalog) find(id string) (int, bool) {
	return slices.BinarySearchFunc(c.Plans, id, func(e *CatalogEntry, id string) int { return cmp.Compare(e.ID, id) })
}

// list adds an edition to its plan's, once, and returns the plan's entry.
func (c *Catalog) list(plan string, e Edition) *CatalogEntry {
	i, ok := c.find(plan)
	if !ok {
		c.Plans = slices.Insert(c.Plans, i, &CatalogEntry{ID: plan, Folder: Name(plan)})
	}
	p := c.Plans[i]
	if p.Edition(e.Folder) == nil {
		p.Editions = append(p.Editions, e)
	}
	return p
}

// Add appends an edition to its plan and makes it current if it is not held and
// may take the place of the one that is: one of the same revision, or of a newer
// one.
func (c *Catalog) Add(plan string, e Edition, newer func(revision, than string) bool) {
	p := c.list(plan, e)
	if at := p.Edition(p.Current); !e.Held && (at == nil || at.Revision == e.Revision || newer(e.Revision, at.Revision)) {
		p.Current = e.Folder
	}
}

// HeldLater is the last edition that was issued after the current one and is held, or nil.
func (p *CatalogEntry) HeldLater() *Edition {
	at := slices.IndexFunc(p.Editions, func(e Edition) bool { return e.Folder == p.Current })
	for i := len(p.Editions) - 1; at >= 0 && i > at; i-- {
		if p.Editions[i].Held {
			return &p.Editions[i]
		}
	}
	return nil
}

// Edition finds an edition by the name of its folder, or nil. A nil entry has none.
func (p *CatalogEntry) Edition(folder string) *Edition {
	if p == nil {
		return nil
	}
	if i := slices.IndexFunc(p.Editions, func(e Edition) bool { return e.Folder == folder }); i >= 0 {
		return &p.Editions[i]
	}
	return nil
}

// TakeUp adds to a catalog the editions that stand in the tree and are not in it:
// a run that was killed issued them and did not reach the catalog. They do not
// become current by that; the next run that makes the same edition decides.
func TakeUp(tree fs.FS, c *Catalog) error {
	folders, err := fs.Glob(tree, "plans/*/*")
	if err != nil {
		return fmt.Errorf("list editions: %w", err)
	}
	known := map[string]bool{}
	for _, p := range c.Plans {
		for _, e := range p.Editions {
			known["plans/"+p.Folder+"/"+e.Folder] = true
		}
	}
	for _, folder := range folders {
		if known[folder] {
			continue
		}
		m, err := ManifestOf(tree, folder)
		if err != nil || folder != Folder(m.Plan, m.Revision, m.Edition) {
			continue // not an edition, or a copy of one; verify names it
		}
		c.list(m.Plan, Edition{m.Revision, m.Edition, path.Base(folder), m.Held, m.Cause})
	}
	return nil
}
