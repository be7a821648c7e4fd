package demo

// Hazard statements in the form of ANSI Z535.6: signal word, hazard, consequence,
// avoidance.

var (
	warning = words{"WARNING", "WARNUNG"}
	caution = words{"CAUTION", "VORSICHT"}

	heavyLower = hazard{
		"H-10", warning,
		words{"Suspended load: the lower half weighs 32 kg.", "Schwebende Last: Das Unterteil wiegt 32 kg."},
		words{"A falling load can cause death or serious injury.", "Eine herabfallende Last kann zu Tod oder schweren Verletzungen führen."},
		words{"Lift with the hoist and two slings. Keep clear of the load.", "Mit Kran und zwei Schlingen heben. Nicht unter die Last treten."},
	}
	heavyUpper = hazard{
		"H-11", warning,
		words{"Suspended load: the upper half weighs 15 kg.", "Schwebende Last: Das Oberteil wiegt 15 kg."},
		words{"Hands between the halves can be crushed.", "Hände zwischen den Hälften können gequetscht werden."},
		words{"Guide the half by its outer walls only. Keep fingers out of the joint.", "Nur an den Außenwänden führen. Nicht in die Teilfuge greifen."},
	}
	heavyLine = hazard{
		"H-12", caution,
		words{"The output shaft line weighs 14 kg.", "Die Abtriebswelle wiegt komplett 14 kg."},
		words{"Lifting by hand can injure the back; a dropped line can crush feet.", "Heben von Hand kann zu Rückenschäden führen; eine fallende Welle kann Füße quetschen."},
		words{"Use the hoist with a soft sling. Wear safety shoes.", "Kran mit weicher Schlinge benutzen. Sicherheitsschuhe tragen."},
	}
	hotBearing = hazard{
		"H-20", warning,
		words{"Hot surface: bearings leave the heater at 110 °C.", "Heiße Oberfläche: Lager kommen mit 110 °C aus dem Anwärmgerät."},
		words{"Touching them burns the skin.", "Berühren führt zu Verbrennungen."},
		words{"Wear heat-resistant gloves. Let the line cool below 40 °C before touching it.", "Hitzeschutzhandschuhe tragen. Vor dem Berühren unter 40 °C abkühlen lassen."},
	}
	pinch = hazard{
		"H-30", warning,
		words{"Pinch point where gears mesh.", "Einzugsstelle am Zahneingriff."},
		words{"Fingers can be drawn in and crushed.", "Finger können eingezogen und gequetscht werden."},
		words{"Turn the input shaft by hand with the handle only. Keep the other hand off the gears.", "Antriebswelle nur mit der Handkurbel drehen. Die andere Hand von den Rädern fernhalten."},
	}
	solvent = hazard{
		"H-40", warning,
		words{"Flammable solvent; its vapour irritates.", "Entzündbares Lösungsmittel; die Dämpfe reizen."},
		words{"Vapour can ignite or cause dizziness.", "Dämpfe können sich entzünden oder Schwindel auslösen."},
		words{"Use only under the extraction hood. No ignition sources. Wear nitrile gloves and goggles.", "Nur unter der Absaugung verwenden. Zündquellen fernhalten. Nitrilhandschuhe und Schutzbrille tragen."},
	}
	sealant = hazard{
		"H-41", caution,
		words{"Uncured sealant and adhesive irritate skin and eyes.", "Nicht ausgehärtete Dichtung und Kleber reizen Haut und Augen."},
		words{"Contact can cause allergy.", "Kontakt kann Allergien auslösen."},
		words{"Wear nitrile gloves. Wash splashes off at once.", "Nitrilhandschuhe tragen. Spritzer sofort abwaschen."},
	}
	oily = hazard{
		"H-42", caution,
		words{"Spilt oil makes the floor slippery.", "Verschüttetes Öl macht den Boden rutschig."},
		words{"People can slip and fall.", "Personen können ausrutschen."},
		words{"Place the drip tray first. Bind spills at once.", "Zuerst die Auffangwanne aufstellen. Verschüttetes sofort binden."},
	}
)
