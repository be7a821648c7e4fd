package scene

import "planfold/convert/mesh"

// locatorTriangles fill a picture of some hundred thousand pixels: about half of them face
// away, or lie behind others.
const locatorTriangles = 8000

// Locator is a light mesh of the whole product, which shows where each step's parts go.
type Locator struct {
	Light
	up      byte
	product *Structure
}

// Locate makes the locator of a plan's product; nil where nothing of it stands in place. The
// error is of a number that a file cannot hold.
func Locate(in Input) (*Locator, error) {
	c := wholeOf(in)
	if !c.drawsAny() {
		return nil, nil
	}
	for _, p := range c.pieces {
		p.closeness = 1 // from afar
	}
	// What is small at this distance makes room for the shape of the rest.
	c.dropContext(locatorTriangles / 4)
	c.fit(locatorTriangles)
	c.origin, _ = centreOf(c.pieces, "")
	l, err := c.light("locator", c.join(), nil)
	if l == nil {
		return nil, err
	}
	return &Locator{*l, in.Plan.Frame.Up, in.Structure}, nil
}

// Place is where the locator shows, in a viewer's axes, what a step is about, a box in the
// frame of what its operation builds; "" is the product. Of a sub-assembly that goes to
// several places it is the first, and places says how many there are.
func (l *Locator) Place(builds string, focus mesh.Box) (box [2][3]float64, places int) {
	home := mesh.Identity()
	if builds == "" {
		places = 1
	}
	for _, o := range l.product.Occurrences {
		if builds == "" || o.Item != builds || !o.Placed || o.Hide {
			continue
		}
		if places == 0 {
			home = o.Placement
		}
		places++
	}
	b := focus.Transform(turnedUp(l.up).Mul(mesh.Translation(mesh.Vec(l.Origin).Scale(-1))).Mul(home))
	return [2][3]float64{micrometres(b.Min), micrometres(b.Max)}, places
}

// turnedUp is turnUp as a matrix, whose numbers are whole.
func turnedUp(up byte) mesh.Mat {
	t := tableOf(up)
	right, away, top := t.vector(1, 0, 0), t.vector(0, 1, 0), t.vector(0, 0, 1)
	return mesh.Mat{
		right[0], top[0], -away[0], 0,
		right[1], top[1], -away[1], 0,
		right[2], top[2], -away[2], 0,
		0, 0, 0, 1,
	}
}
