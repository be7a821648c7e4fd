package demo

import "planfold/convert/mesh"

// The operations at the bench: preparing the housing, building the shaft lines
// and the end caps.

func one(item, occurrence string) part {
	return part{item: item, occurrences: []string{occurrence}}
}

func several(item string, occurrences []string) part {
	return part{item: item, occurrences: occurrences}
}

func consumed(item, quantity, unit, shelfLife string, purpose words) part {
	return part{item: item, quantity: quantity, unit: unit, capture: "lot", shelfLife: shelfLife, purpose: purpose}
}

func serial(p part) part {
	p.capture = "serial"
	return p
}

func lot(p part) part {
	p.capture = "lot"
	return p
}

var (
	hoist   = tool{"T-100", words{"Hoist 125 kg with soft slings", "Kran 125 kg mit weichen Schlingen"}}
	heater  = tool{"T-110", words{"Induction heater with demagnetising", "Induktions-Anwärmgerät mit Entmagnetisierung"}}
	press   = tool{"T-120", words{"Arbor press 20 kN with sleeves", "Handhebelpresse 20 kN mit Hülsen"}}
	mallet  = tool{"T-130", words{"Soft-face mallet", "Schonhammer"}}
	feeler  = tool{"T-140", words{"Feeler gauges 0.05 to 1.00 mm", "Fühlerlehren 0,05 bis 1,00 mm"}}
	dial    = tool{"T-150", words{"Dial indicator 0.01 mm with magnetic stand", "Messuhr 0,01 mm mit Magnetständer"}}
	wrench  = tool{"T-200", words{"Torque wrench 5 to 25 N·m", "Drehmomentschlüssel 5 bis 25 N·m"}}
	wrench2 = tool{"T-210", words{"Torque wrench 20 to 100 N·m", "Drehmomentschlüssel 20 bis 100 N·m"}}
	socket  = tool{"T-220", words{"Sockets 10, 13, 16, 18 mm", "Steckschlüsseleinsätze 10, 13, 16, 18 mm"}}
	wipes   = tool{"T-300", words{"Lint-free wipes", "Fusselfreie Tücher"}}
	roller  = tool{"T-310", words{"Foam roller 50 mm", "Schaumstoffrolle 50 mm"}}
	pump    = tool{"T-320", words{"Filling pump with litre counter", "Befüllpumpe mit Literzähler"}}
)

func prepareHousing() operation {
	return operation{
		id: "OP-10", number: "010", workCentre: "BENCH-1", qualification: "MECH-1", duration: "PT25M",
		title:     words{"Prepare the housing", "Gehäuse vorbereiten"},
		equipment: []string{"Bench with extraction hood", "Hoist 125 kg"},
		notes: []words{{
			"Local codes, the site's safety rules and licensed practice prevail over this plan.",
			"Örtliche Vorschriften, die Regeln des Betriebs und die fachliche Befugnis gehen diesem Plan vor.",
		}},
		steps: []step{
			{
				id: "S-10-1", number: "1", title: words{"Set the lower half on the bench", "Unterteil auf die Werkbank setzen"},
				text:    words{"Lift the lower half onto the bench blocks, parting face up. Check that the foot holes line up with the locating studs.", "Unterteil mit der Teilfuge nach oben auf die Auflagen heben. Fußbohrungen müssen über den Aufnahmebolzen liegen."},
				hazards: []hazard{heavyLower}, tools: []tool{hoist},
				parts:    []part{serial(one("P-1010", "housing-lower-1"))},
				view:     &view{at: whole.Add(mesh.Vec{0, 0, -20}), radius: 290, from: fromAbove, moves: []move{up(180, "housing-lower-1")}},
				evidence: []evidence{{"value", words{"Serial number of the casting", "Seriennummer des Gussteils"}}},
			},
			{
				id: "S-10-2", number: "2", title: words{"Degrease bores and parting face", "Bohrungen und Teilfuge entfetten"},
				text:    words{"Surface preparation: wipe the bearing bores and the parting face with solvent until a white wipe stays clean. Let it flash off for <b>5 minutes</b>. Do not touch the surfaces afterwards.", "Oberflächenvorbereitung: Lagerbohrungen und Teilfuge mit Entfettungsmittel wischen, bis ein weißes Tuch sauber bleibt. <b>5 Minuten</b> ablüften lassen. Flächen danach nicht mehr berühren."},
				hazards: []hazard{solvent}, tools: []tool{wipes},
				parts: []part{consumed("C-9040", "50", "MLT", "P24M", words{"surface preparation", "Oberflächenvorbereitung"})},
				view:  &view{at: whole.Add(mesh.Vec{0, 0, 10}), radius: 270, from: fromAbove},
			},
			{
				id: "S-10-3", number: "3", after: []string{"S-10-1"}, title: words{"Fit drain plug and sight glass", "Ablassschraube und Ölschauglas einbauen"},
				text:            words{"Slide a new sealing ring over the plug. Screw the plug in and tighten it. Press the sight glass in with the arbor sleeve until it seats.", "Neuen Dichtring auf die Verschlussschraube schieben. Schraube eindrehen und festziehen. Schauglas mit der Hülse bis zum Anschlag eindrücken."},
				attachments:     []document{{"files/drain-side.png", words{"Drain side", "Ablassseite"}}},
				tools:           []tool{wrench2, socket},
				parts:           []part{one("P-6050", "ring-drain-1"), one("P-6040", "plug-drain-1"), one("P-6030", "sight-1")},
				view:            &view{at: mesh.Vec{380, 0, -75}, radius: 130, from: fromRight, moves: []move{right(70, "plug-drain-1"), right(40, "ring-drain-1"), right(60, "sight-1")}},
				characteristics: []characteristic{{"C-10-3", "40", "36", "44", "NU", "", words{"Torque, drain plug", "Anziehmoment Ablassschraube"}}},
			},
		},
	}
}

// shaftLineWork nests the three lines: they have no order among each other.
func (v variant) shaftLineWork() operation {
	return operation{
		id: "OP-20", number: "020", workCentre: "BENCH-2", qualification: "MECH-2", duration: "PT90M",
		title:  words{"Build the shaft lines", "Wellen vormontieren"},
		notes:  []words{{"The three lines may be built at the same time.", "Die drei Wellen dürfen gleichzeitig vormontiert werden."}},
		nested: []operation{v.inputWork(), v.middleWork(), outputWork()},
	}
}

var heatText = words{
	"Heat the bearing to <b>110 °C</b>, never above 120 °C. Put it on in one stroke against the shoulder and hold it there until it grips. Demagnetise it.",
	"Lager auf <b>110 °C</b> erwärmen, nie über 120 °C. In einem Zug bis an die Schulter schieben und halten, bis es festsitzt. Entmagnetisieren.",
}

func heatTemperature(id string) characteristic {
	return characteristic{id, "110", "100", "120", "CEL", "witness", words{"Temperature of the bearing", "Temperatur des Lagers"}}
}

func (v variant) inputWork() operation {
	return operation{
		id: "OP-21", number: "021", builds: v.inputLineID(), workCentre: "BENCH-2", qualification: "MECH-2", duration: "PT20M",
		title:     words{"Build the input line", "Antriebswelle vormontieren"},
		equipment: []string{"Arbor press", "Induction heater"},
		steps: []step{
			{
				id: "S-21-1", number: "1", title: words{"Clamp the input pinion shaft", "Ritzelwelle einspannen"},
				text:  words{"Clamp the shaft upright in the soft jaws, driven end up. Check the teeth for nicks.", "Welle mit dem Antriebszapfen nach oben in die Weichbacken spannen. Zähne auf Beschädigungen prüfen."},
				parts: []part{serial(one(v.inputShaftID(), "shaft-1"))},
				view:  &view{at: mesh.Vec{0, 0, 40}, radius: 150, from: fromBench},
			},
			{
				id: "S-21-2", number: "2", title: words{"Shrink on both bearings", "Beide Lager aufschrumpfen"}, text: heatText,
				hazards: []hazard{hotBearing}, tools: []tool{heater},
				parts:           []part{lot(several("P-3010", ids("bearing", 2)))},
				view:            &view{at: mesh.Vec{0, 0, 30}, radius: 190, from: fromBench, moves: []move{up(140, "bearing-1"), down(70, "bearing-2")}},
				characteristics: []characteristic{heatTemperature("C-21-2")}, signOffs: []string{"assembler"},
			},
		},
	}
}

func (v variant) middleWork() operation {
	return operation{
		id: "OP-22", number: "022", builds: v.middleLineID(), workCentre: "BENCH-2", qualification: "MECH-2", duration: "PT35M",
		title:     words{"Build the intermediate line", "Zwischenwelle vormontieren"},
		equipment: []string{"Arbor press", "Induction heater"},
		steps: []step{
			{
				id: "S-22-1", number: "1", title: words{"Press the key into the intermediate shaft", "Passfeder in die Zwischenwelle einpressen"},
				text:  words{"Clamp the shaft upright, pinion down. Press the key into its keyway until it rests on the floor.", "Welle aufrecht einspannen, Ritzel unten. Passfeder bis zum Nutgrund einpressen."},
				tools: []tool{press},
				parts: []part{serial(one("P-2030", "shaft-1")), one("P-2120", "key-1")},
				view:  &view{at: mesh.Vec{0, 15, 10}, radius: 120, from: mesh.Vec{0.9, 0.7, 0.4}, moves: []move{{mesh.Vec{0, 40, 0}, []string{"key-1"}}}},
			},
			{
				id: "S-22-2", number: "2", title: words{"Press on gear 1 and the spacer", "Rad 1 und Distanzbuchse aufpressen"},
				text:            words{"Align the keyway with the key. Press the gear down to the collar, then put the spacer on. Gap to the collar: none.", "Nut auf die Passfeder ausrichten. Rad bis an den Bund pressen, dann die Distanzbuchse aufschieben. Kein Spalt am Bund."},
				tools:           []tool{press, feeler},
				parts:           []part{serial(one(v.wheel1ID(), "wheel-1")), one("P-2210", "spacer-1")},
				view:            &view{at: mesh.Vec{0, 0, 60}, radius: 180, from: fromBench, moves: []move{up(90, "wheel-1"), up(140, "spacer-1")}},
				characteristics: []characteristic{{"C-22-2", "0", "0", "0.05", "MMT", "witness", words{"Gap between gear and collar", "Spalt zwischen Rad und Bund"}}},
				attachments:     []document{{"files/middle-line.png", words{"Intermediate line, section", "Zwischenwelle, Schnitt"}}},
			},
			{
				id: "S-22-3", number: "3", title: words{"Shrink on the taper bearings", "Kegelrollenlager aufschrumpfen"}, text: heatText,
				hazards: []hazard{hotBearing}, tools: []tool{heater},
				parts:           []part{lot(several("P-3020", ids("bearing", 2)))},
				view:            &view{at: mesh.Vec{0, 0, 10}, radius: 190, from: fromBench, moves: []move{up(80, "bearing-1"), down(80, "bearing-2")}},
				characteristics: []characteristic{heatTemperature("C-22-3")}, signOffs: []string{"assembler"},
			},
		},
	}
}

func outputWork() operation {
	return operation{
		id: "OP-23", number: "023", builds: "SA-420", workCentre: "BENCH-3", qualification: "MECH-2", duration: "PT35M",
		title:     words{"Build the output line", "Abtriebswelle vormontieren"},
		equipment: []string{"Arbor press", "Induction heater", "Hoist 125 kg"},
		steps: []step{
			{
				id: "S-23-1", number: "1", title: words{"Press the key into the output shaft", "Passfeder in die Abtriebswelle einpressen"},
				text:  words{"Stand the shaft in the fixture, long shoulder up. Press the key in until it rests on the floor.", "Welle mit der langen Schulter nach oben in die Vorrichtung stellen. Passfeder bis zum Nutgrund einpressen."},
				tools: []tool{press, hoist},
				parts: []part{serial(one("P-2050", "shaft-1")), one("P-2130", "key-1")},
				view:  &view{at: mesh.Vec{0, 15, 0}, radius: 210, from: mesh.Vec{0.9, 0.7, 0.4}, moves: []move{{mesh.Vec{0, 50, 0}, []string{"key-1"}}}},
			},
			{
				id: "S-23-2", number: "2", title: words{"Press on gear 2 and the spacer", "Rad 2 und Distanzbuchse aufpressen"},
				text:    words{"Turn the shaft over. Align the keyway with the key, press the gear to the collar and put the spacer on.", "Welle umdrehen. Nut auf die Passfeder ausrichten, Rad bis an den Bund pressen und die Distanzbuchse aufschieben."},
				hazards: []hazard{heavyLine}, tools: []tool{press, hoist, feeler},
				parts:           []part{serial(one("P-2040", "wheel-1")), one("P-2220", "spacer-1")},
				view:            &view{at: mesh.Vec{0, 0, -40}, radius: 250, from: mesh.Vec{0.8, -0.8, -0.25}, moves: []move{down(110, "wheel-1"), down(150, "spacer-1")}},
				characteristics: []characteristic{{"C-23-2", "0", "0", "0.05", "MMT", "witness", words{"Gap between gear and collar", "Spalt zwischen Rad und Bund"}}},
			},
			{
				id: "S-23-3", number: "3", title: words{"Shrink on both bearings", "Beide Lager aufschrumpfen"}, text: heatText,
				hazards: []hazard{hotBearing, heavyLine}, tools: []tool{heater},
				parts:           []part{lot(several("P-3030", ids("bearing", 2)))},
				view:            &view{at: mesh.Vec{0, 0, 0}, radius: 260, from: fromBench, moves: []move{up(140, "bearing-1"), down(140, "bearing-2")}},
				characteristics: []characteristic{heatTemperature("C-23-3")}, signOffs: []string{"assembler"},
			},
		},
	}
}

func endCapWork() operation {
	return operation{
		id: "OP-30", number: "030", builds: "SA-300", quantity: "2", workCentre: "BENCH-3", qualification: "MECH-1", duration: "PT10M",
		title:     words{"Build the output end caps", "Enddeckel Abtrieb vormontieren"},
		equipment: []string{"Arbor press"},
		steps: []step{
			{
				id: "S-30-1", number: "1", title: words{"Press in the shaft seal", "Wellendichtring einpressen"},
				text:        words{"Oil the seal's outside. Press it in flush, its <b>open side towards the housing</b>.", "Dichtring außen einölen. Bündig einpressen, <b>offene Seite zum Gehäuse</b>."},
				tools:       []tool{press},
				parts:       []part{one("P-4040", "cap-1"), lot(one("P-4220", "seal-1"))},
				view:        &view{at: mesh.Vec{0, 0, 15}, radius: 95, from: fromAbove, moves: []move{up(50, "seal-1")}},
				attachments: []document{{"files/seal-direction.png", words{"Which way the seal goes in", "Einbaurichtung des Dichtrings"}}},
				signOffs:    []string{"assembler"},
			},
			{
				id: "S-30-2", number: "2", title: words{"Put the O-ring into its groove", "O-Ring in die Nut einlegen"},
				text:  words{"Oil the O-ring and roll it over the spigot into the groove. It must not be twisted.", "O-Ring einölen und über den Zentrierbund in die Nut rollen. Er darf nicht verdreht sein."},
				parts: []part{{item: "P-4230", occurrences: []string{"ring-1"}, capture: "lot", substitute: "P-4231", shelfLife: "P84M"}},
				view:  &view{at: mesh.Vec{0, 0, -10}, radius: 95, from: mesh.Vec{0.4, -0.8, -0.6}, moves: []move{down(45, "ring-1")}},
			},
		},
	}
}
