package convert

import (
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"hash"
	"math"

	"planfold/convert/mesh"
)

// model is a mesh as a ladder is made of it.
type model struct {
	mesh   *mesh.Mesh
	centre mesh.Vec // what positions are stored about
}

// digest identifies a model by its content.
func (o model) digest() string {
	m, d := o.mesh, digester{hash: sha256.New()}
	for _, n := range []int{len(m.Positions), len(m.Triangles), len(m.Group), len(m.Fixed), len(m.Wedges), len(m.Colors), len(m.TexCoords)} {
		d.number(uint64(n))
	}
	d.vector(o.centre)
	for _, p := range m.Positions {
		d.vector(p)
	}
	for _, list := range [][][3]int32{m.Triangles, m.Wedges} {
		for _, t := range list {
			d.half(uint32(t[0]))
			d.half(uint32(t[1]))
			d.half(uint32(t[2]))
		}
	}
	for _, g := range m.Group {
		d.half(uint32(g))
	}
	for v, fixed := range m.Fixed {
		if fixed {
			d.half(uint32(v))
		}
	}
	for i := range m.Colors {
		d.floats(m.Colors[i][:])
	}
	for i := range m.TexCoords {
		d.floats(m.TexCoords[i][:])
	}
	d.flush()
	return hex.EncodeToString(d.hash.Sum(nil))
}

// digester hashes numbers, little-endian, some thousands at a time.
type digester struct {
	hash hash.Hash
	b    []byte
}

func (d *digester) number(x uint64) {
	d.b = binary.LittleEndian.AppendUint64(d.b, x)
	d.full()
}

func (d *digester) vector(v mesh.Vec) {
	for _, x := range v {
		d.number(math.Float64bits(x))
	}
}

func (d *digester) half(x uint32) {
	d.b = binary.LittleEndian.AppendUint32(d.b, x)
	d.full()
}

func (d *digester) floats(list []float32) {
	for _, x := range list {
		d.half(math.Float32bits(x))
	}
}

func (d *digester) full() {
	if len(d.b) >= 1<<14 {
		d.flush()
	}
}

func (d *digester) flush() {
	d.hash.Write(d.b)
	d.b = d.b[:0]
}
