package action

import (
	"encoding/hex"
	"math"
	"strings"

	"planfold/convert/diag"
	"planfold/convert/step"
	"planfold/rules/document"
)

var lookRow = &Row{
	Name: "look", For: []string{"item"}, Takes: "{color: '#rrggbb'}",
	Does:    "the item's colour, as sRGB",
	compile: look,
}

func look(n *document.Node, c *Compiler) Action {
	faults := c.Faults
	if !faults.Keys(n, "look", "color") {
		return Action{}
	}
	at := faults.Need(n, "color", "look")
	text := faults.Text(at, "look.color")
	if text == "" {
		return Action{}
	}
	digits, hashed := strings.CutPrefix(text, "#")
	srgb, err := hex.DecodeString(digits)
	if !hashed || err != nil || len(srgb) != 3 {
		faults.Add(diag.RuleValueInvalid, at, "look.color is \"#\" and six hexadecimal digits, not %q", text)
		return Action{}
	}
	color := [3]float64{linear(srgb[0]), linear(srgb[1]), linear(srgb[2])}
	return Action{Apply: func(o Object, by step.Origin) (Done, error) {
		var was step.Origin
		if o.Item.Material3D != nil {
			was = o.Item.Material3D.Origin
		}
		o.Item.Material3D = &step.Material{Color: color, Origin: by}
		return Done{Says: text, Replaced: was}, nil
	}}
}

// linear undoes the sRGB transfer function (IEC 61966-2-1), to four decimals, so
// that the last bit of a power does not show in what is issued.
func linear(c byte) float64 {
	s := float64(c) / 255
	l := s / 12.92
	if s > 0.04045 {
		l = math.Pow((s+0.055)/1.055, 2.4)
	}
	return math.Round(l*10000) / 10000
}

// Color writes a linear colour as rules do. It undoes look exactly: what linear
// rounds away is less than half a step of eight bits.
func Color(rgb [3]float64) string {
	srgb := make([]byte, 3)
	for i, l := range rgb {
		s := 12.92 * l
		if l > 0.0031308 {
			s = 1.055*math.Pow(l, 1/2.4) - 0.055
		}
		srgb[i] = byte(math.Round(255 * s))
	}
	return "#" + hex.EncodeToString(srgb)
}
