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
	k, ways := c.pictureCamera(), c.ways()
	labels := c.labels(k.position)
	c.out.Aim = fmt.Sprint(k.position, k.towards, k.up, k.field, k.near, ways, labels)
	c.out.Picture = func() *raster.Picture { return c.picture(k, ways, labels) }
}

func (c *composer) picture(k camera, ways []way, labels []raster.Label) *raster.Picture {
	width, height := PictureSize(c.Profile)
	p := &raster.Picture{
		View:  raster.Perspective(k.position, k.towards, k.up, k.field, k.near, width, height),
		Width: width, Height: height, Labels: labels,
	}
	p.Paths = c.arrows(ways, p.View)
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
	leastFilled = 0.55 // of a picture's width or height, by the focus and its way
	closeFilled = 0.6  // where it is drawn from closer
	largeFilled = 0.7  // by what a saved view shows large
	wholeFilled = 0.9  // by all
)

// pictureCamera looks from the side of the scene's: a picture cannot be walked into. A saved
// view stays if it shows the focus whole and large, or is about a detail without one. Else
// all is in the picture where the focus is large enough in that, so that what it is put on
// is whole too, or the focus from closer.
func (c *composer) pictureCamera() camera {
	k := c.camera
	away, all, about := k.position.Sub(k.towards), c.boxes(""), c.boxes(Focus)
	if away.Length() == 0 || len(all) == 0 {
		return k
	}
	stays := func(share float64, whole bool) bool { return whole && share >= largeFilled }
	if len(about) == 0 {
		about, stays = all, func(_ float64, whole bool) bool { return !whole }
	}
	if k.name != ownCamera && stays(k.filled(about)) {
		return k
	}
	closer := c.frame(away.Unit(), k.up, wholeFilled, all)
	if share, _ := closer.filled(about); share < leastFilled {
		closer = c.frame(away.Unit(), k.up, closeFilled, about)
	}
	closer.near, closer.far = c.reach(closer.position)
	return closer
}

// filled is how much of a picture's width or height, whichever is more, boxes take, and
// whether all of them are inside.
func (k *camera) filled(boxes []mesh.Box) (share float64, whole bool) {
	v := raster.Perspective(k.position, k.towards, k.up, k.field, k.near, pictureWide, pictureHigh)
	low, high := [2]float64{1, 1}, [2]float64{}
	for _, b := range boxes {
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
