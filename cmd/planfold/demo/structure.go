package demo

import (
	"fmt"

	"planfold/convert/mesh"
)

type occurrence struct {
	id, item string
	place    mesh.Mat
}

// assembly is what an item consists of.
type assembly struct {
	of          string
	occurrences []occurrence
}

func (a *assembly) add(id, item string, place mesh.Mat) {
	a.occurrences = append(a.occurrences, occurrence{id, item, place})
}

func (v variant) structure() []assembly {
	return []assembly{v.product(), endCap(), v.inputLineOf(), v.middleLineOf(), outputLineOf()}
}

func along(z float64) mesh.Vec { return mesh.Vec{0, 0, z} }

// Shaft lines stand on the bench, their driven end up.

func (v variant) inputLineOf() assembly {
	a := assembly{of: v.inputLineID()}
	a.add("shaft-1", v.inputShaftID(), upright(mesh.Vec{}))
	a.add("bearing-1", "P-3010", upright(along(seat)))
	a.add("bearing-2", "P-3010", flipped(along(-seat)))
	return a
}

func (v variant) middleLineOf() assembly {
	a := assembly{of: v.middleLineID()}
	a.add("shaft-1", "P-2030", upright(mesh.Vec{}))
	a.add("key-1", "P-2120", upright(mesh.Vec{0, 17, stage1At}))
	a.add("wheel-1", v.wheel1ID(), upright(along(stage1At)))
	a.add("spacer-1", "P-2210", upright(along(stage1At+16)))
	a.add("bearing-1", "P-3020", upright(along(seat)))
	a.add("bearing-2", "P-3020", flipped(along(-seat)))
	return a
}

func outputLineOf() assembly {
	a := assembly{of: "SA-420"}
	a.add("shaft-1", "P-2050", upright(mesh.Vec{}))
	a.add("key-1", "P-2130", upright(mesh.Vec{0, 22, -24.5}))
	a.add("wheel-1", "P-2040", upright(along(stage2At)))
	a.add("spacer-1", "P-2220", upright(along(-seat)))
	a.add("bearing-1", "P-3030", upright(along(seat)))
	a.add("bearing-2", "P-3030", flipped(along(-seat)))
	return a
}

// endCap stands with its outside up, its flange's seat at z = 0.
func endCap() assembly {
	a := assembly{of: "SA-300"}
	a.add("cap-1", "P-4040", upright(mesh.Vec{}))
	a.add("seal-1", "P-4220", upright(along(outputLine.thickness-8.3)))
	a.add("ring-1", "P-4230", upright(along(-7)))
	return a
}

func (v variant) product() assembly {
	a := assembly{of: v.id}
	a.add("housing-lower-1", "P-1010", upright(mesh.Vec{}))
	a.add("plug-drain-1", "P-6040", facingRight(drainAt.Add(mesh.Vec{1.5, 0, 0})))
	a.add("ring-drain-1", "P-6050", facingRight(drainAt))
	a.add("sight-1", "P-6030", facingRight(sightAt))
	a.add("line-out-1", "SA-420", lying(mesh.Vec{outputLine.x, 0, 0}))
	a.add("line-mid-1", v.middleLineID(), lying(mesh.Vec{middleLine.x, 0, 0}))
	a.add("line-in-1", v.inputLineID(), lying(mesh.Vec{inputLine.x, 0, 0}))
	a.add("housing-upper-1", "P-1020", upright(mesh.Vec{}))
	for i, d := range dowels {
		a.add(fmt.Sprintf("pin-%d", i+1), "P-5310", upright(mesh.Vec{d.x, d.y, 0}))
	}
	a.through("m12", bossBolts, bossHeight, "P-5010", "P-5110", "P-5210", m12)
	a.through("m10", flangeBolts, flangeEdge, "P-5020", "P-5120", "P-5220", m10)
	a.caps()
	a.add("gasket-cover-1", "P-1040", upright(mesh.Vec{padX, 0, roof + padHeight}))
	top := roof + padHeight + 1
	a.add("cover-1", "P-1030", upright(mesh.Vec{padX, 0, top}))
	for i, b := range coverBolts {
		a.add(fmt.Sprintf("washer-cover-%d", i+1), "P-5140", upright(mesh.Vec{padX + b.x, b.y, top + 8}))
		a.add(fmt.Sprintf("bolt-cover-%d", i+1), "P-5040", upright(mesh.Vec{padX + b.x, b.y, top + 8 + m6.sheet}))
	}
	a.add("breather-1", "P-6020", upright(mesh.Vec{padX, 0, top + 11}))
	for i, at := range eyesAt {
		a.add(fmt.Sprintf("eye-%d", i+1), "P-6010", upright(at))
	}
	a.add("ring-fill-1", "P-6050", upright(fillAt))
	a.add("plug-fill-1", "P-6040", upright(fillAt.Add(along(1.5))))
	a.add("key-in-1", "P-2110", lying(mesh.Vec{inputLine.x, -146, 8}))
	a.add("key-out-1", "P-2140", lying(mesh.Vec{outputLine.x, -157, 16}))
	a.add("key-out-2", "P-2140", lying(mesh.Vec{outputLine.x, 157, 16}))
	return a
}

// through adds bolts from above through both halves, with washers and nuts.
func (a *assembly) through(name string, at []spot, grip float64, bolt, washer, nut string, f fastener) {
	for i, s := range at {
		id := func(what string) string { return fmt.Sprintf("%s-%s-%d", what, name, i+1) }
		a.add(id("washer-top"), washer, upright(mesh.Vec{s.x, s.y, grip}))
		a.add(id("bolt"), bolt, upright(mesh.Vec{s.x, s.y, grip + f.sheet}))
		a.add(id("washer-low"), washer, upright(mesh.Vec{s.x, s.y, -grip - f.sheet}))
		a.add(id("nut"), nut, flipped(mesh.Vec{s.x, s.y, -grip - f.sheet}))
	}
}

// caps adds the end caps of all shafts, front and back, with what seals them and
// their bolts.
func (a *assembly) caps() {
	for _, end := range []struct {
		name  string
		y     float64 // direction outwards
		place func(mesh.Vec) mesh.Mat
	}{{"front", -1, lying}, {"back", 1, facingBack}} {
		at := func(l line, out float64) mesh.Mat { return end.place(mesh.Vec{l.x, end.y * (face + out), 0}) }
		id := func(what string) string { return what + "-" + end.name + "-1" }
		a.add(id("gasket-in"), "P-4120", at(inputLine, 0))
		if end.y < 0 {
			a.add(id("cap-in"), "P-4010", at(inputLine, inputLine.sheet))
			a.add(id("seal-in"), "P-4210", at(inputLine, inputLine.sheet+inputLine.thickness-7.3))
		} else {
			a.add(id("cap-in"), "P-4020", at(inputLine, inputLine.sheet))
		}
		a.add(id("shim-mid"), "P-4110", at(middleLine, 0))
		a.add(id("cap-mid"), "P-4030", at(middleLine, middleLine.sheet))
		a.add(id("end-out"), "SA-300", at(outputLine, 0))
		a.capBolts("in-"+end.name, inputLine, m6, "P-5040", "P-5140", at)
		a.capBolts("mid-"+end.name, middleLine, m6, "P-5040", "P-5140", at)
		a.capBolts("out-"+end.name, outputLine, m8, "P-5030", "P-5130", at)
	}
}

func (a *assembly) capBolts(name string, l line, f fastener, bolt, washer string, at func(line, float64) mesh.Mat) {
	out := l.sheet + l.thickness
	for i, b := range l.capBolts() {
		local := upright(mesh.Vec{b[0], b[1], 0})
		a.add(fmt.Sprintf("washer-%s-%d", name, i+1), washer, at(l, out).Mul(local))
		a.add(fmt.Sprintf("bolt-%s-%d", name, i+1), bolt, at(l, out+f.sheet).Mul(local))
	}
}

// ids are name-1 to name-n.
func ids(name string, n int) []string {
	var out []string
	for i := range n {
		out = append(out, fmt.Sprintf("%s-%d", name, i+1))
	}
	return out
}
