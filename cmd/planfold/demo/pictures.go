package demo

import (
	"fmt"
	"math"
	"strconv"

	"planfold/cmd/planfold/demo/drawing"
	"planfold/cmd/planfold/demo/solid"
	"planfold/convert/mesh"
)

// The drawings show what the geometry makes; steps of shafts and caps are copied from there.

// numberedBolt draws a bolt head with its place in the tightening order.
func numberedBolt(s *drawing.Sheet, at drawing.Point, r float64, order string) {
	circle := drawing.Circle(at, r)
	s.Fill(drawing.White, circle...)
	s.Outline(drawing.Red, 2.5, circle...)
	s.Text(drawing.Red, 20, 0, at, order)
}

// jointDrawing is the parting joint from above with the order of its bolts.
func jointDrawing() *drawing.Sheet {
	s := drawing.New(1200, 760, drawing.Point{155, 0}, 2.1)
	s.Title("Tightening order, parting joint / Anziehreihenfolge Teilfuge",
		"Red: M12, 79 N·m (75 to 83), first to 40 N·m. Grey: M10, 47 N·m, after all M12.")
	outline := drawing.Rectangle(drawing.Point{-81, -face}, drawing.Point{391, face})
	s.Fill(drawing.Pale, outline...)
	s.Outline(drawing.Black, 2.5, outline...)
	inside := drawing.Rectangle(drawing.Point{-46, -cavity}, drawing.Point{rightIn, cavity})
	s.Fill(drawing.White, inside...)
	s.Outline(drawing.Black, 1.5, inside...)
	for _, l := range shaftLines {
		for _, y := range []float64{-face, cavity} {
			bore := drawing.Rectangle(drawing.Point{l.x - l.bore, y}, drawing.Point{l.x + l.bore, y + face - cavity})
			s.Fill(drawing.White, bore...)
			s.Outline(drawing.Black, 1.5, bore...)
		}
		s.Dashed(drawing.Grey, 1, 8, drawing.Point{l.x, -face - 15}, drawing.Point{l.x, face + 15})
	}
	for _, b := range flangeBolts {
		s.Fill(drawing.Grey, drawing.Circle(drawing.Point{b.x, b.y}, 5)...)
	}
	for i, k := range jointOrder {
		b := bossBolts[k]
		numberedBolt(s, drawing.Point{b.x, b.y}, 9, strconv.Itoa(i+1))
	}
	s.Dimension(drawing.Point{0, -face - 8}, drawing.Point{102, -face - 8}, drawing.Point{0, -22}, "102")
	s.Dimension(drawing.Point{102, -face - 8}, drawing.Point{238, -face - 8}, drawing.Point{0, -22}, "136")
	return s
}

// capDrawing is an end cap from outside with the order of its bolts.
func capDrawing(l line, torque string) *drawing.Sheet {
	s := drawing.New(900, 760, drawing.Point{0, 4}, 300/l.flange)
	s.Title("Tightening order / Anziehreihenfolge", torque+", crosswise / über Kreuz")
	rim := drawing.Circle(drawing.Point{}, l.flange)
	s.Fill(drawing.Pale, rim...)
	s.Outline(drawing.Black, 2.5, rim...)
	s.Outline(drawing.Black, 1, drawing.Circle(drawing.Point{}, l.bore-6)...)
	s.Dashed(drawing.Grey, 1, 2, append(drawing.Circle(drawing.Point{}, l.boltCircle), drawing.Point{l.boltCircle, 0})...)
	s.Dashed(drawing.Grey, 1, 4, drawing.Point{-l.flange - 6, 0}, drawing.Point{l.flange + 6, 0})
	s.Dashed(drawing.Grey, 1, 4, drawing.Point{0, -l.flange - 6}, drawing.Point{0, l.flange + 6})
	bolts := l.capBolts()
	at := func(k int) drawing.Point { return drawing.Point{bolts[k][0], bolts[k][1]} }
	order := crossOrder(len(bolts))
	for i := 1; i < len(order); i++ {
		a, b := at(order[i-1]), at(order[i])
		d := math.Sqrt(float64((b[0]-a[0])*(b[0]-a[0])) + float64((b[1]-a[1])*(b[1]-a[1])))
		k := (l.flange / 9) / d
		s.Arrow(drawing.Red, 1.2, drawing.Point{a[0] + (b[0]-a[0])*k, a[1] + (b[1]-a[1])*k}, drawing.Point{b[0] - (b[0]-a[0])*k, b[1] - (b[1]-a[1])*k})
	}
	for i, k := range order {
		numberedBolt(s, at(k), l.flange/12, strconv.Itoa(i+1))
	}
	return s
}

// lineDrawing is a section of the intermediate line, its axis across the sheet.
func lineDrawing() *drawing.Sheet {
	s := drawing.New(1200, 860, drawing.Point{0, -2}, 4.4)
	s.Title("Intermediate line, section / Zwischenwelle, Schnitt", "Dimensions in mm / Maße in mm")
	block := func(ink drawing.Ink, z0, z1, r0, r1 float64) {
		for _, sign := range []float64{1, -1} {
			b := drawing.Rectangle(drawing.Point{z0, sign * r0}, drawing.Point{z1, sign * r1})
			s.Fill(ink, b...)
			s.Outline(drawing.Black, 1.5, b...)
		}
	}
	pinion, gear := standard.pinion2(), standard.wheel1()
	for _, p := range [][3]float64{{-86, -68, 17.5}, {-68, -51.5, 22}, {3.5, 18, 28}, {18, 49, 22.5}, {49, 67.5, 20}, {67.5, 86, 17.5}} {
		b := drawing.Rectangle(drawing.Point{p[0], -p[2]}, drawing.Point{p[1], p[2]})
		s.Fill(drawing.Pale, b...)
		s.Outline(drawing.Black, 1.5, b...)
	}
	b := drawing.Rectangle(drawing.Point{-51.5, -pinion.Tip() / 2}, drawing.Point{3.5, pinion.Tip() / 2})
	s.Fill(drawing.Pale, b...)
	s.Outline(drawing.Black, 1.5, b...)
	block(drawing.Metal, 18, 50, 22.5, 35)
	block(drawing.Metal, 27, 41, 35, gear.Root()/2-8)
	block(drawing.Metal, 18, 50, gear.Root()/2-8, gear.Tip()/2)
	block(drawing.Brass, 50, 68, 20, 26)
	block(drawing.Steel, 68, 86.25, 17.5, 36)
	block(drawing.Steel, -86.25, -68, 17.5, 36)
	s.Dashed(drawing.Grey, 1, 3, drawing.Point{-98, 0}, drawing.Point{98, 0})
	for _, d := range [][3]float64{{-68, 68, -64}, {-51.5, 3.5, -52}, {50, 68, -46}} {
		s.Dimension(drawing.Point{d[0], -36}, drawing.Point{d[1], -36}, drawing.Point{0, d[2] + 36}, strconv.FormatFloat(d[1]-d[0], 'f', -1, 64))
	}
	s.Text(drawing.Blue, 18, -1, drawing.Point{-125, 72}, fmt.Sprintf("gear 1 / Rad 1: z = %d, mn = %.1f, d = %.2f", gear.Teeth, gear.Module, gear.Pitch()))
	s.Text(drawing.Blue, 18, -1, drawing.Point{-125, 65}, fmt.Sprintf("pinion / Ritzel: z = %d, mn = %.1f, d = %.2f", pinion.Teeth, pinion.Module, pinion.Pitch()))
	s.Text(drawing.Red, 18, -1, drawing.Point{-125, 58}, "no gap at the collar / kein Spalt am Bund")
	s.Arrow(drawing.Red, 1.5, drawing.Point{-45, 57}, drawing.Point{17.6, 29})
	return s
}

// sealDrawing is the section of an output end cap with its seal.
func sealDrawing() *drawing.Sheet {
	s := drawing.New(1000, 760, drawing.Point{2, 46}, 10)
	s.Title("Shaft seal, section / Wellendichtring, Schnitt", "Open side towards the housing / Offene Seite zum Gehäuse")
	l := outputLine
	shaft := drawing.Rectangle(drawing.Point{-36, 14}, drawing.Point{40, 22.5})
	s.Fill(drawing.Pale, shaft...)
	s.Outline(drawing.Black, 2, shaft...)
	s.Text(drawing.Black, 18, 0, drawing.Point{0, 18}, "shaft / Welle  Ø 45")
	cap := []drawing.Point{{-14, 40.5}, {-14, 44.95}, {0, 44.95}, {0, l.flange}, {12, l.flange}, {12, 31}, {3.5, 31}, {3.5, 24}, {-2, 24}, {-2, 40.5}}
	s.Fill(drawing.Metal, cap...)
	s.Outline(drawing.Black, 2, cap...)
	var profile []drawing.Point
	for _, p := range sealProfile(22.5, 31, 8) {
		profile = append(profile, drawing.Point{p[1] + l.thickness - 8.3, p[0]})
	}
	s.Fill(drawing.Black, profile...)
	s.Text(drawing.Red, 20, 0, drawing.Point{-22, 56}, "housing / Gehäuse")
	s.Arrow(drawing.Red, 2, drawing.Point{-16, 53}, drawing.Point{-30, 53})
	s.Text(drawing.Black, 20, 0, drawing.Point{28, 56}, "outside / außen")
	s.Dimension(drawing.Point{3.7, 31}, drawing.Point{11.7, 31}, drawing.Point{0, 37}, "8")
	s.Dimension(drawing.Point{11.7, 22.5}, drawing.Point{11.7, 31}, drawing.Point{16, 0}, "8.5")
	return s
}

// backlashDrawing shows where the dial indicator sits.
func backlashDrawing() *drawing.Sheet {
	s := drawing.New(1000, 760, drawing.Point{62, 0}, 3.3)
	s.Title("Backlash / Verdrehflankenspiel", "0.08 to 0.20 mm, at four places / 0,08 bis 0,20 mm, an vier Stellen")
	draw := func(g solid.Gear, x float64, ink drawing.Ink) {
		var line []drawing.Point
		for _, p := range g.Loop(0) {
			line = append(line, drawing.Point{p[0] + x, p[1]})
		}
		s.Fill(ink, line...)
		s.Outline(drawing.Black, 1.2, line...)
	}
	draw(standard.wheel1(), stage1Distance, drawing.Metal)
	draw(standard.pinion1(), 0, drawing.Pale)
	for _, c := range [][2]float64{{0, 15}, {102, 22.5}} {
		s.Fill(drawing.White, drawing.Circle(drawing.Point{c[0], 0}, c[1])...)
		s.Outline(drawing.Black, 1.5, drawing.Circle(drawing.Point{c[0], 0}, c[1])...)
	}
	// The indicator touches a tooth at the top, at right angles to its flank.
	tip := drawing.Point{104, 77}
	s.Line(drawing.Red, 3, tip, drawing.Point{134, 82})
	s.Fill(drawing.White, drawing.Circle(drawing.Point{146, 84}, 13)...)
	s.Outline(drawing.Red, 3, drawing.Circle(drawing.Point{146, 84}, 13)...)
	s.Line(drawing.Red, 2, drawing.Point{146, 84}, drawing.Point{152, 92})
	s.Text(drawing.Red, 16, 0, drawing.Point{146, 78}, "0.01")
	s.Arrow(drawing.Red, 2, drawing.Point{-20, 34}, drawing.Point{12, 36})
	s.Arrow(drawing.Red, 2, drawing.Point{-4, 35}, drawing.Point{-24, 30})
	s.Text(drawing.Red, 16, 0, drawing.Point{-6, 44}, "rock / bewegen")
	s.Text(drawing.Black, 16, 0, drawing.Point{102, 0}, "hold / halten")
	return s
}

// drainDrawing is the side with the drain plug and the sight glass.
func drainDrawing() *drawing.Sheet {
	s := drawing.New(1000, 760, drawing.Point{0, -70}, 3.4)
	s.Title("Drain side / Ablassseite", "")
	wallSide := drawing.Rectangle(drawing.Point{-wall, baseTop}, drawing.Point{wall, 0})
	base := drawing.Rectangle(drawing.Point{-face, baseBottom}, drawing.Point{face, baseTop})
	for _, r := range [][]drawing.Point{wallSide, base} {
		s.Fill(drawing.Pale, r...)
		s.Outline(drawing.Black, 2, r...)
	}
	for _, f := range []struct {
		at    mesh.Vec
		r, in float64
		label string
	}{{sightAt, 22, 11, "sight glass / Schauglas"}, {drainAt, 17, 9.5, "drain plug 40 N·m / Ablassschraube 40 N·m"}} {
		at := drawing.Point{f.at[1], f.at[2]}
		s.Outline(drawing.Black, 2, drawing.Circle(at, f.r)...)
		s.Outline(drawing.Blue, 2, drawing.Circle(at, f.in)...)
		s.Line(drawing.Blue, 1, at, drawing.Point{60, at[1] + 14}, drawing.Point{66, at[1] + 14})
		s.Fill(drawing.White, drawing.Rectangle(drawing.Point{64, at[1] + 9}, drawing.Point{146, at[1] + 19})...)
		s.Text(drawing.Blue, 14, -1, drawing.Point{66, at[1] + 14}, f.label)
	}
	s.Dimension(drawing.Point{0, 0}, drawing.Point{0, sightAt[2]}, drawing.Point{-100, 0}, "52")
	s.Dimension(drawing.Point{0, 0}, drawing.Point{0, drainAt[2]}, drawing.Point{-122, 0}, "104")
	return s
}

// jointOrder is the order of the boss bolts, from the middle outwards.
var jointOrder = []int{1, 6, 2, 5, 0, 7, 3, 4}

// crossOrder is the order of n bolts on a circle, opposite ones in turn.
func crossOrder(n int) []int {
	if n == 4 {
		return []int{0, 2, 1, 3}
	}
	return []int{0, 3, 1, 4, 2, 5}
}
