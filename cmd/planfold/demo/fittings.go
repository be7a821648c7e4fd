package demo

import (
	"planfold/cmd/planfold/demo/solid"
	"planfold/convert/mesh"
)

// plug is a hexagon screw plug M20 x 1,5 with a collar; it hangs from z = 0.
func plug() *solid.Solid {
	collar := []solid.Loop{solid.Circle(solid.Point{}, 13.5, 48)}
	s := append(shank(20, 1.5, 13, 1, 0.9, -1.5), solid.Section{Z: 0, Loops: collar}, solid.Section{Z: 3, Loops: collar})
	return solid.Sweep(append(s, hexagon(19, 3, 11)...)...)
}

// eyeBolt is a lifting eye bolt M10 after DIN 580; it hangs from z = 0.
func eyeBolt() *solid.Solid {
	wide := solid.Circle(solid.Point{}, 12.5, boltSides)
	s := append(shank(10, 1.5, 17, 0.9, 0.82, -1.5), solid.Section{Z: 0, Loops: []solid.Loop{wide}},
		solid.Section{Z: 4, Loops: []solid.Loop{wide}}, solid.Section{Z: 9, Loops: []solid.Loop{wide.Scaled(0.62)}})
	eye := ring(17.5, 10).Moved(lying(mesh.Vec{0, 0, 27}))
	return solid.Join(solid.Sweep(s...), eye)
}

// breather is a threaded body and a cap over it; it hangs from z = 0.
func breather() []solid.Piece {
	body := solid.Sweep(append(shank(16, 1.5, 12, 1, 0.9, -1.5), hexagon(22, 0, 8)...)...)
	cap := solid.Revolve(solid.Loop{
		{0, 7}, {7, 7}, {7, 10}, {13, 10}, {14, 11}, {14, 20}, {12, 24}, {6, 26}, {0, 26.5},
	}, 64)
	return []solid.Piece{{Name: "body", Solid: body, Look: zinc}, {Name: "cap", Solid: cap, Look: red}}
}

// sightGlass is a ring with a pane; it hangs from z = 0.
func sightGlass() ([]byte, error) {
	body := solid.Revolve(solid.Loop{
		{9, -10}, {13, -10}, {13.9, -9}, {13.9, 0}, {20, 0}, {20, 4}, {18, 6}, {12, 6}, {11, 5}, {11, -2}, {9, -2},
	}, 72)
	pane := solid.Turned(72, [2]float64{-1.9, 10.9}, [2]float64{2, 10.9})
	return solid.GLB("sight-glass", []solid.Placed{
		{Piece: solid.Piece{Name: "body", Solid: body, Look: zinc}},
		{Piece: solid.Piece{Name: "pane", Solid: pane, Look: glass}},
	})
}
