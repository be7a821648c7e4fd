package scene

import (
	"slices"

	"planfold/convert/mesh"
	"planfold/convert/profile"
	"planfold/convert/raster"
)

// A picture is four to three.
const pictureWide, pictureHigh = 4, 3

// PictureSize is the size of steps' pictures, pixels: no larger than the profile allows.
func PictureSize(p profile.Profile) (width, height int) {
	width = min(960, p.PictureEdge)
	return width, max(width*pictureHigh/pictureWide, 1)
}

// picture shows the step from its camera: the parts where they start, with their ways
// home.
func (c *composer) picture() *raster.Picture {
	k := &c.camera
	width, height := PictureSize(c.Profile)
	p := &raster.Picture{
		View:  raster.Perspective(k.position, k.towards, k.up, k.field, k.near, width, height),
		Width: width, Height: height,
	}
	for i, x := range c.pieces {
		start := mesh.Identity()
		if x.occurrence >= 0 {
			start = c.displacement(x.occurrence)
		}
		for k := range x.shapes {
			s := &x.shapes[k]
			blob := s.choice.levels[s.choice.at].Blob
			home := raster.Body{Mesh: c.Mesh(blob), Normals: c.Normals(blob), Place: x.placement.Mul(s.Transform), Number: int32(i)}
			if home.Mesh == nil {
				continue
			}
			body := home
			body.Place = start.Mul(home.Place)
			if x.role != Focus {
				p.Context = append(p.Context, body)
				continue
			}
			p.Focus = append(p.Focus, body)
			if start != mesh.Identity() {
				p.Home = append(p.Home, home)
			}
		}
	}
	p.Paths = c.paths()
	return p
}

// paths are the ways of what moves with a part of the step in it.
func (c *composer) paths() (paths [][2]mesh.Vec) {
	for i, o := range c.Structure.Occurrences {
		m := c.moves[i]
		if m == nil || !slices.ContainsFunc(c.pieces, func(p *piece) bool {
			return p.role == Focus && p.occurrence >= i && p.occurrence < o.End
		}) {
			continue
		}
		around := mesh.Identity()
		if o.Parent >= 0 {
			around = c.displacement(o.Parent)
		}
		paths = append(paths, [2]mesh.Vec{around.Point(m.middle.Add(m.offset)), around.Point(m.middle)})
	}
	return paths
}
