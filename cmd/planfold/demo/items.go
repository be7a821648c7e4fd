package demo

import "strconv"

var (
	oilSheet     = document{"files/gear-oil.pdf", words{"Data sheet: gear oil", "Datenblatt: Getriebeöl"}}
	sealantSheet = document{"files/joint-sealant.pdf", words{"Data sheet: joint sealant", "Datenblatt: Flächendichtung"}}
	lockingSheet = document{"files/thread-locking.pdf", words{"Data sheet: thread-locking adhesive", "Datenblatt: Schraubensicherung"}}
	solventSheet = document{"files/degreaser.pdf", words{"Data sheet: degreasing solvent", "Datenblatt: Entfettungsmittel"}}
	serialNote   = words{"Serial number is engraved on the front face.", "Die Seriennummer ist auf der Stirnfläche eingraviert."}
	castNote     = words{"Raw casting stress-relieved; mating halves carry the same number.", "Guss spannungsarm geglüht; zusammengehörige Hälften tragen dieselbe Nummer."}
	reusableNote = words{"Do not use again after removal.", "Nach dem Ausbau nicht wieder verwenden."}
	matchedNote  = words{"Cup and cone are a pair; do not mix with others.", "Außen- und Innenring gehören zusammen; nicht vertauschen."}
	gradeNote    = words{"Product grade A.", "Produktklasse A."}
)

// items of a variant. The product and the sub-assemblies are items too; their
// structure stands elsewhere.
func (v variant) items() []item {
	gj, steelName, hard := "EN-GJL-250", "C45", "16MnCr5"
	num := strconv.Itoa
	return numbered([]item{
		{id: v.id, revision: v.revision, class: "assembly", title: v.title()},
		{id: "SA-300", revision: "A", class: "assembly", title: words{"Output end cap with seal", "Enddeckel Abtrieb mit Dichtring"}},
		{id: v.inputLineID(), revision: "A", class: "assembly", title: words{"Input shaft line", "Antriebswelle, komplett"}},
		{id: v.middleLineID(), revision: "A", class: "assembly", title: words{"Intermediate shaft line", "Zwischenwelle, komplett"}},
		{id: "SA-420", revision: "B", class: "assembly", title: words{"Output shaft line", "Abtriebswelle, komplett"}},
		{id: "P-1010", revision: "C", class: "housing", material: gj, title: words{"Housing, lower half", "Gehäuseunterteil"}, geometry: "housing-lower.stl", notes: []words{castNote}},
		{id: "P-1020", revision: "C", class: "housing", material: gj, title: words{"Housing, upper half", "Gehäuseoberteil"}, geometry: "housing-upper.stl", notes: []words{castNote}},
		{id: "P-1030", revision: "A", class: "cover", material: "S235JR", title: words{"Inspection cover", "Schaulochdeckel"}, geometry: "cover.stl"},
		{id: "P-1040", revision: "A", class: "seal", title: words{"Cover gasket, 1 mm", "Deckeldichtung, 1 mm"}, geometry: "cover-gasket.stl", notes: []words{reusableNote}},
		{id: v.inputShaftID(), revision: "B", class: "shaft", material: hard, title: words{"Input pinion shaft, z = " + num(v.z1), "Ritzelwelle, z = " + num(v.z1)}, geometry: "shaft-input" + v.suffix + ".stl", notes: []words{serialNote}},
		{id: v.wheel1ID(), revision: "B", class: "gear", material: hard, title: words{"Gear 1, z = " + num(v.z2), "Rad 1, z = " + num(v.z2)}, geometry: "wheel-1" + v.suffix + ".stl", notes: []words{serialNote}},
		{id: "P-2030", revision: "B", class: "shaft", material: hard, title: words{"Intermediate shaft with pinion, z = 19", "Zwischenwelle mit Ritzel, z = 19"}, geometry: "shaft-middle.stl", notes: []words{serialNote}},
		{id: "P-2040", revision: "B", class: "gear", material: hard, title: words{"Gear 2, z = 56", "Rad 2, z = 56"}, geometry: "wheel-2.stl", notes: []words{serialNote}},
		{id: "P-2050", revision: "A", class: "shaft", material: "42CrMo4", title: words{"Output shaft", "Abtriebswelle"}, geometry: "shaft-output.stl", notes: []words{serialNote}},
		{id: "P-2110", revision: "A", class: "key", material: steelName, title: words{"Parallel key DIN 6885 B 8 x 7 x 36", "Passfeder DIN 6885 B 8 x 7 x 36"}, geometry: "key-8x7x36.stl"},
		{id: "P-2120", revision: "A", class: "key", material: steelName, title: words{"Parallel key DIN 6885 B 14 x 9 x 28", "Passfeder DIN 6885 B 14 x 9 x 28"}, geometry: "key-14x9x28.stl"},
		{id: "P-2130", revision: "A", class: "key", material: steelName, title: words{"Parallel key DIN 6885 B 16 x 10 x 45", "Passfeder DIN 6885 B 16 x 10 x 45"}, geometry: "key-16x10x45.stl"},
		{id: "P-2140", revision: "A", class: "key", material: steelName, title: words{"Parallel key DIN 6885 B 12 x 8 x 50", "Passfeder DIN 6885 B 12 x 8 x 50"}, geometry: "key-12x8x50.stl"},
		{id: "P-2210", revision: "A", class: "spacer", material: steelName, title: words{"Spacer, intermediate shaft", "Distanzbuchse, Zwischenwelle"}, geometry: "spacer-middle.stl"},
		{id: "P-2220", revision: "A", class: "spacer", material: steelName, title: words{"Spacer, output shaft", "Distanzbuchse, Abtriebswelle"}, geometry: "spacer-output.stl"},
		{id: "P-3010", revision: "A", class: "bearing", title: words{"Deep groove ball bearing 30 x 62 x 16", "Rillenkugellager 30 x 62 x 16"}, geometry: "bearing-30x62x16.glb"},
		{id: "P-3020", revision: "A", class: "bearing", title: words{"Taper roller bearing 35 x 72 x 18.25", "Kegelrollenlager 35 x 72 x 18,25"}, geometry: "bearing-35x72x18.glb", notes: []words{matchedNote}},
		{id: "P-3030", revision: "A", class: "bearing", title: words{"Deep groove ball bearing 50 x 90 x 20", "Rillenkugellager 50 x 90 x 20"}, geometry: "bearing-50x90x20.glb"},
		{id: "P-4010", revision: "A", class: "cap", material: gj, title: words{"End cap, input, open", "Enddeckel Antrieb, offen"}, geometry: "cap-input-open.stl"},
		{id: "P-4020", revision: "A", class: "cap", material: gj, title: words{"End cap, input, closed", "Enddeckel Antrieb, geschlossen"}, geometry: "cap-input-closed.stl"},
		{id: "P-4030", revision: "A", class: "cap", material: gj, title: words{"End cap, intermediate", "Enddeckel Zwischenwelle"}, geometry: "cap-middle.stl"},
		{id: "P-4040", revision: "B", class: "cap", material: gj, title: words{"End cap, output, open", "Enddeckel Abtrieb, offen"}, geometry: "cap-output.stl"},
		{id: "P-4110", revision: "A", class: "shim", material: "DC01", title: words{"Shim, intermediate cap, 0.5 mm", "Passscheibe Zwischenwelle, 0,5 mm"}, geometry: "shim-middle.stl"},
		{id: "P-4120", revision: "A", class: "seal", title: words{"Gasket, input cap, 0.5 mm", "Dichtung Enddeckel Antrieb, 0,5 mm"}, geometry: "gasket-input.stl", notes: []words{reusableNote}},
		{id: "P-4210", revision: "A", class: "seal", material: "NBR", title: words{"Radial shaft seal 28 x 47 x 7", "Radial-Wellendichtring 28 x 47 x 7"}, geometry: "seal-28x47x7.stl", notes: []words{reusableNote}},
		{id: "P-4220", revision: "A", class: "seal", material: "NBR", title: words{"Radial shaft seal 45 x 62 x 8", "Radial-Wellendichtring 45 x 62 x 8"}, geometry: "seal-45x62x8.stl", notes: []words{reusableNote}},
		{id: "P-4230", revision: "A", class: "seal", material: "NBR 70", title: words{"O-ring 84 x 3", "O-Ring 84 x 3"}, geometry: "o-ring.stl", notes: []words{reusableNote}},
		{id: "P-4231", revision: "A", class: "seal", material: "FKM 75", title: words{"O-ring 84 x 3, high temperature", "O-Ring 84 x 3, hochtemperaturfest"}, geometry: "o-ring.stl", notes: []words{reusableNote}},
		{id: "P-5010", revision: "A", class: "bolt", material: "8.8", title: words{"Hexagon bolt ISO 4014 M12 x 100", "Sechskantschraube ISO 4014 M12 x 100"}, geometry: "bolt-m12x100.stl", notes: []words{gradeNote}},
		{id: "P-5020", revision: "A", class: "bolt", material: "8.8", title: words{"Hexagon bolt ISO 4014 M10 x 50", "Sechskantschraube ISO 4014 M10 x 50"}, geometry: "bolt-m10x50.stl", notes: []words{gradeNote}},
		{id: "P-5030", revision: "A", class: "bolt", material: "8.8", title: words{"Hexagon screw ISO 4017 M8 x 30", "Sechskantschraube ISO 4017 M8 x 30"}, geometry: "bolt-m8x30.stl", notes: []words{gradeNote}},
		{id: "P-5040", revision: "A", class: "bolt", material: "8.8", title: words{"Hexagon screw ISO 4017 M6 x 20", "Sechskantschraube ISO 4017 M6 x 20"}, geometry: "bolt-m6x20.stl", notes: []words{gradeNote}},
		{id: "P-5110", revision: "A", class: "washer", material: "200 HV", title: words{"Washer ISO 7089 12", "Scheibe ISO 7089 12"}, geometry: "washer-m12.stl"},
		{id: "P-5120", revision: "A", class: "washer", material: "200 HV", title: words{"Washer ISO 7089 10", "Scheibe ISO 7089 10"}, geometry: "washer-m10.stl"},
		{id: "P-5130", revision: "A", class: "washer", material: "200 HV", title: words{"Washer ISO 7089 8", "Scheibe ISO 7089 8"}, geometry: "washer-m8.stl"},
		{id: "P-5140", revision: "A", class: "washer", material: "200 HV", title: words{"Washer ISO 7089 6", "Scheibe ISO 7089 6"}, geometry: "washer-m6.stl"},
		{id: "P-5210", revision: "A", class: "nut", material: "8", title: words{"Hexagon nut ISO 4032 M12", "Sechskantmutter ISO 4032 M12"}, geometry: "nut-m12.stl"},
		{id: "P-5220", revision: "A", class: "nut", material: "8", title: words{"Hexagon nut ISO 4032 M10", "Sechskantmutter ISO 4032 M10"}, geometry: "nut-m10.stl"},
		{id: "P-5310", revision: "A", class: "pin", material: "hardened steel", title: words{"Parallel pin ISO 8734 8 x 30", "Zylinderstift ISO 8734 8 x 30"}, geometry: "dowel-8x30.stl"},
		{id: "P-6010", revision: "A", class: "fitting", title: words{"Lifting eye bolt M10", "Ringschraube M10"}, geometry: "eye-bolt.stl"},
		{id: "P-6020", revision: "A", class: "fitting", title: words{"Breather M16 x 1.5", "Entlüfter M16 x 1,5"}, geometry: "breather.obj"},
		{id: "P-6030", revision: "A", class: "fitting", title: words{"Sight glass", "Ölschauglas"}, geometry: "sight-glass.glb"},
		{id: "P-6040", revision: "A", class: "fitting", title: words{"Screw plug M20 x 1.5", "Verschlussschraube M20 x 1,5"}, geometry: "plug.stl"},
		{id: "P-6050", revision: "A", class: "seal", material: "Cu", title: words{"Sealing ring 20.2 x 26 x 1.5", "Dichtring 20,2 x 26 x 1,5"}, geometry: "plug-ring.stl", notes: []words{reusableNote}},
		{id: "C-9010", revision: "D", class: "consumable", unit: "MLT", title: words{"Joint sealant, anaerobic", "Flächendichtung, anaerob"}, documents: []document{sealantSheet}},
		{id: "C-9020", revision: "D", class: "consumable", unit: "MLT", title: words{"Thread-locking adhesive, medium strength", "Schraubensicherung, mittelfest"}, documents: []document{lockingSheet}},
		{id: "C-9030", revision: "A", class: "consumable", unit: "LTR", title: words{"Gear oil, mineral, ISO VG 220", "Getriebeöl, mineralisch, ISO VG 220"}, documents: []document{oilSheet}},
		{id: "C-9031", revision: "A", class: "consumable", unit: "LTR", title: words{"Gear oil, synthetic, ISO VG 220", "Getriebeöl, synthetisch, ISO VG 220"}, documents: []document{oilSheet}},
		{id: "C-9040", revision: "B", class: "consumable", unit: "MLT", title: words{"Degreasing solvent", "Entfettungsmittel"}, documents: []document{solventSheet}},
	})
}

// numbered gives all but the first item, the product, a find number.
func numbered(items []item) []item {
	for i := range items {
		if i > 0 {
			items[i].find = strconv.Itoa(10 * i)
		}
		if items[i].unit == "" {
			items[i].unit = "C62"
		}
	}
	return items
}
