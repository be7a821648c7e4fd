// Package demo makes planfold's demo: a two-stage helical gear reducer with its
// process plan, geometry and documents, all from code.
//
// The reducer and its plan are our own; dimensions of standard parts are those of
// the standards named beside them. The plan is written in planfold's neutral
// dialect (schema/plan.xsd). Nothing is read and nothing depends on the time: the
// same files every time. Only between kinds of processor may last digits differ, as
// products are fused here and sines are taken. It is a teaching example, not a
// product to build.
package demo

import (
	_ "embed"
	"fmt"
	"strings"

	"planfold/schema"
	"planfold/testdata/dialects"
)

//go:embed rules.yaml
var assigning string

//go:embed expectations.yaml
var expectations []byte

// rules is one file that stands alone: how the neutral dialect is read, put before
// what the demo assigns.
func rules() []byte {
	neutral, known := dialects.Rules("neutral")
	_, reading, found := strings.Cut(string(neutral), "\nframe:")
	head, assigned, divided := strings.Cut(assigning, "\nrules:")
	if !known || !found || !divided {
		panic("demo: internal error: the rule files are not as they were")
	}
	return []byte(head + "\nframe:" + reading + "\nrules:" + assigned)
}

// Write hands out the demo's files, paths with slashes: plan.xml, rules.yaml with
// the schema of its language and what must come of them (expectations.yaml), geometry/… and files/…. With more than one plan it is a catalogue: plans/*.xml,
// reducers that differ in their first stage and share all else. It stops at the
// first error of put.
func Write(plans int, put func(name string, data []byte) error) error {
	if err := put("rules.yaml", rules()); err != nil {
		return err
	}
	if err := put("expectations.yaml", expectations); err != nil {
		return err
	}
	language, err := schema.Source("rules")
	if err != nil {
		return err
	}
	if err := put("rules.schema.json", language); err != nil {
		return err
	}
	if err := writePlans(plans, put); err != nil {
		return err
	}
	if err := writeModels(models(), put); err != nil {
		return err
	}
	if err := writeBreather(put); err != nil {
		return err
	}
	return writeDocuments(put)
}

// writePlans writes the plans and the geometry of their own.
func writePlans(plans int, write put) error {
	if plans <= 1 {
		v := single()
		if err := write("plan.xml", v.planXML()); err != nil {
			return err
		}
		return writeModels(v.own(), write)
	}
	made := map[string]bool{}
	for _, v := range catalogue(plans) {
		if err := write(fmt.Sprintf("plans/%s.xml", v.id), v.planXML()); err != nil {
			return err
		}
		if !made[v.suffix] {
			made[v.suffix] = true
			if err := writeModels(v.own(), write); err != nil {
				return err
			}
		}
	}
	return nil
}
