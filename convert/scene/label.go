package scene

import (
	"cmp"
	"slices"
	"strings"

	"planfold/convert/mesh"
	"planfold/convert/raster"
)

// labels are the places in the tightening order of what is tightened, each at that end of
// its part which goes in last, those nearer the eye last.
func (c *composer) labels(eye mesh.Vec) []raster.Label {
	var list []raster.Label
	for _, p := range c.pieces {
		if p.occurrence < 0 || p.bounds.Empty() {
			continue
		}
		var orders []string
		for _, t := range c.Step.Tightening {
			if t.Occurrence.Value == c.Structure.Occurrences[p.occurrence].Path {
				orders = append(orders, t.Order.Value)
			}
		}
		if len(orders) > 0 {
			at, end := c.outerEnd(p)
			list = append(list, raster.Label{At: end, Beyond: end.Add(end.Sub(at)), Text: strings.Join(orders, " ")})
		}
	}
	slices.SortStableFunc(list, func(a, b raster.Label) int { return cmp.Compare(b.At.Distance(eye), a.At.Distance(eye)) })
	return list
}

// outerEnd is the middle of a part, where it starts, and its end that is farthest from where
// it goes; of one that stands still, its middle.
func (c *composer) outerEnd(p *piece) (at, end mesh.Vec) {
	home := p.bounds.Centre()
	at = c.displacement(p.occurrence).Point(home)
	away := at.Sub(home)
	if away.Length() == 0 {
		return at, at
	}
	away = away.Unit()
	half := 0.0
	for k := range away {
		half += float64(max(away[k], -away[k]) * (p.bounds.Max[k] - p.bounds.Min[k]) / 2)
	}
	return at, at.Add(away.Scale(half))
}
