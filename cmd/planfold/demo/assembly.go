package demo

import (
	"slices"

	"planfold/convert/mesh"
)

// The operations on the product: laying the lines in, closing the housing,
// fitting caps and fittings.

func (v variant) layLines() operation {
	return operation{
		id: "OP-40", number: "040", workCentre: "ASSEMBLY-1", qualification: "MECH-2", duration: "PT30M",
		after:     []string{"OP-10", "OP-21", "OP-22", "OP-23"},
		title:     words{"Lay the shaft lines into the housing", "Wellen in das Gehäuse einlegen"},
		equipment: []string{"Hoist 125 kg"},
		steps: []step{
			{
				id: "S-40-1", number: "1", title: words{"Lay in the output line", "Abtriebswelle einlegen"},
				text:    words{"Oil the bores. Lower the line level into the two large bores.", "Bohrungen einölen. Welle waagerecht in die beiden großen Bohrungen absenken."},
				hazards: []hazard{heavyLine}, tools: []tool{hoist},
				parts: []part{one("SA-420", "line-out-1")},
				view:  &view{at: mesh.Vec{190, 0, 70}, radius: 300, from: fromAbove, moves: []move{up(190, "line-out-1")}},
			},
			{
				id: "S-40-2", number: "2", title: words{"Lay in the intermediate line", "Zwischenwelle einlegen"},
				text:    words{"Turn the output line slowly until the pinion's teeth drop into gear 2.", "Abtriebswelle langsam drehen, bis das Ritzel in Rad 2 einläuft."},
				hazards: []hazard{pinch}, tools: []tool{hoist},
				parts: []part{one(v.middleLineID(), "line-mid-1")},
				view:  &view{at: mesh.Vec{150, 0, 60}, radius: 280, from: fromAbove, moves: []move{up(170, "line-mid-1")}},
			},
			{
				id: "S-40-3", number: "3", title: words{"Lay in the input line", "Antriebswelle einlegen"},
				text:    words{"Turn the intermediate line until gear 1 takes the pinion.", "Zwischenwelle drehen, bis Rad 1 das Ritzel aufnimmt."},
				hazards: []hazard{pinch},
				parts:   []part{one(v.inputLineID(), "line-in-1")},
				view:    &view{at: mesh.Vec{120, -20, 50}, radius: 280, from: fromAbove, moves: []move{up(150, "line-in-1")}},
			},
			{
				id: "S-40-4", number: "4", title: words{"Measure backlash", "Verdrehflankenspiel messen"},
				text:    words{"Hold the output line. Set the dial indicator on a tooth of gear 1 at right angles to its flank and rock the input shaft. Measure at four places a turn apart by 90°. <b>Do not go on before the inspector has signed.</b>", "Abtriebswelle festhalten. Messuhr rechtwinklig auf eine Zahnflanke von Rad 1 setzen und die Antriebswelle hin- und herbewegen. An vier um 90° versetzten Stellen messen. <b>Erst nach der Freigabe durch den Prüfer weitermachen.</b>"},
				hazards: []hazard{pinch}, tools: []tool{dial},
				view: &view{at: mesh.Vec{60, -20, 10}, radius: 150, from: fromAbove, show: []string{"housing-lower-1", "line-in-1", "line-mid-1"}},
				characteristics: []characteristic{
					{"C-40-4a", "0.12", "0.08", "0.20", "MMT", "hold", words{"Backlash, first stage", "Verdrehflankenspiel, erste Stufe"}},
					{"C-40-4b", "0.12", "0.08", "0.22", "MMT", "hold", words{"Backlash, second stage", "Verdrehflankenspiel, zweite Stufe"}},
				},
				signOffs:    []string{"assembler", "inspector"},
				evidence:    []evidence{{"value", words{"Four readings for each stage", "Vier Ablesungen je Stufe"}}},
				attachments: []document{{"files/backlash.png", words{"Where the indicator sits", "Ansetzen der Messuhr"}}},
			},
		},
	}
}

func closeHousing() operation {
	top := ids("bolt-m12", 8)
	return operation{
		id: "OP-50", number: "050", workCentre: "ASSEMBLY-1", qualification: "MECH-2", duration: "PT40M",
		after:     []string{"OP-40"},
		title:     words{"Close the housing", "Gehäuse schließen"},
		equipment: []string{"Hoist 125 kg"},
		notes:     []words{{"The joint must be bolted within 20 minutes of applying the sealant.", "Die Teilfuge muss innerhalb von 20 Minuten nach dem Auftragen verschraubt sein."}},
		steps: []step{
			{
				id: "S-50-1", number: "1", title: words{"Apply joint sealant", "Flächendichtung auftragen"},
				text:    words{"Surface preparation: the parting face must be clean and dry (wipe it again with solvent if it was touched). Roll on a thin, even film, inside of the bolt holes, and keep 2 mm away from the bores.", "Oberflächenvorbereitung: Die Teilfuge muss sauber und trocken sein (bei Berührung nochmals entfetten). Dünn und gleichmäßig aufrollen, innerhalb der Schraubenbohrungen, 2 mm Abstand zu den Lagerbohrungen."},
				hazards: []hazard{solvent, sealant}, tools: []tool{roller, wipes},
				parts: []part{
					consumed("C-9010", "12", "MLT", "P12M", words{"seals the parting joint", "dichtet die Teilfuge"}),
					consumed("C-9040", "20", "MLT", "P24M", words{"surface preparation", "Oberflächenvorbereitung"}),
				},
				view: &view{at: whole.Add(mesh.Vec{0, 0, 10}), radius: 270, from: fromAbove},
			},
			{
				id: "S-50-2", number: "2", title: words{"Lower the upper half", "Oberteil aufsetzen"},
				text:    words{"Drive both pins into the lower half until they stand up by half. Lower the upper half straight over them.", "Beide Stifte zur Hälfte in das Unterteil treiben. Oberteil gerade darüber absenken."},
				hazards: []hazard{heavyUpper}, tools: []tool{hoist, mallet},
				parts: []part{several("P-5310", ids("pin", 2)), serial(one("P-1020", "housing-upper-1"))},
				view:  &view{at: mesh.Vec{155, 0, 70}, radius: 340, from: fromFront, moves: []move{up(200, "housing-upper-1"), up(90, "pin-1", "pin-2")}},
			},
			{
				id: "S-50-3", number: "3", title: words{"Bolt the bearing bosses", "Lagerböcke verschrauben"},
				text:  words{"Fit the eight bolts with washers and nuts. Tighten in the order shown, first to half, then to the full torque.", "Acht Schrauben mit Scheiben und Muttern einsetzen. In der gezeigten Reihenfolge zuerst mit halbem, dann mit vollem Moment anziehen."},
				tools: []tool{wrench2, socket},
				parts: []part{
					{item: "P-5010", occurrences: top, designators: []string{"B1", "B2", "B3", "B4", "B5", "B6", "B7", "B8"}},
					{item: "P-5110", occurrences: slices.Concat(ids("washer-top-m12", 8), ids("washer-low-m12", 8))},
					several("P-5210", ids("nut-m12", 8)),
				},
				view:            &view{at: mesh.Vec{130, 0, 20}, radius: 300, from: fromFront, moves: []move{up(150, top...), up(20, ids("washer-top-m12", 8)...), down(35, ids("washer-low-m12", 8)...), down(55, ids("nut-m12", 8)...)}},
				tighten:         pick(top, jointOrder...),
				characteristics: []characteristic{{"C-50-3", "79", "75", "83", "NU", "witness", words{"Torque, M12", "Anziehmoment M12"}}},
				attachments:     []document{{"files/tightening-joint.png", words{"Tightening order, parting joint", "Anziehreihenfolge Teilfuge"}}},
			},
			{
				id: "S-50-4", number: "4", title: words{"Bolt the flange", "Flansch verschrauben"},
				text:  words{"Fit the flange bolts with washers and nuts and tighten crosswise.", "Flanschschrauben mit Scheiben und Muttern einsetzen und über Kreuz anziehen."},
				tools: []tool{wrench2, socket},
				parts: []part{
					several("P-5020", ids("bolt-m10", 8)),
					{item: "P-5120", occurrences: slices.Concat(ids("washer-top-m10", 8), ids("washer-low-m10", 8))},
					several("P-5220", ids("nut-m10", 8)),
				},
				view:            &view{at: mesh.Vec{155, 0, 20}, radius: 310, from: mesh.Vec{-0.9, -0.8, 0.9}, moves: []move{up(80, ids("bolt-m10", 8)...), up(15, ids("washer-top-m10", 8)...), down(25, ids("washer-low-m10", 8)...), down(40, ids("nut-m10", 8)...)}},
				tighten:         pick(ids("bolt-m10", 8), 1, 4, 0, 5, 2, 3, 6, 7),
				characteristics: []characteristic{{"C-50-4", "47", "44.7", "49.4", "NU", "witness", words{"Torque, M10", "Anziehmoment M10"}}},
			},
		},
	}
}

// pick is the named occurrences in the order of their numbers.
func pick(names []string, order ...int) []string {
	var out []string
	for _, i := range order {
		out = append(out, names[i])
	}
	return out
}

// crosswise orders a cap's bolts so that opposite ones follow each other.
func crosswise(names []string) []string {
	return pick(names, crossOrder(len(names))...)
}

var (
	cap4 = document{"files/tightening-cap-4.png", words{"Tightening order, four bolts", "Anziehreihenfolge, vier Schrauben"}}
	cap6 = document{"files/tightening-cap-6.png", words{"Tightening order, six bolts", "Anziehreihenfolge, sechs Schrauben"}}
	m6Nm = characteristic{"", "9.9", "9.4", "10.4", "NU", "witness", words{"Torque, M6", "Anziehmoment M6"}}
	m8Nm = characteristic{"", "24", "22.8", "25.2", "NU", "witness", words{"Torque, M8", "Anziehmoment M8"}}
)

func (c characteristic) as(id string) characteristic {
	c.id = id
	return c
}

// locking is what bonded screws consume: the adhesive, and the solvent that prepares
// the holes for it.
func locking() []part {
	return []part{
		consumed("C-9020", "2", "MLT", "P24M", words{"secures the cap screws", "sichert die Deckelschrauben"}),
		consumed("C-9040", "5", "MLT", "P24M", words{"surface preparation", "Oberflächenvorbereitung"}),
	}
}

// bonded adds to a text how screws are prepared for the adhesive.
func bonded(w words) words {
	return words{
		w.en + " Surface preparation: degrease the tapped holes with solvent and let them dry; one drop of thread-locking adhesive on each screw.",
		w.de + " Oberflächenvorbereitung: Gewindebohrungen mit Lösungsmittel entfetten und trocknen lassen; ein Tropfen Schraubensicherung auf jede Schraube.",
	}
}

func fitCaps() operation {
	return operation{
		id: "OP-60", number: "060", workCentre: "ASSEMBLY-1", qualification: "MECH-2", duration: "PT50M",
		after: []string{"OP-50", "OP-30"},
		title: words{"Fit the end caps", "Enddeckel anbauen"},
		steps: []step{middleCaps(), endPlay(), inputCaps(), outputCap("S-60-4", "4", "front", front, fromFront), outputCap("S-60-5", "5", "back", back, fromBack)},
	}
}

func middleCaps() step {
	f, b := ids("bolt-mid-front", 4), ids("bolt-mid-back", 4)
	wf, wb := ids("washer-mid-front", 4), ids("washer-mid-back", 4)
	return step{
		id: "S-60-1", number: "1", title: words{"Fit the intermediate caps with shims", "Deckel der Zwischenwelle mit Passscheiben anbauen"},
		text:  bonded(words{"Put one shim under each cap. Tighten crosswise.", "Unter jeden Deckel eine Passscheibe legen. Über Kreuz anziehen."}),
		tools: []tool{wrench, socket}, hazards: []hazard{solvent, sealant},
		parts: append([]part{
			several("P-4110", []string{"shim-mid-front-1", "shim-mid-back-1"}), several("P-4030", []string{"cap-mid-front-1", "cap-mid-back-1"}),
			several("P-5040", slices.Concat(f, b)), several("P-5140", slices.Concat(wf, wb)),
		}, locking()...),
		view: &view{at: mesh.Vec{102, 0, 0}, radius: 290, from: mesh.Vec{-1, -0.9, 0.6}, moves: []move{
			front(90, f...), front(70, wf...), front(45, "cap-mid-front-1"), front(20, "shim-mid-front-1"),
			back(90, b...), back(70, wb...), back(45, "cap-mid-back-1"), back(20, "shim-mid-back-1"),
		}},
		tighten:         slices.Concat(crosswise(f), crosswise(b)),
		characteristics: []characteristic{m6Nm.as("C-60-1")},
		attachments:     []document{cap4},
	}
}

func endPlay() step {
	return step{
		id: "S-60-2", number: "2", title: words{"Measure end play of the intermediate line", "Axialspiel der Zwischenwelle messen"},
		text:  words{"Push the line to and fro along its axis with the indicator on the shaft's end face. If it is out of limits, change the shims and repeat. <b>Do not go on before the inspector has signed.</b>", "Welle axial hin- und herschieben, Messuhr an der Stirnfläche. Liegt das Spiel außerhalb der Grenzen, Passscheiben wechseln und wiederholen. <b>Erst nach der Freigabe durch den Prüfer weitermachen.</b>"},
		tools: []tool{dial},
		view:  &view{at: mesh.Vec{102, -80, 0}, radius: 110, from: fromFront},
		characteristics: []characteristic{
			{"C-60-2", "0.08", "0.05", "0.12", "MMT", "hold", words{"End play, intermediate line", "Axialspiel Zwischenwelle"}},
		},
		signOffs: []string{"assembler", "inspector"},
		evidence: []evidence{{"value", words{"End play and thickness of the shims fitted", "Axialspiel und Dicke der eingebauten Passscheiben"}}},
	}
}

// inputCaps has no saved view: rules give its fasteners their motion.
func inputCaps() step {
	f, b := ids("bolt-in-front", 4), ids("bolt-in-back", 4)
	return step{
		id: "S-60-3", number: "3", title: words{"Fit the input caps", "Deckel der Antriebswelle anbauen"},
		text:  bonded(words{"Press the shaft seal into the open cap, open side towards the housing. Slip the assembly sleeve over the keyway, then fit both caps with gaskets and tighten crosswise.", "Wellendichtring in den offenen Deckel pressen, offene Seite zum Gehäuse. Montagehülse über die Passfedernut schieben, dann beide Deckel mit Dichtungen anbauen und über Kreuz anziehen."}),
		tools: []tool{wrench, socket, press}, hazards: []hazard{solvent, sealant},
		parts: append([]part{
			one("P-4120", "gasket-in-front-1"), one("P-4010", "cap-in-front-1"), lot(one("P-4210", "seal-in-front-1")),
			several("P-5140", ids("washer-in-front", 4)), several("P-5040", f),
			one("P-4120", "gasket-in-back-1"), one("P-4020", "cap-in-back-1"),
			several("P-5140", ids("washer-in-back", 4)), several("P-5040", b),
		}, locking()...),
		tighten:         slices.Concat(crosswise(f), crosswise(b)),
		characteristics: []characteristic{m6Nm.as("C-60-3")},
		attachments:     []document{cap4},
	}
}

func outputCap(id, number, end string, away func(float64, ...string) move, from mesh.Vec) step {
	bolts, washers := ids("bolt-out-"+end, 6), ids("washer-out-"+end, 6)
	side := map[string]words{"front": {"front", "vorn"}, "back": {"back", "hinten"}}[end]
	return step{
		id: id, number: number, title: words{"Fit the output end cap, " + side.en, "Enddeckel Abtrieb anbauen, " + side.de},
		text:  bonded(words{"Cover the keyway with the sleeve, oil the seal's lip and slide the cap on. Tighten crosswise.", "Passfedernut mit der Hülse abdecken, Dichtlippe einölen und Deckel aufschieben. Über Kreuz anziehen."}),
		tools: []tool{wrench, socket}, hazards: []hazard{solvent, sealant},
		parts: append([]part{one("SA-300", "end-out-"+end+"-1"), several("P-5030", bolts), several("P-5130", washers)}, locking()...),
		view: &view{at: away(160).by.Add(mesh.Vec{outputLine.x, 0, 0}), radius: 160, from: from, moves: []move{
			away(170, bolts...), away(140, washers...), away(100, "end-out-"+end+"-1"),
		}},
		tighten:         crosswise(bolts),
		characteristics: []characteristic{m8Nm.as("C-" + id[2:])},
		attachments:     []document{cap6},
	}
}

func finish() operation {
	return operation{
		id: "OP-70", number: "070", workCentre: "ASSEMBLY-2", qualification: "MECH-1", duration: "PT45M",
		after:     []string{"OP-60"},
		title:     words{"Finish and fill", "Fertigstellen und befüllen"},
		equipment: []string{"Filling pump", "Test bed 1"},
		steps: []step{
			{
				id: "S-70-1", number: "1", title: words{"Put gasket and inspection cover on", "Dichtung und Schaulochdeckel auflegen"},
				text:     words{"Look into the housing: nothing may be left inside. Put on the gasket and the cover.", "In das Gehäuse sehen: Es darf nichts darin liegen. Dichtung und Deckel auflegen."},
				parts:    []part{one("P-1040", "gasket-cover-1"), one("P-1030", "cover-1")},
				view:     &view{at: mesh.Vec{185, 0, 160}, radius: 130, from: fromFront, moves: []move{up(90, "cover-1"), up(45, "gasket-cover-1")}},
				signOffs: []string{"assembler"}, evidence: []evidence{{"photo", words{"Inside of the housing before closing", "Gehäuseinneres vor dem Schließen"}}},
			},
			{
				id: "S-70-2", number: "2", title: words{"Bolt the cover", "Deckel verschrauben"},
				text:            words{"Fit the six screws with washers and tighten crosswise.", "Sechs Schrauben mit Scheiben einsetzen und über Kreuz anziehen."},
				tools:           []tool{wrench, socket},
				parts:           []part{several("P-5040", ids("bolt-cover", 6)), several("P-5140", ids("washer-cover", 6))},
				tighten:         pick(ids("bolt-cover", 6), 1, 4, 0, 3, 2, 5),
				characteristics: []characteristic{m6Nm.as("C-70-2")},
			},
			{
				id: "S-70-3", number: "3", title: words{"Screw in breather and eye bolts", "Entlüfter und Ringschrauben eindrehen"},
				text:  words{"Screw the breather into the cover by hand and nip it up. Screw both eye bolts in until their collars seat; line the eyes up along the housing.", "Entlüfter von Hand in den Deckel drehen und leicht festziehen. Beide Ringschrauben bis zur Auflage eindrehen; Ösen längs zum Gehäuse ausrichten."},
				parts: []part{one("P-6020", "breather-1"), several("P-6010", ids("eye", 2))},
				view:  &view{at: mesh.Vec{140, 0, 150}, radius: 230, from: fromFront, moves: []move{up(70, "breather-1", "eye-1", "eye-2")}},
			},
			{
				id: "S-70-4", number: "4", title: words{"Fit keys to the shaft ends", "Passfedern in die Wellenenden einsetzen"},
				text:  words{"Tap the keys into the keyways and tape them for transport.", "Passfedern in die Nuten klopfen und für den Transport mit Klebeband sichern."},
				tools: []tool{mallet},
				parts: []part{one("P-2110", "key-in-1"), several("P-2140", ids("key-out", 2))},
				view:  &view{at: mesh.Vec{140, -100, 0}, radius: 250, from: fromFront, moves: []move{up(45, "key-in-1", "key-out-1", "key-out-2")}},
			},
			{
				id: "S-70-5", number: "5", title: words{"Fill with oil", "Öl einfüllen"},
				text:    words{"Fill until the level stands in the middle of the sight glass. Put the plug in with a new sealing ring.", "Einfüllen, bis der Stand die Mitte des Schauglases erreicht. Schraube mit neuem Dichtring einsetzen."},
				hazards: []hazard{oily}, tools: []tool{pump, wrench2, socket},
				parts: []part{
					{item: "C-9030", quantity: "3.2", unit: "LTR", capture: "lot", shelfLife: "P60M", substitute: "C-9031", purpose: words{"first fill", "Erstbefüllung"}},
					one("P-6050", "ring-fill-1"), one("P-6040", "plug-fill-1"),
				},
				view: &view{at: mesh.Vec{272, -30, 150}, radius: 110, from: fromFront, moves: []move{up(70, "plug-fill-1"), up(35, "ring-fill-1")}},
				characteristics: []characteristic{
					{"C-70-5a", "40", "36", "44", "NU", "", words{"Torque, fill plug", "Anziehmoment Einfüllschraube"}},
					{"C-70-5b", "3.2", "3.1", "3.3", "LTR", "witness", words{"Oil filled", "Ölmenge"}},
				},
			},
			{
				id: "S-70-6", number: "6", title: words{"Turn over and check for leaks", "Durchdrehen und auf Dichtheit prüfen"},
				text:     words{"Turn the input shaft ten times by hand. The drive must run freely. Wait ten minutes, then look for oil at joint, caps and plugs.", "Antriebswelle zehnmal von Hand durchdrehen. Das Getriebe muss frei laufen. Zehn Minuten warten, dann Teilfuge, Deckel und Schrauben auf Öl prüfen."},
				hazards:  []hazard{pinch},
				view:     &view{at: whole, radius: 300, from: fromFront},
				signOffs: []string{"assembler", "inspector"},
				evidence: []evidence{{"photo", words{"Finished reducer from the driven side", "Fertiges Getriebe von der Antriebsseite"}}},
			},
			{
				id: "S-70-7", number: "7", title: words{"Book completion (office only)", "Fertigmeldung buchen (nur Büro)"},
				text: words{"Book the order as complete and print the nameplate.", "Auftrag fertig melden und Typenschild drucken."},
			},
		},
	}
}

func (v variant) operations() []operation {
	return []operation{prepareHousing(), v.shaftLineWork(), endCapWork(), v.layLines(), closeHousing(), fitCaps(), finish()}
}
