// Package sweep finds how parts come out of what they stand in, along straight lines,
// one after the other: assembly is the reverse. It knows meshes in their places, and
// nothing of plans and scenes.
//
// A direction is judged on lines along it. On each line a solid is a list of spans, and
// how far one can move before it runs into another is a difference of their ends: exact
// in the distance, without steps in time. Two solids are in each other's way where this
// holds for a line and all of those around it, so that what slides along something, or
// is faceted in another way, is not taken to run into it.
//
// As an assembly by disassembly: M. Agrawala and others, "Designing effective
// step-by-step assembly instructions", 2003; W. Li and others, "Automated generation of
// interactive 3D exploded view diagrams", 2008; Y. Tian and others, "Assemble them all:
// physics-based planning for generalizable assembly by disassembly", 2022.
package sweep

import (
	"math"

	"planfold/convert/mesh"
)

// Version changes whenever the same bodies may leave in another way.
const Version = "2"

// allowed is by how much solids may run into each other, more than they do at home,
// and by how much more their meshes deviate: threads, press fits and facets.
const allowed = 0.0002

// Shell is a mesh in its place. Its triangles face outwards.
type Shell struct {
	Mesh      *mesh.Mesh
	Bounds    mesh.Box // of the mesh, but for its deviation
	At        mesh.Mat
	Deviation float64 // of the mesh from what it shows, as placed
}

// Body is shells that move, or stand, as one.
type Body struct {
	Shells []Shell
	Thread Thread
}

// field is bodies seen along a direction.
type field struct {
	look   mesh.Mat // to u, v, w
	region mesh.Box // where lines will go
	bodies [][]*shadow
	slack  []float64 // by body: what it may overlap with sideways, of a thread
}

// newField looks along a direction of unit length, at what is in the columns of some
// bodies.
func newField(bodies []Body, direction mesh.Vec, columns []mesh.Box) *field {
	f := &field{look: looking(direction), region: mesh.EmptyBox()}
	for _, box := range columns {
		f.region.Join(box.Transform(f.look))
	}
	for k := range f.region.Min {
		f.region.Min[k] -= long
		f.region.Max[k] += long
	}
	casts := map[pose]*cast{}
	for i := range bodies {
		var list []*shadow
		for k := range bodies[i].Shells {
			s := &bodies[i].Shells[k]
			list = append(list, f.shadow(s, casts))
		}
		f.bodies = append(f.bodies, list)
		f.slack = append(f.slack, bodies[i].Thread.along(direction))
	}
	return f
}

// pose is a mesh, and how it is turned.
type pose struct {
	mesh   *mesh.Mesh
	linear [3]mesh.Vec
}

// shadow gives a shell its cast, which it shares with those that are turned as it is.
func (f *field) shadow(s *Shell, casts map[pose]*cast) *shadow {
	to := f.look.Mul(s.At)
	key, at := pose{mesh: s.Mesh}, to.Point(mesh.Vec{})
	for k := range key.linear {
		var axis mesh.Vec
		axis[k] = 1
		key.linear[k] = to.Direction(axis)
	}
	c := casts[key]
	if c == nil {
		c = &cast{mesh: s.Mesh, to: to, lit: mesh.EmptyBox()}
		casts[key] = c
	}
	off := at.Sub(c.to.Point(mesh.Vec{}))
	c.lit.Join(moved(f.region, off.Scale(-1)))
	return &shadow{cast: c, shell: s, off: off, box: s.Bounds.Transform(to)}
}

// looking leads to u and v across a direction and w along it.
func looking(d mesh.Vec) mesh.Mat {
	u, v := across(d)
	return mesh.Mat{u[0], v[0], d[0], 0, u[1], v[1], d[1], 0, u[2], v[2], d[2], 0, 0, 0, 0, 1}
}

// across is two directions at right angles to one and to each other.
func across(d mesh.Vec) (u, v mesh.Vec) {
	least := 0
	for k := range d {
		if math.Abs(d[k]) < math.Abs(d[least]) {
			least = k
		}
	}
	var axis mesh.Vec
	axis[least] = 1
	u = axis.Cross(d).Unit()
	return u, d.Cross(u)
}

// pass is how a body that leaves along the field's direction passes another one.
type pass struct {
	body  int
	at    float64 // distance moved when they meet, infinite if they do not
	shell int     // of the other, that is met
	clear float64 // distance moved when the last of it that is near was passed
}

func (p pass) met() bool { return !math.IsInf(p.at, 1) }

// errand is what is asked of a field.
type errand struct {
	body   int
	shift  mesh.Vec // off its place, to start with
	reach  float64
	margin float64          // what lies no farther ahead than this is near
	enough float64          // what is met before that is as good as met at once
	skip   func(j int) bool // bodies that are not there; nil for none
}

// out lists the bodies that one passes as it leaves. When it has met enough of what
// stands still it asks for no more.
func (f *field) out(e errand) (list []pass) {
	shift, box := f.look.Direction(e.shift), mesh.EmptyBox()
	for _, s := range f.bodies[e.body] {
		s.fill()
		box.Join(mesh.Box{Min: s.box.Min.Add(shift), Max: s.box.Max.Add(shift)})
	}
	for j := range f.bodies {
		if j == e.body || e.skip != nil && e.skip(j) {
			continue
		}
		p := f.pass(e, shift, box, j)
		if p.met() || p.clear > 0 {
			list = append(list, p)
		}
		if j == 0 && p.at <= e.enough && p.met() {
			break
		}
	}
	return list
}

// pass tries the shells of another body, those first that stand at the body's side.
func (f *field) pass(e errand, shift mesh.Vec, box mesh.Box, j int) pass {
	p := pass{body: j, at: math.Inf(1)}
	for _, beside := range []bool{true, false} {
		for k, s := range f.bodies[j] {
			if (s.box.Min[2] <= box.Max[2]) != beside || !near(box, s.box, e.reach) {
				continue
			}
			s.fill()
			r := newProbe(f.bodies[e.body], shift, box, s, max(f.slack[e.body], f.slack[j]))
			r.reach, r.margin, r.enough = e.reach, e.margin, max(e.enough, r.tolerance)
			r.run()
			p.clear = max(p.clear, r.clear)
			if r.at < p.at {
				p.at, p.shell = r.at, k
				if r.at <= r.enough { // it was not measured to its end
					p.clear = max(p.clear, s.box.Max[2]-box.Min[2])
					return p
				}
			}
		}
	}
	return p
}

// near tells by boxes whether a body may pass another at all.
func near(body, other mesh.Box, reach float64) bool {
	for k := range 2 {
		if other.Min[k] > body.Max[k]+long || other.Max[k] < body.Min[k]-long {
			return false
		}
	}
	return other.Max[2] > body.Min[2] && other.Min[2] < body.Max[2]+reach
}
