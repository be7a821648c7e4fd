package bundle

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestOnlyAHeldEditionAfterTheCurrentOneIsLater(t *testing.T) {
	p := &CatalogEntry{Current: "B", Editions: []Edition{{Folder: "A", Held: true}, {Folder: "B"}}}
	assert.Nil(t, p.HeldLater())
	p.Editions = append(p.Editions, Edition{Folder: "C", Held: true}, Edition{Folder: "D"})
	assert.Equal(t, "C", p.HeldLater().Folder)
	p.Current = ""
	assert.Nil(t, p.HeldLater())
}
