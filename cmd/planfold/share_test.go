package main

import (
	"testing"

	"github.com/stretchr/testify/require"

	"planfold/convert/mesh"
	"planfold/testdata/solid"
)

// TestMeshesShareTriangles: of two alike, the one that its node makes ten times as
// large gets more; a box needs none beyond its twelve.
func TestMeshesShareTriangles(t *testing.T) {
	round := func() *mesh.Mesh { return solid.Cylinder(0.01, 0.05, 200, false) }
	s := &mesh.Scene{
		Meshes: []*mesh.Mesh{round(), solid.Box(mesh.Vec{1, 1, 1}, mesh.Vec{2, 2, 2}), round()},
		Nodes: []mesh.Node{
			{Name: "small", Transform: mesh.Identity(), Mesh: 0},
			{Name: "box", Transform: mesh.Identity(), Mesh: 1},
			{Name: "large", Transform: mesh.Mat{0: 10, 5: 10, 10: 10, 15: 1}, Mesh: 2},
		},
		Roots: []int{0, 1, 2},
	}
	shares := sharesOf(s, 240)
	require.LessOrEqual(t, shares[0]+shares[1]+shares[2], 240)
	require.Equal(t, 12, shares[1])
	require.Greater(t, shares[2], 2*shares[0])
	require.Positive(t, shares[0])
	require.Equal(t, []string{"small", "box", "large"}, meshNames(s))
}
