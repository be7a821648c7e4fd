// Package large writes plans far larger than any demo, for benchmarks: the same
// bytes for the same size. They are plans of the neutral dialect that its schema
// accepts and its rules map without a diagnostic.
package large

import (
	"bufio"
	"fmt"
	"io"
)

// Size of a plan. An assembly is an item with a structure of its own, built by its
// share of the operations and standing once in the product, which the last
// operation builds.
type Size struct {
	Items, Assemblies, Operations int
	Steps                         int // of each operation
}

// Huge is a plan of 200 MB with 100,000 steps.
var Huge = Size{Items: 40_000, Assemblies: 100, Operations: 5_000, Steps: 20}

// writer is a plan being written; the first error stops the rest.
type writer struct {
	*bufio.Writer
	Size
}

func (w *writer) line(format string, args ...any) { fmt.Fprintf(w, format+"\n", args...) }

// Write writes a plan.
func Write(to io.Writer, s Size) error {
	w := &writer{bufio.NewWriterSize(to, 64<<10), s}
	w.line(`<?xml version="1.0" encoding="UTF-8"?>`)
	w.line(`<plan xmlns="urn:planfold:plan:1" id="GR-9000" revision="A" status="released" approver="M. Lindqvist" product="P-GR">`)
	w.line(`  <title xml:lang="en">Assemble the gear reducers of line 9</title>`)
	w.line(`  <title xml:lang="de">Getriebe der Linie 9 montieren</title>`)
	w.items()
	w.structures()
	w.line(`  <operations>`)
	for o := range s.Operations {
		w.operation(o)
	}
	w.line(`  </operations>`)
	w.line(`</plan>`)
	return w.Flush()
}

var classes = []string{"bolt", "washer", "shaft", "seal", "bearing", "housing", "pin", "shim"}

func (w *writer) items() {
	w.line(`  <items>`)
	w.line(`    <item id="P-GR" revision="A" class="product" unit="C62"><title xml:lang="en">Gear reducers</title></item>`)
	for a := range w.Assemblies {
		w.line(`    <item id="SA-%d" revision="A" class="assembly" unit="C62"><title xml:lang="en">Gear stage %d</title></item>`, a, a)
	}
	for i := range w.Items {
		class := classes[i%len(classes)]
		w.line(`    <item id="P-%d" revision="%c" class="%s" unit="C62" material="42CrMo4">`, i, 'A'+i%20, class)
		w.line(`      <title xml:lang="en">%s, size %d, surface treated</title>`, class, i%64)
		w.line(`      <title xml:lang="de">%s, Größe %d, oberflächenbehandelt</title>`, class, i%64)
		if i%10 == 0 {
			w.line(`      <note xml:lang="en">Keep in its tray until it is fitted &amp; secured.</note>`)
		}
		w.line(`    </item>`)
	}
	w.line(`  </items>`)
}

// structures places each item once, in the assembly of its share.
func (w *writer) structures() {
	w.line(`  <structures>`)
	w.line(`    <structure of="P-GR">`)
	for a := range w.Assemblies {
		w.line(`      <occurrence id="stage-%d" item="SA-%d"><placement>1 0 0 %d 0 1 0 0 0 0 1 42.5</placement></occurrence>`, a, a, 400*a)
	}
	w.line(`    </structure>`)
	share := w.Items / w.Assemblies
	for a := range w.Assemblies {
		w.line(`    <structure of="SA-%d">`, a)
		for i := range share {
			w.line(`      <occurrence id="o-%d" item="P-%d"><placement>1 0 0 %d 0 1 0 %d 0 0 1 12.25</placement></occurrence>`, i, a*share+i, 10*(i%20), 10*(i/20))
		}
		w.line(`    </structure>`)
	}
	w.line(`  </structures>`)
}

func (w *writer) operation(o int) {
	each := w.Operations / w.Assemblies
	a := min(o/each, w.Assemblies-1)
	builds := fmt.Sprintf("SA-%d", a)
	last := o == w.Operations-1
	if last {
		builds = "P-GR"
	}
	w.line(`    <operation id="OP-%d" number="%05d" builds="%s" workCentre="BENCH-%d" qualification="ASM-2" plannedDuration="PT%dM">`, o, 10*(o+1), builds, a%12, 5+o%40)
	w.line(`      <title xml:lang="en">Build up gear stage %d, part %d of %d</title>`, a, o%each+1, each)
	w.line(`      <title xml:lang="de">Getriebestufe %d aufbauen, Teil %d von %d</title>`, a, o%each+1, each)
	switch {
	case last:
		for b := range w.Assemblies {
			w.line(`      <predecessor ref="OP-%d"/>`, min((b+1)*each, w.Operations-1)-1)
		}
	case o%each > 0:
		w.line(`      <predecessor ref="OP-%d"/>`, o-1)
	}
	w.line(`      <equipment>Press P-%d</equipment>`, o%7)
	if o%4 == 0 {
		w.hazard(o)
	}
	for s := range w.Steps {
		w.step(o, s, a)
	}
	w.line(`    </operation>`)
}

func (w *writer) hazard(n int) {
	w.line(`      <hazard id="H-%d">`, n)
	w.line(`        <signalWord xml:lang="en">WARNING</signalWord><signalWord xml:lang="de">WARNUNG</signalWord>`)
	w.line(`        <description xml:lang="en">Housing halves are heavier than 15 kg.</description><description xml:lang="de">Gehäusehälften sind schwerer als 15 kg.</description>`)
	w.line(`        <avoidance xml:lang="en">Use the lifting fixture.</avoidance><avoidance xml:lang="de">Die Hebevorrichtung benutzen.</avoidance>`)
	w.line(`      </hazard>`)
}

func (w *writer) step(o, s, a int) {
	n := o*w.Steps + s
	w.line(`      <step id="S-%d-%d" number="%d">`, o, s, 10*(s+1))
	w.line(`        <title xml:lang="en">Fit the fasteners of position %d</title>`, n%500)
	w.line(`        <title xml:lang="de">Die Verbindungselemente der Position %d einsetzen</title>`, n%500)
	w.line(`        <text xml:lang="en">Lift <b>both</b> halves onto the fixture; the dowel must show towards the operator. Do not turn the shaft of position %d by hand while the retaining compound cures.</text>`, n%500)
	w.line(`        <text xml:lang="de"><b>Beide</b> Hälften auf die Vorrichtung heben; der Passstift muss zum Bediener zeigen. Die Welle der Position %d nicht von Hand drehen, solange das Fügeprodukt aushärtet.</text>`, n%500)
	if s%5 == 0 {
		w.hazard(n)
	}
	w.parts(o, s, a)
	w.line(`        <tool id="T-%d"><title xml:lang="en">Torque wrench 5 to 25 Nm</title><title xml:lang="de">Drehmomentschlüssel 5 bis 25 Nm</title></tool>`, n%50)
	w.line(`        <characteristic id="C-%d" nominal="9.50" lower="9.025" upper="9.975" unit="NU" point="witness"><title xml:lang="en">Torque</title><title xml:lang="de">Anziehdrehmoment</title></characteristic>`, n)
	if s%10 == 9 {
		w.line(`        <signOff role="inspector"/>`)
		w.line(`        <evidence kind="photo"><title xml:lang="en">Bolt heads after torque</title></evidence>`)
	}
	w.line(`      </step>`)
}

// parts consumes what the assembly has, an occurrence in each of its operation's
// first steps, and small parts beside.
func (w *writer) parts(o, s, a int) {
	share, each := w.Items/w.Assemblies, w.Operations/w.Assemblies
	perOperation := share / each
	switch at := (o%each)*perOperation + s; {
	case o == w.Operations-1 && s >= w.Assemblies:
	case o == w.Operations-1:
		w.line(`        <part item="SA-%d" quantity="1" unit="C62" find="%d" capture="serial"><purpose xml:lang="en">stage to be joined</purpose><occurrence ref="stage-%d"/></part>`, s, 10*s, s)
	case s < perOperation:
		w.line(`        <part item="P-%d" quantity="1" unit="C62" find="%d" capture="serial"><purpose xml:lang="en">to be fitted &amp; secured</purpose><occurrence ref="o-%d"/></part>`, a*share+at, 10*s, at)
	}
	for k := range 4 {
		w.line(`        <part item="P-%d" quantity="%d.50" find="%d"><purpose xml:lang="en">spare for setting</purpose><purpose xml:lang="de">Reserve zum Einstellen</purpose></part>`, (7919*(o*w.Steps+s)+k)%w.Items, k+1, 100+k)
	}
}
