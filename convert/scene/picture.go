package scene

import (
	"fmt"

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

// takePicture shows the step from the side of its camera: the parts where they start, with
// their ways home. It is drawn only if it is not known yet.
func (c *composer) takePicture() {
	k, paths := c.pictureCamera(), c.paths()
	c.out.Aim = fmt.Sprint(k.position, k.towards, k.up, k.field, k.near, paths)
	c.out.Picture = func() *raster.Picture { return c.picture(k, paths) }
}

func (c *composer) picture(k camera, paths [][2]mesh.Vec) *raster.Picture {
	width, height := PictureSize(c.Profile)
	p := &raster.Picture{
		View:  raster.Perspective(k.position, k.towards, k.up, k.field, k.near, width, height),
		Width: width, Height: height, Paths: paths,
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
			if start == mesh.Identity() {
				p.Still = append(p.Still, body)
				continue
			}
			p.Focus = append(p.Focus, body)
			p.Home = append(p.Home, home)
		}
	}
	if len(p.Focus) == 0 {
		p.Focus, p.Still = p.Still, nil
	}
	return p
}

const (
	leastFilled = 0.5 // of a picture's width or height, by the focus and its way
	closeFilled = 0.7 // where it is drawn from closer
)

// pictureCamera is the scene's, or one on the same side where a saved view shows the focus
// small or cuts it off: a picture cannot be walked into.
func (c *composer) pictureCamera() camera {
	k := c.camera
	away := k.position.Sub(k.towards)
	if k.name == ownCamera || away.Length() == 0 || len(c.focusBoxes()) == 0 {
		return k
	}
	view := raster.Perspective(k.position, k.towards, k.up, k.field, k.near, pictureWide, pictureHigh)
	if filled, whole := c.filled(view); whole && filled >= leastFilled {
		return k
	}
	closer := c.frame(away.Unit(), k.up, closeFilled)
	closer.near, closer.far = c.reach(closer.position)
	return closer
}

// filled is how much of a picture's width or height, whichever is more, the focus and its
// way take, and whether all of them is inside.
func (c *composer) filled(v *raster.View) (share float64, whole bool) {
	low, high := [2]float64{1, 1}, [2]float64{}
	for _, b := range c.focusBoxes() {
		for i := range 8 {
			x, y, ok := v.Spot(b.Corner(i))
			if !ok {
				return 1, false
			}
			for k, at := range [2]float64{x / pictureWide, y / pictureHigh} {
				low[k], high[k] = min(low[k], at), max(high[k], at)
			}
		}
	}
	whole = min(low[0], low[1]) >= 0 && max(high[0], high[1]) <= 1
	return max(high[0]-low[0], high[1]-low[1]), whole
}
