package glb

import (
	"slices"

	"planfold/convert/mesh"
)

// Track moves one node, which must have no matrix. Translations and Rotations have
// one value a time, or none at all. Times rise; between them translations move on
// straight lines and rotations on the shortest arc.
type Track struct {
	Node         int
	Times        []float64 // seconds, in the units of the clip
	Translations []mesh.Vec
	Rotations    []Quat
}

// Animate adds an animation. Its keyframes go to a buffer of their own: store is
// given the bytes and returns their URI. So the document stays text of a few lines
// that can be compared, and keyframes are stored as geometry is: raw, by content,
// once for all documents that move things the same way.
func (d *Document) Animate(name string, tracks []Track, store func([]byte) string) {
	k := keyframes{view: len(d.wire.BufferViews)}
	a := wireAnimation{Name: name}
	for _, t := range tracks {
		input := k.input(d, t.Times)
		if t.Translations != nil {
			a.add(t.Node, "translation", input, k.output(d, "VEC3", len(t.Translations), func(i int) []float64 { return t.Translations[i][:] }))
		}
		if t.Rotations != nil {
			a.add(t.Node, "rotation", input, k.output(d, "VEC4", len(t.Rotations), func(i int) []float64 { return t.Rotations[i][:] }))
		}
	}
	if len(a.Channels) == 0 {
		return
	}
	d.wire.Animations = append(d.wire.Animations, a)
	size := int64(len(k.data))
	d.wire.BufferViews = append(d.wire.BufferViews, wireBufferView{Buffer: len(d.wire.Buffers), ByteLength: size})
	d.wire.Buffers = append(d.wire.Buffers, wireBuffer{URI: store(k.data), ByteLength: size})
}

func (a *wireAnimation) add(node int, path string, input, output int) {
	a.Channels = append(a.Channels, wireChannel{Sampler: len(a.Samplers), Target: wireTarget{node, path}})
	a.Samplers = append(a.Samplers, wireSampler{Input: input, Interpolation: "LINEAR", Output: output})
}

// keyframes collects the numbers of one animation for one buffer view.
type keyframes struct {
	data  []byte
	view  int
	times []timeline
}

type timeline struct {
	times    []float64
	accessor int
}

// input adds an accessor of times unless one with the same times is there.
func (k *keyframes) input(d *Document, times []float64) int {
	for _, t := range k.times {
		if slices.Equal(t.times, times) {
			return t.accessor
		}
	}
	i := len(d.wire.Accessors)
	first, last := single(times[0]), single(times[len(times)-1])
	d.wire.Accessors = append(d.wire.Accessors, wireAccessor{
		BufferView: k.view, ByteOffset: int64(len(k.data)), ComponentType: typeFloat32,
		Count: len(times), Type: "SCALAR", Min: []float32{first}, Max: []float32{last},
	})
	for _, t := range times {
		k.data = appendFloat(k.data, single(t))
	}
	k.times = append(k.times, timeline{times, i})
	return i
}

// output adds an accessor of values, one row a key.
func (k *keyframes) output(d *Document, kind string, keys int, row func(int) []float64) int {
	d.wire.Accessors = append(d.wire.Accessors, wireAccessor{
		BufferView: k.view, ByteOffset: int64(len(k.data)), ComponentType: typeFloat32, Count: keys, Type: kind,
	})
	for i := range keys {
		for _, x := range row(i) {
			k.data = appendFloat(k.data, single(x))
		}
	}
	return len(d.wire.Accessors) - 1
}
