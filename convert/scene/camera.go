package scene

import (
	"math"
	"slices"

	"planfold/convert/diag"
	"planfold/convert/glb"
	"planfold/convert/mesh"
	"planfold/convert/raster"
)

// camera is where a scene is looked at from, in the frame of what is built.
type camera struct {
	name                  string
	position, towards, up mesh.Vec
	field                 float64 // from bottom to top, radians
	near, far             float64
}

const (
	// usualFieldOfView is about 34 degrees, radians.
	usualFieldOfView = 0.6
	// ownCamera names a camera that no saved view gives.
	ownCamera = "step"
)

// aim chooses the scene's camera: the saved view's, or one that shows what the step is
// about.
func (c *composer) aim() {
	k, ok := c.savedCamera()
	if !ok {
		k = c.ownCamera()
	}
	k.up = c.upright(k.up, k.towards.Sub(k.position))
	k.near, k.far = c.reach(k.position)
	c.camera = k
}

func (c *composer) savedCamera() (camera, bool) {
	if c.saved == nil || c.saved.Camera == nil {
		return camera{}, false
	}
	k := c.saved.Camera
	field := k.FieldOfView
	if field == 0 {
		field = usualFieldOfView
	} else if !(field > 0 && field < 3.14159) {
		c.tell(diag.SceneCameraDegenerate, k.Origin, "view %q: a field of view of %.4g radians cannot be", c.saved.ID.Value, field)
		field = usualFieldOfView
	}
	if !(mesh.Vec(k.Position).Distance(k.Target) > 0) {
		c.tell(diag.SceneCameraDegenerate, k.Origin, "view %q: the camera stands on its target", c.saved.ID.Value)
		return camera{}, false
	}
	return camera{name: c.saved.ID.Value, position: k.Position, towards: k.Target, up: k.Up, field: field}, true
}

// paint adds the camera to the document.
func (k *camera) paint(p *painter) {
	p.doc.Camera(p.root, glb.Camera{
		Name: k.name, FieldOfView: k.field, ZNear: k.near, ZFar: k.far,
		Position: k.position.Sub(p.origin), Towards: k.towards.Sub(p.origin), Up: k.up,
	})
	p.out.Views = []string{k.name}
}

// upright is the view's up, or another direction where that is along the view: the
// plan's up, or else the axis that is most across.
func (c *composer) upright(up, along mesh.Vec) mesh.Vec {
	along = along.Unit()
	t := tableOf(c.Plan.Frame.Up)
	for _, v := range []mesh.Vec{up, t.vector(0, 0, 1), t.vector(0, 1, 0), {1, 0, 0}, {0, 1, 0}} {
		if v.Unit().Cross(along).Length() > 1e-6 {
			return v
		}
	}
	return mesh.Vec{0, 0, 1}
}

// reach is a camera's nearest and farthest distance: all that is shown, at home and
// displaced, lies between. Depth is kept in few bits, so near is no nearer than it
// must be.
func (c *composer) reach(camera mesh.Vec) (near, far float64) {
	box := mesh.EmptyBox()
	for _, x := range c.pieces {
		box.Join(x.bounds)
		box.Join(c.startOf(x))
	}
	distance := camera.Distance(box.Centre())
	margin := box.Diagonal() // twice the radius
	far = distance + margin
	return max(distance-margin, far/10_000), far
}

// startOf is around a piece where it starts to move.
func (c *composer) startOf(p *piece) mesh.Box {
	if p.occurrence < 0 {
		return p.bounds
	}
	return p.bounds.Transform(c.displacement(p.occurrence))
}

// displacement is the product of all moves that carry an occurrence.
func (c *composer) displacement(i int) mesh.Mat {
	m := mesh.Identity()
	for ; i >= 0; i = c.Structure.Occurrences[i].Parent {
		if v := c.moves[i]; v != nil {
			m = v.displaced().Mul(m)
		}
	}
	return m
}

// ownCamera looks from where most of the focus is seen, at both ends of its way. The
// side from which the plan's saved views look, or else the usual one, is kept unless
// another shows clearly more: one who turns with each step loses the way.
func (c *composer) ownCamera() camera {
	about := c.boxes(Focus)
	if len(about) == 0 {
		return c.frame(c.usualSide(), mesh.Vec{}, ownFilled, c.boxes(""))
	}
	best, trial := c.frame(c.usualSide(), mesh.Vec{}, ownFilled, about), c.trial()
	ways := c.ways()
	most := trial.score(best) * across(ways, c.usualSide()) * keepsSide
	for _, side := range c.sides() {
		k := c.frame(side.direction, mesh.Vec{}, ownFilled, about)
		if s := trial.score(k) * side.worth * across(ways, side.direction); s > most {
			best, most = k, s
		}
	}
	return best
}

// across is how well ways are seen from a side: 1 if they all lie across the view, and
// little if one looks along them.
func across(ways []way, from mesh.Vec) float64 {
	sum := 0.0
	for _, w := range ways {
		sum += w.direction.Cross(from).Length()
	}
	if len(ways) == 0 {
		return 1
	}
	return 0.2 + 0.8*sum/float64(len(ways))
}

// keepsSide is how much more another side must show.
const keepsSide = 1.2

// usualSide is the mean of the directions that the plan's saved views look from, if they
// have a common side, or from the front, the right and above.
func (c *composer) usualSide() mesh.Vec {
	var names []string
	for name, v := range c.Plan.Views {
		if v.Camera != nil {
			names = append(names, name)
		}
	}
	slices.Sort(names) // sums depend on their order
	var sum mesh.Vec
	for _, name := range names {
		k := c.Plan.Views[name].Camera
		sum = sum.Add(mesh.Vec(k.Position).Sub(k.Target).Unit())
	}
	if sum.Length() > 0.4*float64(len(names)) {
		return sum.Unit()
	}
	return tableOf(c.Plan.Frame.Up).vector(0.6, -0.8, 0.6).Unit()
}

// side is a direction to look from. What is seen along an axis has no depth, and what is
// seen from below has to be imagined.
type side struct {
	direction mesh.Vec
	worth     float64
}

func (c *composer) sides() []side {
	t := tableOf(c.Plan.Frame.Up)
	var out []side
	for i := range 27 {
		right, away, up := float64(i%3-1), float64(i/3%3-1), float64(i/9-1)
		v := t.vector(right, away, up)
		if v.Length() == 0 {
			continue
		}
		worth := [...]float64{0.6, 0.9, 1}[i/9]
		if v.Length() == 1 {
			worth *= 0.6
		}
		out = append(out, side{v.Unit(), worth})
	}
	return out
}

// frame is a camera that looks from a side and takes in boxes from as near as it can: they
// fill so much of the picture's width or height, unless they are a small part of all.
func (c *composer) frame(from, up mesh.Vec, filled float64, boxes []mesh.Box) camera {
	all, box := mesh.EmptyBox(), mesh.EmptyBox()
	for _, p := range c.pieces {
		all.Join(p.bounds)
	}
	for _, b := range boxes {
		box.Join(b)
	}
	k := camera{name: ownCamera, towards: box.Centre(), up: c.upright(up, from), field: usualFieldOfView}
	var corners []mesh.Vec // as the eye has them: right, up, towards it
	right := k.up.Cross(from).Unit()
	axes := [2]mesh.Vec{right, from.Cross(right)}
	for _, b := range boxes {
		for i := range 8 {
			p := b.Corner(i).Sub(k.towards)
			corners = append(corners, mesh.Vec{axes[0].Dot(p), axes[1].Dot(p), from.Dot(p)})
		}
	}
	tangents := [2]float64{usualTangent * filled * pictureWide / pictureHigh, usualTangent * filled}
	distance := framed * leastShare * 0.5 * all.Diagonal()
	for i, t := range tangents {
		// Planes through the eye, as steep as the tangent, touch the corners on either side.
		right, left := math.Inf(-1), math.Inf(-1)
		for _, p := range corners {
			right, left = max(right, p[i]+float64(t*p[2])), max(left, float64(t*p[2])-p[i])
		}
		distance = max(distance, (right+left)/(2*t))
	}
	for i, axis := range axes {
		k.towards = k.towards.Add(axis.Scale(centred(corners, i, distance)))
	}
	k.position = k.towards.Add(from.Scale(distance))
	return k
}

// centred is where an eye at a distance has corners in the middle, along an axis.
func centred(corners []mesh.Vec, axis int, distance float64) (at float64) {
	for range 8 { // each is closer to it, as the nearer of the two extremes is what moves most
		least, most, depth := math.Inf(1), math.Inf(-1), [2]float64{}
		for _, p := range corners {
			away := max(distance-p[2], 1e-9) // all may be one point
			seen := (p[axis] - at) / away
			if seen < least {
				least, depth[0] = seen, away
			}
			if seen > most {
				most, depth[1] = seen, away
			}
		}
		at += float64((least + most) / 2 * min(depth[0], depth[1]))
	}
	return at
}

const (
	ownFilled    = 0.85    // of the picture, by the focus
	leastShare   = 0.2     // of the whole, that is seen in any case
	usualTangent = 0.30934 // of half the usual field of view
)

// boxes are around what has a role, or around all if it is "", at home and where it starts.
func (c *composer) boxes(role string) (boxes []mesh.Box) {
	for _, p := range c.pieces {
		if (role == "" || p.role == role) && !p.bounds.Empty() {
			boxes = append(boxes, p.bounds, c.startOf(p))
		}
	}
	return boxes
}

// trial counts what cameras see.
type trial struct {
	*composer
	base, buffer  *raster.Buffer // without the focus, and with it
	context       []body
	starts, homes []body
}

// body is one shape where it is looked at, and the piece that it is of.
type body struct {
	*raster.Placed
	piece int32
}

func (c *composer) trial() *trial {
	t := &trial{composer: c, base: raster.NewBuffer(128, 96), buffer: raster.NewBuffer(128, 96)}
	for i, p := range c.pieces {
		for k := range p.shapes {
			s := &p.shapes[k]
			m := c.Mesh(s.levels[0].Blob)
			if m == nil {
				continue
			}
			place := p.placement.Mul(s.Transform)
			home := body{raster.Place(m, place), int32(i)}
			if p.role != Focus {
				t.context = append(t.context, home)
				continue
			}
			t.homes = append(t.homes, home)
			if p.occurrence >= 0 {
				place = c.displacement(p.occurrence).Mul(place)
			}
			t.starts = append(t.starts, body{raster.Place(m, place), int32(i)})
		}
	}
	return t
}

// score is how much of the focus a camera sees. Roots are added, so that many parts that
// are seen are worth more than one that is large.
func (t *trial) score(k camera) float64 {
	up := t.upright(k.up, k.towards.Sub(k.position))
	near, _ := t.reach(k.position)
	v := raster.Perspective(k.position, k.towards, up, k.field, near, t.buffer.Width, t.buffer.Height)
	t.base.Clear()
	for _, b := range t.context {
		t.base.Draw(v, b.Placed, b.piece)
	}
	sum := 0.0
	for _, focus := range [][]body{t.starts, t.homes} {
		t.buffer.Copy(t.base)
		for _, b := range focus {
			t.buffer.Draw(v, b.Placed, b.piece)
		}
		for i, n := range t.buffer.Count(len(t.pieces)) {
			if t.pieces[i].role == Focus {
				sum += math.Sqrt(float64(n))
			}
		}
	}
	return sum
}
