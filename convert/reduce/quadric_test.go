package reduce

import (
	"testing"

	"github.com/stretchr/testify/require"

	"planfold/convert/mesh"
)

// TestBestCountsOnlyDistances: along a straight crease to its corner nothing is lost,
// however long the edge; what keeps the equations regular is no error.
func TestBestCountsOnlyDistances(t *testing.T) {
	var crease, end quadric
	x, y, z := mesh.Vec{1, 0, 0}, mesh.Vec{0, 1, 0}, mesh.Vec{0, 0, 1}
	crease.addPlane(x, 1)
	crease.addPlane(y, 1)
	end.addPlane(x, 1)
	end.addPlane(y, 1)
	end.addPlane(z, 1)
	h := mesh.Vec{0, 0, 10}
	var q quadric
	d, cost := q.best(&h, q.meet(&crease, &end, &h))
	require.InDelta(t, 0, d.Distance(h), 1e-5)
	require.Less(t, cost, 1e-8)
}
