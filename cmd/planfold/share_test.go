package main

import (
	"testing"

	"github.com/stretchr/testify/require"

	"planfold/convert/mesh"
	"planfold/convert/reduce"
	"planfold/testdata/solid"
)

// smallAndLarge are two meshes alike and a box, of which the last is shown ten times as
// large as it is.
func smallAndLarge() *mesh.Scene {
	round := func() *mesh.Mesh { return solid.Cylinder(0.01, 0.05, 200, false) }
	return &mesh.Scene{
		Meshes: []*mesh.Mesh{round(), solid.Box(mesh.Vec{1, 1, 1}, mesh.Vec{2, 2, 2}), round()},
		Nodes: []mesh.Node{
			{Name: "small", Transform: mesh.Identity(), Mesh: 0},
			{Name: "box", Transform: mesh.Identity(), Mesh: 1},
			{Name: "large", Transform: mesh.Mat{0: 10, 5: 10, 10: 10, 15: 1}, Mesh: 2},
		},
		Roots: []int{0, 1, 2},
	}
}

// TestMeshesShareTriangles: of two alike, the one that its node makes ten times as
// large gets more; a box needs none beyond its twelve.
func TestMeshesShareTriangles(t *testing.T) {
	s := smallAndLarge()
	shares := sharesOf(s, 240)
	require.LessOrEqual(t, shares[0]+shares[1]+shares[2], 240)
	require.Equal(t, 12, shares[1])
	require.Greater(t, shares[2], 2*shares[0])
	require.Positive(t, shares[0])
	require.Equal(t, []string{"small", "box", "large"}, meshNames(s))
}

// TestDeviationIsOfWhatIsShown: a bound holds after the nodes have enlarged a mesh, and
// what is reported is that.
func TestDeviationIsOfWhatIsShown(t *testing.T) {
	s := smallAndLarge()
	reduced, r := reduceScene(s, reduceOptions{deviation: 0.5, repeat: 1}, 1000)
	require.Greater(t, len(reduced[2].Triangles), len(reduced[0].Triangles))
	for i, scale := range []float64{1, 1, 10} {
		require.InDelta(t, 1000*scale*reduce.Deviation(s.Meshes[i], reduced[i]), r.Parts[i].DeviationMM, 1e-12)
		require.LessOrEqual(t, r.Parts[i].DeviationMM, 0.5)
	}
	require.Greater(t, r.Parts[2].DeviationMM, 0.05)
}
