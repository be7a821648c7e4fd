package scene

import (
	"encoding/json"
	"testing"

	"github.com/qmuntal/gltf"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"planfold/convert/mesh"
	"planfold/convert/step"
)

// shown are the bounds of what a light mesh draws, as a viewer shows it.
func shown(t *testing.T, l *Light) mesh.Box {
	t.Helper()
	var doc gltf.Document
	require.NoError(t, json.Unmarshal(l.GLTF, &doc))
	at, _ := world(&doc, nil)
	m, err := l.Blobs[0].Layout.Decode(l.Data[0])
	require.NoError(t, err)
	box := mesh.EmptyBox()
	for i, n := range doc.Nodes {
		if n.Mesh != nil && *n.Mesh == 0 {
			turn := at[i].Mul(inverse(l.Blobs[0].Layout.Frame()))
			for _, p := range m.Positions {
				box.Add(turn.Point(p))
			}
		}
	}
	return box
}

func requireBox(t *testing.T, want, got mesh.Box) {
	t.Helper()
	require.Less(t, want.Min.Distance(got.Min)+want.Max.Distance(got.Max), 1e-4, "%v, want %v", got, want)
}

func TestLocatorShowsTheWholeProductAndEachPlaceInIt(t *testing.T) {
	for _, up := range []byte{'X', 'Y', 'Z'} {
		p, lib := press()
		p.Frame.Up = up
		whole := input(p, lib, &step.Step{})
		l := located(t, whole)
		require.NotNil(t, l)
		assert.LessOrEqual(t, l.Triangles, locatorTriangles)

		all := step.Step{Roles: []step.RoleChange{{Item: "plate", Role: text(Focus)}, {Item: "bolt", Role: text(Focus)}, {Item: "head", Role: text(Focus)}}}
		built := Build(input(p, lib, &all))
		box, places := l.Place("", *built.Focus)
		assert.Equal(t, 1, places)
		requireBox(t, mesh.Box{Min: box[0], Max: box[1]}, shown(t, &l.Light))
	}
}

// What is built apart is shown where it goes, at the first of its places.
func TestLocatorPlacesWhatIsBuiltApart(t *testing.T) {
	p, lib := press()
	l := located(t, input(p, lib, &step.Step{}))
	apart := input(p, lib, &step.Step{Content: step.Content{Parts: []step.Part{{Item: text("ram"), Occurrences: texts("ram")}}}})
	apart.Structure, _ = Expand(p, "head")
	box, places := l.Place("head", *Build(apart).Focus)
	assert.Equal(t, 2, places)

	first := input(p, lib, &step.Step{Content: step.Content{Parts: []step.Part{{Item: text("ram"), Occurrences: texts("head-1/ram")}}}})
	same, _ := l.Place("", *Build(first).Focus)
	assert.Equal(t, same, box)

	_, places = l.Place("vice", *Build(apart).Focus)
	assert.Zero(t, places, "what the product does not have has no place in it")
}

// A product with far more parts than triangles shows its largest.
func TestLocatorKeepsToItsTriangles(t *testing.T) {
	p, lib := press()
	for i := range 2000 {
		id := "stud-" + string(rune('a'+i%26)) + string(rune('a'+i/26%26)) + string(rune('a'+i/676))
		p.Structure[""] = append(p.Structure[""], occurrence("", id, "bolt", at(float64(i)*1e-5, 0, 0)))
	}
	l := located(t, input(p, lib, &step.Step{}))
	assert.LessOrEqual(t, l.Triangles, locatorTriangles)
	box := shown(t, &l.Light)
	assert.InDelta(t, 0.1, box.Max[2]-box.Min[2], 1e-3, "the plate is there")

	delete(p.Structure, "")
	assert.Nil(t, located(t, input(p, lib, &step.Step{})))
}

func located(t *testing.T, in Input) *Locator {
	t.Helper()
	l, err := Locate(in)
	require.NoError(t, err)
	return l
}

func TestNumberThatAFileCannotHoldIsNoLocator(t *testing.T) {
	p, lib := press()
	for _, o := range p.Structure[""] {
		if o.Placement != nil {
			o.Placement.Matrix[12] = 1e308
		}
	}
	l, err := Locate(input(p, lib, &step.Step{}))
	assert.Nil(t, l)
	assert.Error(t, err)
	r, err := Register(input(p, lib, &step.Step{}), "head-1")
	assert.Nil(t, r)
	assert.Error(t, err)
}
