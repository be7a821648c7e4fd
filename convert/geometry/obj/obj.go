// Package obj reads Wavefront OBJ files with their material files: polygons,
// objects and groups as nodes, materials as groups of a mesh, texture coordinates
// and, as many programs write them after a vertex, colours. Normals and smoothing
// are passed over; curves, free-form surfaces, lines and points are left out with a
// code.
//
// The format: Alias/Wavefront, Advanced Visualizer manual, appendix B1 (Object
// files) and B5 (material library files).
package obj

import (
	"bytes"
	"slices"
	"strings"

	"planfold/convert/diag"
	"planfold/convert/geometry/source"
	"planfold/convert/mesh"
)

// Sniff tells an OBJ file by its first statement, or by its name.
func Sniff(head []byte, name string) bool {
	if strings.HasSuffix(strings.ToLower(name), ".obj") {
		return true
	}
	if bytes.IndexByte(head, 0) >= 0 {
		return false
	}
	l := newLines(head)
	for l.next() {
		if word, _ := l.word(); len(word) > 0 {
			return slices.Contains([]string{"v", "vn", "vt", "o", "g", "s", "f", "mtllib", "usemtl"}, string(word))
		}
	}
	return false
}

// Decode reads a file. The scene is nil when the file is refused.
func Decode(f *source.File) (*mesh.Scene, diag.List, error) {
	if f.Unit <= 0 {
		return nil, diag.List{diag.GeometryUnitMissing.At(f.Start(), "OBJ carries no unit and none is declared for it")}, nil
	}
	r := reader{file: f, tree: newTree(), materials: newMaterials(), decor: decor{file: f}, splitter: splitter{work: enoughWork(len(f.Data))}}
	if r.vertices() && r.statements() {
		r.findings()
	}
	if r.err != nil {
		return nil, nil, r.err
	}
	if r.list.HasError() {
		return nil, r.list, nil
	}
	return r.tree.scene, r.list, nil
}

// reader goes through the file twice, as a face may name a vertex that follows.
type reader struct {
	lines
	file      *source.File
	list      diag.List
	err       error // the machine's
	positions []mesh.Vec
	before    int // vertices above the line, for negative indices
	tree      tree
	materials materials
	splitter  splitter
	shared    source.Corners
	decor     decor
	numbers   []int      // of the present face: its corners in positions
	textured  []int      // and in texture coordinates, plus 1; 0: none
	corners   []mesh.Vec // and where they are

	left      int // statements left out
	firstLeft diag.Position
	leftWord  string
	fans      int // polygons split as a fan for want of better
	firstFan  diag.Position
}

func (r *reader) fail(c *diag.Code, at int, format string, args ...any) bool {
	r.list.Add(c.At(r.file.Text(at), format, args...))
	return false
}

// vertices is the first pass.
func (r *reader) vertices() bool {
	r.lines = newLines(r.file.Data)
	for r.next() {
		switch word, at := r.word(); {
		case len(word) == 1 && word[0] == 'v':
			if !r.vertex(at) {
				return false
			}
			r.color()
		case len(word) == 2 && word[0] == 'v' && word[1] == 't':
			r.texCoord(at)
		}
	}
	return true
}

func (r *reader) vertex(start int) bool {
	var p mesh.Vec
	for k := range p {
		v, n := source.Prefix(r.plain())
		if !r.take(n) && !r.coordinate(&v) {
			return false
		}
		p[k] = v * r.file.Unit
	}
	if !source.Near(p) {
		return r.fail(diag.GeometryCoordinate, start, "a vertex is at %v", p)
	}
	if n := len(r.positions); n == cap(r.positions) {
		r.positions = slices.Grow(r.positions, max(1024, n)) // append would copy four times as much
	}
	r.positions = append(r.positions, p)
	return true
}

// coordinate reads any word as a number.
func (r *reader) coordinate(v *float64) bool {
	word, at := r.word()
	x, code, err := source.Coordinate(word)
	if err != nil {
		return r.fail(code, at, "a coordinate is %.40q: %v", word, err)
	}
	*v = x
	return true
}

// quiet are the statements that carry no surface or no more than a decoration of one.
var quiet = []string{
	"vn", "vp", "s", "mg", "lod", "bevel", "c_interp", "d_interp", "shadow_obj", "trace_obj", "maplib", "usemap",
	"cstype", "deg", "bmat", "step", "parm", "trim", "hole", "scrv", "sp", "end", "con", "ctech", "stech",
}

// statements is the second pass.
func (r *reader) statements() bool {
	r.lines = newLines(r.file.Data)
	if r.decor.colors != nil {
		r.decor.pad(len(r.positions))
	}
	r.shared = source.Corners{Len: len(r.positions), At: func(i int) mesh.Vec { return r.positions[i] }}
	for r.next() {
		word, at := r.word()
		switch string(word) {
		case "":
		case "v":
			r.before++
		case "vt":
			r.decor.before++
		case "f", "fo":
			if !r.face(at) {
				return false
			}
		case "o":
			r.tree.object(source.String(r.rest()))
		case "g":
			r.tree.group(source.String(r.rest()))
		case "usemtl":
			r.materials.use(source.String(r.rest()), at)
		case "mtllib":
			if r.library(at); r.err != nil {
				return false
			}
		default:
			if !slices.Contains(quiet, string(word)) {
				r.leave(at, word)
			}
		}
	}
	return true
}

func (r *reader) leave(at int, word []byte) {
	if r.left++; r.left == 1 {
		r.firstLeft, r.leftWord = r.file.Text(at), source.String(word)
	}
}

func (r *reader) face(start int) bool {
	r.corners, r.numbers, r.textured = r.corners[:0], r.numbers[:0], r.textured[:0]
	words := 0
	for ; ; words++ {
		i, texture, n := plainCorner(r.plain())
		at := r.at
		if !r.take(n) {
			var word []byte
			if word, at = r.word(); len(word) == 0 {
				break
			}
			var ok bool
			if i, ok = cornerIndex(word); !ok {
				return r.fail(diag.GeometrySyntax, at, "a corner is %.40q, not vertex/texture/normal", word)
			}
			texture = r.textureIndex(word)
			if i < 0 {
				i += r.before + 1 // -1 is the last vertex above
			}
		}
		if i < 1 || i > len(r.positions) {
			return r.fail(diag.GeometryIndex, at, "a corner is %.40q; the file has %d vertices, %d above this line", r.data[at:r.at], len(r.positions), r.before)
		}
		p := r.positions[i-1]
		if n := len(r.corners); n == 0 || r.corners[n-1] != p {
			r.corners, r.numbers = append(r.corners, p), append(r.numbers, i-1)
			r.textured = append(r.textured, r.checkTexture(texture, at))
		}
	}
	if words < 3 {
		return r.fail(diag.GeometrySyntax, start, "a face has %d corners; the least is 3", words)
	}
	for n := len(r.corners); n > 1 && r.corners[n-1] == r.corners[0]; n-- {
		r.corners = r.corners[:n-1]
	}
	r.polygon(start)
	return true
}

func (r *reader) polygon(start int) {
	part := r.tree.part()
	if len(r.corners) < 3 {
		part.welder.Degenerate++
		return
	}
	group := part.groupOf(r.materials.present)
	triangles, clean := r.splitter.split(r.corners)
	if !clean {
		if r.fans++; r.fans == 1 {
			r.firstFan = r.file.Text(start)
		}
	}
	w := &part.welder
	for _, t := range triangles {
		stays := w.Triangle(r.shared.Vertex(w, r.numbers[t[0]]), r.shared.Vertex(w, r.numbers[t[1]]), r.shared.Vertex(w, r.numbers[t[2]]), group)
		if stays && r.decor.any() {
			r.attach(w, t)
		}
	}
}

// plainCorner reads a corner of digits and slashes, and says how many bytes it
// takes; 0 for what cornerIndex must look at. The texture is 0 where it has none, -1
// where it refers to nothing: numbers begin at 1.
func plainCorner(b []byte) (vertex, texture, length int) {
	vertex, length = plainIndex(b)
	if length == 0 || length == len(b) || b[length] != '/' {
		return vertex, 0, length
	}
	texture, n := plainIndex(b[length+1:])
	if n > 0 && texture == 0 {
		texture = -1
	}
	length += 1 + n
	if length < len(b) && b[length] == '/' {
		_, n = plainIndex(b[length+1:])
		length += 1 + n
	}
	return vertex, texture, length
}

// plainIndex reads some digits and says how many.
func plainIndex(b []byte) (n, length int) {
	for length < len(b) && length < 10 && b[length]-'0' <= 9 {
		n = 10*n + int(b[length]-'0')
		length++
	}
	return n, length
}

// cornerIndex is the vertex index of "v", "v/vt", "v//vn" or "v/vt/vn".
func cornerIndex(word []byte) (int, bool) {
	digits, _, more := bytes.Cut(word, []byte("/"))
	if more && bytes.ContainsFunc(word[len(digits):], func(c rune) bool { return c != '/' && c != '-' && (c < '0' || c > '9') }) {
		return 0, false
	}
	negative := len(digits) > 0 && digits[0] == '-'
	if negative {
		digits = digits[1:]
	}
	n := 0
	for _, c := range digits {
		if c < '0' || c > '9' {
			return 0, false
		}
		n = min(10*n+int(c-'0'), 1<<40) // far out of range, whatever follows
	}
	if negative {
		n = -n
	}
	return n, len(digits) > 0
}

// findings closes the scene and sums up what was met on the way.
func (r *reader) findings() {
	scene := r.tree.scene
	var undefined diag.List
	scene.Materials, undefined = r.materials.looked(r.file)
	r.list.Add(undefined...)
	if r.left > 0 {
		r.list.Add(diag.GeometryUnsupported.At(r.firstLeft, "statements other than polygons: %d, the first %.40q", r.left, r.leftWord))
	}
	if r.fans > 0 {
		r.list.Add(diag.GeometryPolygon.At(r.firstFan, "polygons that cross themselves or are twisted: %d, the first here", r.fans))
	}
	r.list.Add(r.decor.found()...)
	degenerate, duplicate := r.tree.close()
	r.list.Add(r.file.Removed(degenerate, duplicate)...)
	if len(scene.Meshes) == 0 {
		r.list.Add(r.file.Empty())
	}
}
