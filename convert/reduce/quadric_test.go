package reduce

import (
	"testing"

	"github.com/stretchr/testify/require"

	"planfold/convert/mesh"
)

// TestEdgeErrorCountsOnlyDistances: along a straight crease to its corner nothing is lost,
// however long the edge; what keeps the equations regular is no error.
func TestEdgeErrorCountsOnlyDistances(t *testing.T) {
	var crease, end quadric
	x, y, z := mesh.Vec{1, 0, 0}, mesh.Vec{0, 1, 0}, mesh.Vec{0, 0, 1}
	crease.addPlane(x, 1)
	crease.addPlane(y, 1)
	end.addPlane(x, 1)
	end.addPlane(y, 1)
	end.addPlane(z, 1)
	s := &surface{vertices: []vertex{{planes: crease}, {at: mesh.Vec{0, 0, 20}, planes: end}}}
	px, py, pz, cost := s.edgeError(0, 1)
	require.InDelta(t, 0, mesh.Vec{px, py, pz}.Distance(s.vertices[1].at), 1e-5)
	require.Less(t, cost, 1e-8)
}
