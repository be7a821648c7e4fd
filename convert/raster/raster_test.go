package raster

import (
	"bytes"
	"crypto/sha256"
	"fmt"
	"image/png"
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"planfold/convert/mesh"
	"planfold/testdata/solid"
)

// shown writes a buffer as rows of its tags.
func shown(b *Buffer) string {
	var out strings.Builder
	for i, t := range b.Tags {
		if i > 0 && i%b.Width == 0 {
			out.WriteByte('\n')
		}
		if t == None {
			out.WriteByte('.')
		} else {
			fmt.Fprint(&out, t)
		}
	}
	return out.String()
}

// flat looks down at the plane z = 0, whose unit is a sample; x runs right from the
// left, y up from the bottom.
func flat(width, height int) *View {
	middle := mesh.Vec{float64(width) / 2, float64(height) / 2, 0}
	return Orthographic(middle, mesh.Vec{0, 0, -1}, mesh.Vec{0, 1, 0}, float64(height)/2, width, height)
}

func triangle(corners ...mesh.Vec) *mesh.Mesh {
	return &mesh.Mesh{Positions: corners, Triangles: [][3]int32{{0, 1, 2}}}
}

func TestTriangleHasTheSamplesWhoseMiddlesItHolds(t *testing.T) {
	b := NewBuffer(8, 6)
	b.Draw(flat(8, 6), Place(triangle(mesh.Vec{1, 1, 0}, mesh.Vec{7, 1, 0}, mesh.Vec{1, 5, 0}), mesh.Identity()), 3)
	require.Equal(t, strings.Join([]string{
		"........",
		".3......", // half way up this row the slope is at x = 1.75
		".33.....", // 3.25: the middle at 2.5 lies inside, that at 3.5 does not
		".3333...",
		".33333..",
		"........",
	}, "\n"), shown(b))
}

func TestTrianglesThatShareAnEdgeShareNoSample(t *testing.T) {
	inner := mesh.Vec{5.5, 3.5, 0} // on the middle of a sample
	corners := []mesh.Vec{{1, 1, 0}, {10, 1, 0}, {10, 6, 0}, {1, 6, 0}}
	total := 0
	union := NewBuffer(11, 7)
	for i := range corners {
		one := NewBuffer(11, 7)
		m := triangle(corners[i], corners[(i+1)%4], inner)
		one.Draw(flat(11, 7), Place(m, mesh.Identity()), 0)
		union.Draw(flat(11, 7), Place(m, mesh.Identity()), 0)
		total += one.Count(1)[0]
	}
	require.Equal(t, 45, union.Count(1)[0], "the whole rectangle")
	require.Equal(t, 45, total)
}

func TestWhatIsNearerHidesWhatIsFarther(t *testing.T) {
	low, high := solid.Box(mesh.Vec{1, 1, 0}, mesh.Vec{4, 4, 1}), solid.Box(mesh.Vec{2, 2, 2}, mesh.Vec{5, 5, 3})
	for _, order := range [][2]int{{0, 1}, {1, 0}} {
		b := NewBuffer(6, 6)
		for _, k := range order {
			b.Draw(flat(6, 6), Place([]*mesh.Mesh{low, high}[k], mesh.Identity()), int32(k))
		}
		require.Equal(t, "......\n..111.\n.0111.\n.0111.\n.000..\n......", shown(b))
		require.Equal(t, []int{5, 9}, b.Count(2))
	}
}

// Seen along its diagonal a cube is a regular hexagon, whose area is the square root of
// 3 times that of a side.
func TestCubeHasTheAreaOfItsSilhouette(t *testing.T) {
	cube := solid.Box(mesh.Vec{-1, -1, -1}, mesh.Vec{1, 1, 1})
	b := NewBuffer(400, 400)
	b.Draw(Orthographic(mesh.Vec{}, mesh.Vec{1, 1, 1}, mesh.Vec{0, 0, 1}, 2, 400, 400), Place(cube, mesh.Identity()), 0)
	require.InEpsilon(t, 4*math.Sqrt(3)*100*100, b.Count(1)[0], 0.01)

	// The front of it at distance 9 of 10, with a tangent of 1/4 to the edge of the buffer.
	b.Clear()
	b.Draw(Perspective(mesh.Vec{0, -10, 0}, mesh.Vec{}, mesh.Vec{0, 0, 1}, 2*math.Atan(0.25), 1, 400, 400), Place(cube, mesh.Identity()), 0)
	side := 2 / (9 * 0.25 * 2) * 400
	require.InEpsilon(t, side*side, b.Count(1)[0], 0.01)
}

func TestWhatStandsBeforeTheEyeIsCutOff(t *testing.T) {
	floor := triangle(mesh.Vec{-1000, -1000, -1}, mesh.Vec{1000, -1000, -1}, mesh.Vec{0, 1000, -1}) // under the eye and behind it
	b := NewBuffer(40, 40)
	b.Draw(Perspective(mesh.Vec{}, mesh.Vec{0, 1, 0}, mesh.Vec{0, 0, 1}, 1, 0.1, 40, 40), Place(floor, mesh.Identity()), 0)
	require.Equal(t, 20*40, b.Count(1)[0], "below the horizon, and nothing above")
	require.Equal(t, int32(None), b.Tags[19*40+20])
	require.Equal(t, int32(0), b.Tags[20*40+20])
}

func TestTangentIsThatOfTheLibrary(t *testing.T) {
	for x := 0.0; x < 1.56; x += 0.01 {
		require.InDelta(t, math.Tan(x), tan(x), 1e-13*max(1, math.Tan(x)*math.Tan(x)))
	}
}

// scenery is a box on a table: what the step is about stands over its hole.
func scenery() *Picture {
	body := func(m *mesh.Mesh, at mesh.Vec, number int32) Body {
		normals := make([][3]mesh.Vec, len(m.Triangles))
		for i, t := range m.Triangles {
			a, b, c := m.Positions[t[0]], m.Positions[t[1]], m.Positions[t[2]]
			n := b.Sub(a).Cross(c.Sub(a)).Unit()
			normals[i] = [3]mesh.Vec{n, n, n}
		}
		return Body{m, PackNormals(normals), mesh.Translation(at), number}
	}
	pin := solid.Cylinder(0.2, 1, 24, true)
	return &Picture{
		View:  Perspective(mesh.Vec{3, -5, 4}, mesh.Vec{0, 0, 1}, mesh.Vec{0, 0, 1}, 0.8, 0.1, 240, 180),
		Width: 240, Height: 180,
		Context: []Body{body(solid.Box(mesh.Vec{-1, -1, 0}, mesh.Vec{1, 1, 1}), mesh.Vec{}, 0)},
		Focus:   []Body{body(pin, mesh.Vec{0, 0, 1.6}, 1)},
		Home:    []Body{body(pin, mesh.Vec{0, 0, 0.5}, 1)},
		Paths:   []Path{{From: mesh.Vec{0, 0, 1.6}, To: mesh.Vec{0, 0, 1}, Number: 1}},
	}
}

func (p *Picture) at(t *testing.T, place mesh.Vec) ink {
	t.Helper()
	s := p.View.project(p.View.seen(place))
	index := int32(p.draw().ColorIndexAt(int(s.x+0.5), int(s.y+0.5)))
	for tint := tints; ; tint-- {
		if index >= first[tint] {
			return ink{(index - first[tint]) * 255 / (shades[tint] - 1), tint * 255 / tints}
		}
	}
}

func TestPictureTellsFocusFromContext(t *testing.T) {
	p := scenery()
	top, front := p.at(t, mesh.Vec{0.7, 0.7, 1}), p.at(t, mesh.Vec{0.7, -1, 0.2})
	require.Zero(t, top.tint)
	require.Greater(t, top.tone, front.tone, "light comes from above")
	pin := p.at(t, mesh.Vec{0, 0, 2.2})
	require.EqualValues(t, 255, pin.tint)
	require.Less(t, pin.tone+60, front.tone, "dark beside the context, without colour too")
	require.Equal(t, ink{255, 0}, p.at(t, mesh.Vec{-1, 1, 3}), "the paper is white")
}

func TestFocusIsSeenThroughWhatHidesIt(t *testing.T) {
	p := scenery()
	place := mesh.Vec{0.3, -0.3, 0.4}
	p.Home = nil
	bare := p.at(t, place)
	require.Zero(t, bare.tint)
	p.Focus[0].Place = mesh.Translation(mesh.Vec{0, 0, 0})
	hidden := p.at(t, place)
	require.Positive(t, hidden.tint)

	// Where it goes is not taken for it: there it is darker, without colour too.
	p = scenery()
	p.Home[0].Place = mesh.Translation(mesh.Vec{})
	p.Paths = nil
	require.Less(t, hidden.tone+25, p.at(t, place).tone)
}

func TestWhatStaysIsLighterThanWhatMoves(t *testing.T) {
	p := scenery()
	place := mesh.Vec{0, 0, 2.2}
	pin := p.at(t, place)
	p.Focus, p.Still = nil, p.Focus
	still := p.at(t, place)
	require.Greater(t, still.tone, pin.tone+50)
	require.Greater(t, still.tint, int32(150), "and of the step")
}

func TestArrowStandsOutFromWhatIsDark(t *testing.T) {
	p := scenery()
	p.Focus = append(p.Focus, p.Context...) // the arrow lies over its front
	p.Context, p.Home = nil, nil
	middle := mesh.Vec{0, -1.01, 0.5}
	p.Paths = []Path{{From: mesh.Vec{0, -1.01, 0.9}, To: mesh.Vec{0, -1.01, 0.1}, Number: 1}}
	require.Less(t, p.at(t, middle).tone, int32(60))
	lightest := int32(0)
	for x := 0.0; x < 0.2; x += 0.01 {
		lightest = max(lightest, p.at(t, middle.Add(mesh.Vec{x})).tone)
	}
	require.Greater(t, lightest, int32(180), "its border")
	require.Less(t, p.at(t, middle.Add(mesh.Vec{0.4})).tone, int32(160))

	// A thin line is one too.
	whole := p.dark(t)
	p.Paths[0].Thin = true
	require.Less(t, p.at(t, middle).tone, int32(80))
	require.Less(t, 3*p.dark(t), whole)
}

// dark counts the pixels of the darkest blue, that of arrows.
func (p *Picture) dark(t *testing.T) (n int) {
	t.Helper()
	for _, i := range p.draw().Pix {
		if int32(i) >= first[tints] && int32(i) < first[tints]+8 {
			n++
		}
	}
	return n
}

func TestArrowOfWhatIsHiddenIsFaint(t *testing.T) {
	p := scenery()
	p.Home = nil
	p.Paths = []Path{{From: mesh.Vec{0.3, -0.3, 0.9}, To: mesh.Vec{0.3, -0.3, 0.1}, Number: 1}} // inside of the box
	place := mesh.Vec{0.3, -0.3, 0.5}
	plain := p.at(t, place).tone
	require.Less(t, plain, int32(60), "for the pin is seen")
	p.Focus[0].Place = mesh.Translation(mesh.Vec{})
	faint := p.at(t, place).tone
	require.Greater(t, faint, plain+40)
	require.Less(t, faint, int32(150))
}

func TestWayHomeIsShown(t *testing.T) {
	p := scenery()
	p.Paths, p.Home = nil, nil
	place := mesh.Vec{0, 0, 1.2} // between the pin and the box
	require.Zero(t, p.at(t, place).tint)
	p.Paths = scenery().Paths
	require.EqualValues(t, 255, p.at(t, place).tint)
	tinted := func() (n int) {
		img := p.draw()
		for _, i := range img.Pix {
			if int32(i) >= first[1] {
				n++
			}
		}
		return n
	}
	without := tinted()
	p.Home = scenery().Home
	require.Greater(t, tinted(), without+100, "the home is ghosted")
}

// Else what goes behind is taken to go onto what hides it.
func TestHomeThatIsHiddenIsFaint(t *testing.T) {
	tint := func(at mesh.Vec) int32 {
		p := scenery()
		p.Paths = nil
		p.Home[0].Place = mesh.Translation(at)
		return p.at(t, at.Add(mesh.Vec{0.02, -0.2, 0.45})).tint
	}
	before, behind := tint(mesh.Vec{0.4, -1.5, 0}), tint(mesh.Vec{0.4, -0.5, 0})
	require.Positive(t, behind)
	require.Greater(t, before, behind+30)
}

// The digest is that of the palette's indexes: how they are packed is the library's.
func TestPictureIsTheSameOnEveryMachine(t *testing.T) {
	p := scenery()
	require.Equal(t, "9fd3ca5716954d95", fmt.Sprintf("%x", sha256.Sum256(p.draw().Pix))[:16])
	data, err := p.PNG()
	require.NoError(t, err)
	img, err := png.Decode(bytes.NewReader(data))
	require.NoError(t, err)
	require.Equal(t, 240, img.Bounds().Dx())
}

// Backs are left out where a mesh is closed, however it is placed.
func TestMirroredBodyLooksAsWhatItIs(t *testing.T) {
	p := scenery()
	want := p.draw().Pix
	p.Context[0].Place = mesh.Mat{0: -1, 5: 1, 10: 1, 15: 1} // the box is its own mirror image
	require.Equal(t, want, p.draw().Pix)
}

func TestInsideOfAnOpenMeshIsSeen(t *testing.T) {
	area := func(tube *mesh.Mesh) int {
		b := NewBuffer(40, 40)
		b.Draw(Orthographic(mesh.Vec{}, mesh.Vec{0, 1, -1}, mesh.Vec{0, 0, 1}, 5, 40, 40), Place(tube, mesh.Identity()), 0)
		return b.Count(1)[0]
	}
	tube := solid.Cylinder(1, 4, 32, false)
	require.True(t, closed(tube))
	want := area(tube)
	tube.Triangles = slices.DeleteFunc(tube.Triangles, func(t [3]int32) bool { return t[0] == 1 }) // its lid
	require.False(t, closed(tube))
	require.Equal(t, want, area(tube), "one looks at the lid, or in at the open end")
}
