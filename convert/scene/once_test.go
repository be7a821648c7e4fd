package scene

import (
	"bytes"
	"encoding/gob"
	"fmt"
	"reflect"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"planfold/convert/glb"
	"planfold/convert/mesh"
	"planfold/convert/step"
	"planfold/convert/sweep"
	"planfold/testdata/solid"
)

// memory is a cache as a run has it.
type memory struct {
	kept map[string][]byte
	made []string          // the first words of keys
	last map[string]string // key, by first word
}

func newMemory() *memory { return &memory{kept: map[string][]byte{}, last: map[string]string{}} }

func (m *memory) of(in Input) Input {
	in.Once = func(key string, v any, make func()) {
		kind, _, _ := strings.Cut(key, " ")
		m.last[kind] = key
		if b, ok := m.kept[key]; ok && gob.NewDecoder(bytes.NewReader(b)).Decode(v) == nil {
			return
		}
		make()
		m.made = append(m.made, kind)
		var b bytes.Buffer
		if err := gob.NewEncoder(&b).Encode(v); err != nil {
			panic(err)
		}
		m.kept[key] = b.Bytes()
	}
	return in
}

func TestWhatWasFoundBeforeIsNotSoughtAgain(t *testing.T) {
	m := newMemory()
	first := Build(m.of(chest(0)))
	require.Equal(t, []string{"enclosed", "motion"}, m.made)
	require.NotEmpty(t, first.Enclosed)
	require.NotEmpty(t, first.Motions)
	require.True(t, same(first, Build(m.of(chest(0)))))
	require.Len(t, m.made, 2)
}

// Meshes of one blob may be made more than once; what is swept does not depend on it.
func TestOneBlobIsOneMeshWhereItIsSwept(t *testing.T) {
	in := Input{Mesh: func(Blob) *mesh.Mesh { return solid.Sphere(0.01, 12, 8) }}
	s := &scenery{composer: &composer{Input: in}, meshes: map[string]*mesh.Mesh{}, blobs: map[*mesh.Mesh]string{}}
	a, b := s.mesh(Blob{SHA256: "a"}), s.mesh(Blob{SHA256: "a", Layout: glb.Layout{Step: 1e-6}})
	require.Same(t, a, s.mesh(Blob{SHA256: "a"}))
	require.NotSame(t, a, b)
	require.NotEqual(t, s.blobs[a], s.blobs[b])
}

// What collides, is refused or comes in is never taken from a step that differs.
func TestMotionsOfAnotherStepAreNotTaken(t *testing.T) {
	bolts := func(in *Input) *step.Part { return &in.Step.Parts[0] }
	still := func(in *Input, path string) *Occurrence {
		i, _ := in.Structure.Find(path)
		return &in.Structure.Occurrences[i]
	}
	cap := func(in *Input) *Shape { return &in.Library["bolt"][1] }
	given := func(z, distance float64) *step.Motion {
		return &step.Motion{Direction: [3]float64{0, 0, z}, Distance: distance}
	}
	m, seen := newMemory(), map[string]string{}
	for name, change := range map[string]func(in *Input){
		"nothing": func(in *Input) {},
		"a mesh":  func(in *Input) { cap(in).Ladder = rod(0.005, 0.0041) },
		"a mesh of the same bytes": func(in *Input) {
			for i := range cap(in).Ladder.Levels {
				cap(in).Ladder.Levels[i].Blob.Layout.Centre[2] += 1e-12
			}
		},
		"what a mesh is off by": func(in *Input) {
			for i := range cap(in).Ladder.Levels {
				cap(in).Ladder.Levels[i].Deviation += 1e-12
			}
		},
		"bounds":                 func(in *Input) { cap(in).Ladder.Bounds.Max[2] += 1e-6 },
		"where a shape is":       func(in *Input) { cap(in).Transform[14] = 1e-12 },
		"where a part goes":      func(in *Input) { still(in, "bolt-1").Placement[12] += 1e-12 },
		"where what is there is": func(in *Input) { still(in, "plate-1").Placement[14] -= 0.05 },
		"more that is there":     func(in *Input) { in.Present = append(in.Present, "lid-1") },
		"less that is there":     func(in *Input) { in.Present = nil },
		"fewer parts":            func(in *Input) { bolts(in).Occurrences = bolts(in).Occurrences[:1] },
		"up":                     func(in *Input) { in.Plan.Frame.Up = 'Y' },
		"a rule":                 func(in *Input) { bolts(in).Motion = given(-1, 0.06) },
		"rules of parts": func(in *Input) {
			bolts(in).Motion = given(-1, 0.06)
			in.Step.Motions = []step.Motion{{Occurrence: "bolt-2", Direction: [3]float64{0, 0, -1}, Distance: 0.08}}
		},
		"a rule's distance":  func(in *Input) { bolts(in).Motion = given(-1, 0.07) },
		"a rule's direction": func(in *Input) { bolts(in).Motion = given(1, 0.06) },
		"a view":             func(in *Input) { in.Step.View = boltStep(in.Plan).View },
		"lines of parts": func(in *Input) {
			in.Step.Parts = append(in.Step.Parts, *bolts(in))
			in.Step.Parts[0].Occurrences, in.Step.Parts[1].Occurrences = texts("bolt-1"), texts("bolt-2")
		},
		"the order of tightening": func(in *Input) {
			bolts(in).Motion = given(-1, 0.06)
			in.Step.Motions = []step.Motion{{Occurrence: "bolt-2", Direction: [3]float64{0, 0, -1}, Distance: 0.08}}
			in.Step.Tightening = []step.Tightening{{Occurrence: text("bolt-1"), Order: text("2")}, {Occurrence: text("bolt-2"), Order: text("1")}}
		},
	} {
		p, lib := press()
		p.Structure[""] = append(p.Structure[""], &step.Occurrence{ID: text("lid-1"), Item: text("lid"), Placement: at(0, 0, 0.02)})
		lib["lid"] = []Shape{{Ladder: block(mesh.Vec{-0.06, -0.06, 0}, mesh.Vec{0.06, 0.06, 0.01}), Transform: mesh.Identity()}}
		in := seeing(input(p, lib, focusOn(step.Part{Item: text("bolt"), Occurrences: texts("bolt-1", "bolt-2")})))
		in.Present = []string{"plate-1"}
		change(&in)
		want := Build(in)
		require.True(t, same(want, Build(m.of(in))), name)
		require.Empty(t, seen[m.last["motion"]], name)
		seen[m.last["motion"]] = name
		require.True(t, same(want, Build(m.of(in))), name)
		require.Len(t, m.made, len(seen), name)
	}
}

// Whatever is handed to sweep.Apart is in the key, to the last digit; for a mesh stands what
// it was made of.
func TestNothingThatIsSweptIsLeftOutOfTheKey(t *testing.T) {
	shell := func(size float64) sweep.Shell {
		m := solid.Box(mesh.Vec{}, mesh.Vec{size, 1, 1})
		return sweep.Shell{Mesh: m, Bounds: m.Bounds(), At: mesh.Identity()}
	}
	moving := []sweep.Moving{
		{Body: sweep.Body{Shells: []sweep.Shell{shell(2), shell(3)}}, Ways: []mesh.Vec{{0, 0, 1}, {1, 0, 0}}},
		{Body: sweep.Body{Shells: []sweep.Shell{shell(4)}}},
	}
	p, lib := press()
	in := input(p, lib, focusOn())
	key := ""
	in.Once = func(k string, _ any, _ func()) { key = k }
	s := newComposer(in).newScenery()
	s.still.Shells = []sweep.Shell{shell(1)}
	seen := map[string]bool{}
	try := func() {
		s.apart(moving)
		require.False(t, seen[key])
		seen[key] = true
	}
	try()
	for _, b := range []Blob{{SHA256: "a"}, {SHA256: "b"}, {SHA256: "b", Layout: glb.Layout{Step: 1e-12}}, {SHA256: "b", Layout: glb.Layout{Centre: mesh.Vec{1e-12}}}} {
		s.blobs[s.still.Shells[0].Mesh] = fmt.Sprint(b)
		try()
	}
	n := 0
	for _, v := range []any{&s.still, &moving} {
		each(reflect.ValueOf(v).Elem(), func(v reflect.Value) {
			was := reflect.New(v.Type()).Elem()
			was.Set(v)
			if v.CanFloat() {
				v.SetFloat(v.Float() + 1e-12)
			} else {
				v.SetInt(v.Int() + 100)
			}
			try()
			v.Set(was)
			n++
		})
	}
	require.Greater(t, n, 100)
	moving[0].Shells, moving[1].Shells = moving[1].Shells, moving[0].Shells
	try()
}

// each visits all numbers below a value, and knows no other kinds but meshes.
func each(v reflect.Value, visit func(reflect.Value)) {
	switch v.Kind() {
	case reflect.Pointer:
		if v.Type() != reflect.TypeFor[*mesh.Mesh]() {
			panic(fmt.Sprint("the key shows an address: ", v.Type()))
		}
	case reflect.Slice, reflect.Array:
		for i := range v.Len() {
			each(v.Index(i), visit)
		}
	case reflect.Struct:
		for i := range v.NumField() {
			each(v.Field(i), visit)
		}
	case reflect.Float64, reflect.Int, reflect.Int32:
		visit(v)
	default:
		panic(fmt.Sprint("a kind that the key may not show: ", v.Type()))
	}
}

// What nobody sees is never taken from a context that differs, though all bounds are the
// same.
func TestEnclosureOfAnotherContextIsNotTaken(t *testing.T) {
	die := func(in *Input) *mesh.Mat {
		return &in.Structure.Occurrences[in.index(t, "die-1")].Placement
	}
	m, seen := newMemory(), map[string]bool{}
	for name, change := range map[string]func(in *Input){
		"nothing": func(in *Input) {},
		"a mesh": func(in *Input) {
			l := rod(0.01, 0.03)
			l.Bounds = in.Library["block"][0].Ladder.Bounds
			in.Library["block"][0].Ladder = l
		},
		"bounds":                func(in *Input) { in.Library["block"][0].Ladder.Bounds.Min[2] += 1e-6 },
		"a half turn":           func(in *Input) { die(in)[0], die(in)[5] = -1, -1 },
		"a place":               func(in *Input) { die(in)[12] += 1e-12 },
		"from where it is seen": func(in *Input) { in.Structure.Occurrences[in.index(t, "bolt-1")].Placement[12] = 0.2 },
		"more":                  func(in *Input) { in.Step.Roles = []step.RoleChange{{Occurrence: "bolt-1", Role: text(Context)}} },
	} {
		in := chest(0)
		change(&in)
		got := Build(m.of(in))
		require.False(t, seen[m.last["enclosed"]], name)
		seen[m.last["enclosed"]] = true
		in = chest(0)
		change(&in)
		require.True(t, same(Build(in), got), name)
	}
}

// What was not looked at, since it was known, is drawn before something new is looked at.
func TestWhatWaitsIsDrawnBeforeAnyoneLooks(t *testing.T) {
	build := func(m *memory, absent ...string) (out []*Scene) {
		in := chest(0)
		for i := range 3 { // enough context without the lid
			id := fmt.Sprint("post-", i)
			in.Plan.Structure[""] = append(in.Plan.Structure[""], occurrence("", id, "block", at(0.08, 0.03*float64(i), 0)))
			in.Present = append(in.Present, id)
		}
		in.Structure, _ = Expand(in.Plan, "")
		for _, list := range absent {
			step := m.of(in)
			step.Present = slices.DeleteFunc(slices.Clone(in.Present), func(path string) bool { return strings.Contains(list, path) })
			out = append(out, Build(step))
		}
		return out
	}
	for _, c := range []struct {
		absent   []string // step by step
		enclosed []int
	}{
		{[]string{"wall-f-1 wall-g-1", ""}, []int{0, 1}},
		{[]string{"", "wall-f-1", ""}, []int{1, 0, 1}},
		{[]string{"post-0 wall-g-1", "post-1 wall-f-1"}, []int{0, 0}}, // the second is drawn anew
	} {
		want, m := build(newMemory(), c.absent...), newMemory()
		for known := range c.absent {
			build(m, c.absent[:known]...)
			for i, got := range build(m, c.absent...) {
				require.Len(t, got.Enclosed, c.enclosed[i])
				require.True(t, same(want[i], got), "step %d of %q", i, c.absent)
			}
			m.kept = map[string][]byte{}
		}
	}
}
