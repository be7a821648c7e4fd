package demo

import "planfold/cmd/planfold/demo/drawing"

// writeDocuments writes the pictures and data sheets.
func writeDocuments(write put) error {
	for _, p := range []struct {
		name string
		draw func() *drawing.Sheet
	}{
		{"tightening-joint", jointDrawing},
		{"tightening-cap-4", func() *drawing.Sheet { return capDrawing(middleLine, "M6: 9.9 N·m") }},
		{"tightening-cap-6", func() *drawing.Sheet { return capDrawing(outputLine, "M8: 24 N·m (22.8 to 25.2)") }},
		{"middle-line", lineDrawing},
		{"seal-direction", sealDrawing},
		{"backlash", backlashDrawing},
		{"drain-side", drainDrawing},
	} {
		data, err := p.draw().PNG()
		if err != nil {
			return err
		}
		if err := write("files/"+p.name+".png", data); err != nil {
			return err
		}
	}
	for _, s := range sheets {
		if err := write("files/"+s.name+".pdf", drawing.PDF(s.heading, s.rows)); err != nil {
			return err
		}
	}
	return nil
}

// Data sheets. Substances are described by kind, not by any maker's product.
var (
	noteRow = [2]string{"Note / Hinweis", "Teaching example. The maker's sheet, local codes and licensed practice prevail. Lehrbeispiel. Es gelten das Blatt des Herstellers, örtliche Vorschriften und die fachliche Befugnis."}

	sheets = []struct {
		name, heading string
		rows          [][2]string
	}{
		{"gear-oil", "Gear oil ISO VG 220 / Getriebeöl ISO VG 220", [][2]string{
			{"Use", "First fill and refill of helical gear reducers, oil bath."},
			{"Viscosity", "220 mm²/s at 40 °C, 19 mm²/s at 100 °C (ISO 3448 class 220)"},
			{"Fill", "3.2 litres, level in the middle of the sight glass, reducer level and still"},
			{"Change", "After 500 h, then every 5000 h or 2 years"},
			{"Shelf life", "60 months, closed, dry, 5 to 40 °C"},
			{"", "Verwendung"},
			{"Füllmenge", "3,2 Liter, Stand in der Mitte des Schauglases, Getriebe waagerecht und in Ruhe"},
			{"Wechsel", "Nach 500 h, danach alle 5000 h oder 2 Jahre"},
			{"Haltbarkeit", "60 Monate, verschlossen, trocken, 5 bis 40 °C"},
			noteRow,
		}},
		{"joint-sealant", "Joint sealant, anaerobic / Flächendichtung, anaerob", [][2]string{
			{"Use", "Machined metal joints with gaps up to 0.25 mm."},
			{"Surface", "Clean, dry, free of grease; degrease and let flash off for 5 minutes."},
			{"Open time", "20 minutes. Bolt the joint within this time."},
			{"Cure", "Handling after 4 h, full strength after 24 h at 22 °C"},
			{"Shelf life", "12 months at 8 to 21 °C; record the lot"},
			{"Protection", "Nitrile gloves, goggles"},
			{"", "Verwendung"},
			{"Oberfläche", "Sauber, trocken, fettfrei; entfetten und 5 Minuten ablüften lassen."},
			{"Offene Zeit", "20 Minuten"},
			{"Haltbarkeit", "12 Monate bei 8 bis 21 °C; Charge festhalten"},
			noteRow,
		}},
		{"thread-locking", "Thread-locking adhesive / Schraubensicherung", [][2]string{
			{"Use", "Screws M6 to M20 that hand tools must undo again."},
			{"Surface", "Degreased threads, bolt and hole"},
			{"Amount", "One drop on the first turns that engage"},
			{"Cure", "Handling after 20 minutes, full strength after 24 h"},
			{"Shelf life", "24 months at 8 to 21 °C; record the lot"},
			{"", "Verwendung"},
			{"Oberfläche", "Entfettete Gewinde, Schraube und Bohrung"},
			{"Menge", "Ein Tropfen auf die ersten tragenden Gänge"},
			{"Haltbarkeit", "24 Monate bei 8 bis 21 °C; Charge festhalten"},
			noteRow,
		}},
		{"degreaser", "Degreasing solvent / Entfettungsmittel", [][2]string{
			{"Use", "Wiping machined surfaces before sealant or adhesive."},
			{"Hazards", "Highly flammable liquid and vapour. Irritates eyes. Vapour may cause drowsiness."},
			{"Protection", "Extraction hood, nitrile gloves, goggles, no ignition sources"},
			{"Shelf life", "24 months, closed"},
			{"", "Verwendung"},
			{"Gefahren", "Flüssigkeit und Dampf leicht entzündbar. Reizt die Augen. Kann Schläfrigkeit verursachen."},
			{"Schutz", "Absaugung, Nitrilhandschuhe, Schutzbrille, keine Zündquellen"},
			noteRow,
		}},
	}
)
