package demo

import (
	"math"

	"planfold/convert/mesh"
)

// view is a saved view of a step: a camera that takes in a ball of the given
// radius, seen from a direction, and what is moved apart.
type view struct {
	at     mesh.Vec
	radius float64
	from   mesh.Vec
	moves  []move
	show   []string
}

// move takes occurrences apart by a vector.
type move struct {
	by          mesh.Vec
	occurrences []string
}

const fieldOfView = 35.0

func (v view) position() mesh.Vec {
	distance := 1.1 * v.radius / math.Sin(fieldOfView/2*math.Pi/180)
	return v.at.Add(v.from.Unit().Scale(math.Round(distance)))
}

// Directions from which views look.
var (
	fromFront = mesh.Vec{-0.45, -1, 0.6}
	fromBack  = mesh.Vec{0.55, 1, 0.55}
	fromAbove = mesh.Vec{-0.3, -0.75, 1}
	fromRight = mesh.Vec{1, -0.6, 0.45}
	fromBench = mesh.Vec{0.8, -0.8, 0.45}
)

// whole is what a view of the whole reducer looks at.
var whole = mesh.Vec{155, 0, -10}

func up(mm float64, occurrences ...string) move { return move{mesh.Vec{0, 0, mm}, occurrences} }
func down(mm float64, occurrences ...string) move {
	return move{mesh.Vec{0, 0, -mm}, occurrences}
}

func front(mm float64, occurrences ...string) move {
	return move{mesh.Vec{0, -mm, 0}, occurrences}
}
func back(mm float64, occurrences ...string) move { return move{mesh.Vec{0, mm, 0}, occurrences} }
func right(mm float64, occurrences ...string) move {
	return move{mesh.Vec{mm, 0, 0}, occurrences}
}
