package obj

import (
	"bytes"

	"planfold/convert/diag"
	"planfold/convert/geometry/source"
	"planfold/convert/mesh"
)

// decor is what a surface carries beside its shape: texture coordinates, and
// colours of vertices, which the format does not know but many programs write as
// three more numbers of a vertex. They are taken as screen colours (sRGB), like
// those of materials. What is malformed counts as none.
type decor struct {
	texCoords [][2]float32
	colors    [][4]float32 // by vertex, as far as any has one
	before    int          // texture coordinates above the line, for negative indices
	bad       int
	badAt     int // the first
	file      *source.File

	screen [3]float64 // the colour converted last
	linear [4]float32
}

func (d *decor) any() bool { return d.texCoords != nil || d.colors != nil }

func (d *decor) fault(at int) {
	if d.bad++; d.bad == 1 {
		d.badAt = at
	}
}

func (d *decor) found() (list diag.List) {
	if d.bad > 0 {
		list.Add(diag.GeometryAttribute.At(d.file.Text(d.badAt), "malformed texture coordinates, references to them or vertex colours: %d, the first here", d.bad))
	}
	return list
}

// pad gives vertices that have no colour a plain one, up to n.
func (d *decor) pad(n int) {
	for len(d.colors) < n {
		d.colors = append(d.colors, mesh.Plain.Color)
	}
}

// texCoord reads "vt u v w", of which v and w may be left out. OBJ has v up, glTF down.
func (r *reader) texCoord(start int) {
	var t [2]float64
	bad := false
	for k := range t {
		v, n := source.Prefix(r.plain())
		if !r.take(n) {
			word, _ := r.word()
			if len(word) == 0 && k > 0 {
				break
			}
			var err error
			v, err = source.Number(word)
			bad = bad || err != nil
		}
		t[k] = v
	}
	if bad || !source.Near(mesh.Vec{t[0], t[1], 0}) {
		r.decor.fault(start)
		t = [2]float64{}
	}
	r.decor.texCoords = append(r.decor.texCoords, [2]float32{float32(t[0]) + 0, float32(1 - t[1])})
}

// color reads what follows the place of a vertex: a colour where it is three numbers.
func (r *reader) color() {
	var c [3]float64
	start, count, bad := 0, 0, false
	for ; ; count++ {
		v, n := source.Prefix(r.plain())
		at := r.at
		if !r.take(n) {
			word, _ := r.word()
			if len(word) == 0 {
				break
			}
			var err error
			v, err = source.Number(word)
			bad = bad || err != nil
		}
		if count == 0 {
			start = at
		}
		if count < len(c) {
			c[count] = v
		}
	}
	switch {
	case count == 0 || count == 1 && !bad: // a weight
	case bad || count != len(c) || min(c[0], c[1], c[2]) < 0 || max(c[0], c[1], c[2]) > 1:
		r.decor.fault(start)
	default:
		r.decor.pad(len(r.positions) - 1)
		r.decor.colors = append(r.decor.colors, r.decor.linearOf(c))
	}
}

func (d *decor) linearOf(c [3]float64) [4]float32 {
	if c != d.screen || d.linear[3] == 0 {
		d.screen = c
		d.linear = [4]float32{float32(mesh.Linear(c[0])), float32(mesh.Linear(c[1])), float32(mesh.Linear(c[2])), 1}
	}
	return d.linear
}

// textureIndex is the second index of a corner that is not all digits; 0 for none.
func (r *reader) textureIndex(word []byte) int {
	_, rest, _ := bytes.Cut(word, []byte("/"))
	rest, _, _ = bytes.Cut(rest, []byte("/"))
	n, ok := cornerIndex(rest)
	switch {
	case len(rest) == 0:
		return 0
	case !ok || n == 0 || n < 0 && n+r.decor.before < 0:
		return -1 // refers to nothing
	case n < 0:
		return n + r.decor.before + 1
	}
	return n
}

// checkTexture is the index if it is there, else 0.
func (r *reader) checkTexture(n, at int) int {
	if n < 0 || n > len(r.decor.texCoords) {
		r.decor.fault(at)
		return 0
	}
	return n
}

// attach gives the triangle of three of the face's corners their attributes.
func (r *reader) attach(w *mesh.Welder, corners [3]int) {
	a := [3]mesh.Attributes{mesh.Plain, mesh.Plain, mesh.Plain}
	textured := false
	for k, c := range corners {
		if r.decor.colors != nil {
			a[k].Color = r.decor.colors[r.numbers[c]]
		}
		if t := r.textured[c]; t > 0 {
			a[k].TexCoord = r.decor.texCoords[t-1]
			textured = true
		}
	}
	w.Attach(&a, r.decor.colors != nil, textured)
}
