package sweep

import (
	"testing"

	"github.com/stretchr/testify/require"

	"planfold/convert/mesh"
	"planfold/testdata/solid"
)

// screw is a shank in mm, inside a hole in a nut.
func screw(radius, depth, pitch, lead, height float64, inside bool) *mesh.Mesh {
	m := solid.Screw(radius*mm, depth*mm, pitch*mm, lead*mm, height*mm)
	if inside {
		return solid.Bored(m, 2*radius*mm)
	}
	return m
}

func turned(m *mesh.Mesh, to mesh.Mat) Body {
	return body(Shell{Mesh: m, Bounds: m.Bounds(), At: to})
}

// slanted stands for no axis in particular.
var slanted = func() mesh.Mat {
	z := mesh.Vec{2, -3, 5}.Unit()
	x, y := across(z)
	return mesh.Mat{x[0], x[1], x[2], 0, y[0], y[1], y[2], 0, z[0], z[1], z[2], 0, 0.3, -0.2, 0.1, 1}
}()

func TestAxesOfAPartsOwnShape(t *testing.T) {
	axis := slanted.Direction(mesh.Vec{0, 0, 1})
	for name, m := range map[string]*mesh.Mesh{"rod": rod(5, 30, 24), "tube": tube(5, 20, 10, 36)} {
		b := turned(m, slanted)
		cylinders, _ := b.Axes()
		require.NotEmpty(t, cylinders, name)
		require.Less(t, cylinders[0].Cross(axis).Length(), 1e-3, name)
	}
	b := turned(box(0, 0, 0, 20, 30, 40).Mesh, slanted)
	cylinders, planes := b.Axes()
	require.Empty(t, cylinders)
	require.Len(t, planes, 3)
	for k, p := range planes { // the largest first
		var e mesh.Vec
		e[k] = 1
		require.True(t, Along(p, slanted.Direction(e)))
	}
	b = turned(solid.Sphere(5*mm, 24, 12), slanted)
	_, planes = b.Axes()
	require.Empty(t, planes)
}

func TestThreadsAreToldFromGrooves(t *testing.T) {
	axis := slanted.Direction(mesh.Vec{0, 0, 1})
	mirrored := slanted.Mul(mesh.Mat{-1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1})
	for _, c := range []struct {
		name  string
		m     *mesh.Mesh
		at    mesh.Mat
		pitch float64
	}{
		{"right-handed", screw(5, 0.6, 1.5, 1.5, 20, false), slanted, 1.5},
		{"left-handed", screw(5, 0.6, 1.5, -1.5, 20, false), slanted, -1.5},
		{"mirrored", screw(5, 0.6, 1.5, 1.5, 20, false), mirrored, -1.5},
		{"rings", screw(5, 0.6, 1.5, 0, 20, false), slanted, 0},
		{"rod", rod(5, 30, 24), slanted, 0},
		{"as a helical gear", screw(20, 4, 8, 200, 20, false), slanted, 0},
	} {
		b := turned(c.m, c.at)
		require.InDelta(t, c.pitch, b.FindThread(axis).Pitch/mm, 0.4, c.name)
	}
}

// Two threads that are both modelled lie in each other's grooves. A straight way out is
// the screw's that turns.
func TestAThreadComesOutOfAThread(t *testing.T) {
	nut := body(at(screw(5.1, 0.9, 1.5, 1.5, 9, true), 0, 0, 6))
	bolt := body(at(screw(5, 0.9, 1.5, 1.5, 24, false), 0, 0, 0))
	require.Equal(t, "", ways(nut, bolt))
	bolt.Thread = bolt.FindThread(up)
	require.Equal(t, "ud", ways(nut, bolt))
	bolt.Thread.Axis = mesh.Vec{1, 0, 0}
	require.Equal(t, "", ways(nut, bolt))
}
