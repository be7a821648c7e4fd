package demo

import (
	"fmt"
	"strconv"
	"strings"
)

// variant is one plan of the catalogue: a reducer with its own first stage.
type variant struct {
	stages
	id, revision string
	suffix       string // of its own geometry files
}

// firstStages all fit the housing: their teeth sum to stage1Sum.
var firstStages = []int{19, 18, 22, 25, 28, 20, 23, 26}

// single is the demo's one plan.
func single() variant { return variant{stages: standard, id: "GR-200", revision: "C"} }

// catalogue is n variants. They go through the tooth numbers and, with higher
// numbers, through revisions.
func catalogue(n int) []variant {
	var out []variant
	for i := range n {
		z1 := firstStages[i%len(firstStages)]
		v := variant{
			stages:   stages{z1, stage1Sum - z1, standard.z3, standard.z4},
			id:       fmt.Sprintf("GR-2%04d", i+1),
			revision: string(rune('A' + i/len(firstStages)%26)),
			suffix:   "-" + strconv.Itoa(z1),
		}
		out = append(out, v)
	}
	return out
}

// named is an item number that differs with the first stage.
func (v variant) named(number string) string { return number + v.suffix }

func (v variant) inputShaftID() string { return v.named("P-2010") }
func (v variant) wheel1ID() string     { return v.named("P-2020") }
func (v variant) inputLineID() string  { return v.named("SA-400") }
func (v variant) middleLineID() string { return v.named("SA-410") }

// ratio is the reduction with two decimals.
func (v variant) ratio() string {
	r := float64(v.z2*v.z4) / float64(v.z1*v.z3)
	return strconv.FormatFloat(r, 'f', 2, 64)
}

func (v variant) title() words {
	return words{"Two-stage helical gear reducer, ratio " + v.ratio(), "Zweistufiges Stirnradgetriebe, Übersetzung " + strings.Replace(v.ratio(), ".", ",", 1)}
}
