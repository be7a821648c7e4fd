package demo

import "planfold/cmd/planfold/demo/solid"

// put takes one finished file.
type put func(name string, data []byte) error

// model is a geometry file.
type model struct {
	name string
	make func() ([]byte, error)
}

func stl(name string, make func() *solid.Solid) model {
	return model{name + ".stl", func() ([]byte, error) { return make().STL(), nil }}
}

func glb(name string, make func() ([]byte, error)) model { return model{name + ".glb", make} }

// models are the geometry files that all variants share.
func models() []model {
	return []model{
		stl("housing-lower", lowerHousing), stl("housing-upper", upperHousing),
		stl("cover", cover), stl("cover-gasket", coverGasket),
		stl("wheel-2", standard.wheel2Part), stl("shaft-output", outputShaft), stl("shaft-middle", standard.middleShaft),
		stl("key-8x7x36", func() *solid.Solid { return key(8, 7, 36) }),
		stl("key-14x9x28", func() *solid.Solid { return key(14, 9, 28) }),
		stl("key-16x10x45", func() *solid.Solid { return key(16, 10, 45) }),
		stl("key-12x8x50", func() *solid.Solid { return key(12, 8, 50) }),
		stl("spacer-middle", func() *solid.Solid { return sleeve(20.02, 26, 18) }),
		stl("spacer-output", func() *solid.Solid { return sleeve(26.02, 31, 19) }),
		glb("bearing-30x62x16", inputBearing.glb), glb("bearing-35x72x18", middleBearing.glb), glb("bearing-50x90x20", outputBearing.glb),
		stl("cap-input-open", func() *solid.Solid { return inputLine.openCap(14, 23.5, 7, 0) }),
		stl("cap-input-closed", inputLine.closedCap), stl("cap-middle", middleLine.closedCap),
		stl("cap-output", func() *solid.Solid { return outputLine.openCap(22.5, 31, 8, 41.9) }),
		stl("gasket-input", inputLine.sheetRing), stl("shim-middle", middleLine.sheetRing),
		stl("seal-28x47x7", func() *solid.Solid { return seal(14, 23.5, 7) }),
		stl("seal-45x62x8", func() *solid.Solid { return seal(22.5, 31, 8) }),
		stl("o-ring", func() *solid.Solid { return ring(43.4, 3) }),
		stl("bolt-m12x100", func() *solid.Solid { return m12.bolt(100, m12.thread) }),
		stl("bolt-m10x50", func() *solid.Solid { return m10.bolt(50, m10.thread) }),
		stl("bolt-m8x30", func() *solid.Solid { return m8.bolt(30, 30) }),
		stl("bolt-m6x20", func() *solid.Solid { return m6.bolt(20, 20) }),
		stl("washer-m12", m12.washer), stl("washer-m10", m10.washer), stl("washer-m8", m8.washer), stl("washer-m6", m6.washer),
		stl("nut-m12", m12.hexNut), stl("nut-m10", m10.hexNut),
		stl("dowel-8x30", func() *solid.Solid { return dowel(8, 30) }),
		stl("plug", plug), stl("plug-ring", func() *solid.Solid { return sleeve(10.1, 13, 1.5) }),
		stl("eye-bolt", eyeBolt), glb("sight-glass", sightGlass),
	}
}

// own are the geometry files that differ from variant to variant.
func (v variant) own() []model {
	return []model{
		stl("shaft-input"+v.suffix, v.inputShaft),
		stl("wheel-1"+v.suffix, v.wheel1Part),
	}
}

func writeModels(all []model, write put) error {
	for _, m := range all {
		data, err := m.make()
		if err != nil {
			return err
		}
		if err := write("geometry/"+m.name, data); err != nil {
			return err
		}
	}
	return nil
}

func writeBreather(write put) error {
	obj, mtl := solid.OBJ("breather.mtl", breather())
	if err := write("geometry/breather.obj", obj); err != nil {
		return err
	}
	return write("geometry/breather.mtl", mtl)
}
