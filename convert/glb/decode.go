package glb

import (
	"encoding/binary"
	"errors"
	"math"

	"planfold/convert/glb/meshopt"
	"planfold/convert/mesh"
)

// Decode gives back the triangles of a buffer that EncodeMesh or CompressMesh made, in
// the frame of the mesh and where a device has them, with their groups. Vertices that
// were split at creases are one again; normals and attributes are left out. The error
// says that the bytes are not those of the layout.
func (l Layout) Decode(b []byte) (*mesh.Mesh, error) {
	if int64(len(b)) != l.Bytes {
		return nil, errors.New("the buffer is not as long as its layout says")
	}
	positions, corners, err := l.parts(b)
	if err != nil {
		return nil, err
	}
	var w mesh.Welder
	w.Expect(len(corners) / 3)
	vertex := make([]int32, l.Vertices)
	for i := range vertex {
		vertex[i] = w.Vertex(l.position(positions, i))
	}
	for _, p := range l.Primitives {
		for i := p.First; i < p.First+p.Count; i += 3 {
			c := corners[i : i+3]
			w.Triangle(vertex[c[0]], vertex[c[1]], vertex[c[2]], int32(p.Group))
		}
	}
	if m := w.Mesh(); m != nil {
		return m, nil
	}
	return &mesh.Mesh{}, nil
}

// parts are the stream of positions, unpacked, and the corners of all triangles.
func (l Layout) parts(b []byte) (positions []byte, corners []uint32, err error) {
	last := 0
	for _, p := range l.Primitives {
		last = max(last, p.First+p.Count)
	}
	if l.Packed != nil && last > 0 {
		from := l.Bytes - l.Packed[len(l.Packed)-1]
		if positions, err = meshopt.UnpackAttributes(b[:l.Packed[0]], l.Vertices, l.streams()[0].stride); err == nil {
			corners, err = meshopt.UnpackTriangles(b[from:], last)
		}
	} else {
		positions, corners = b, l.plainCorners(b, last)
	}
	for _, c := range corners {
		if int(c) >= l.Vertices {
			return nil, nil, errors.New("a triangle of the buffer has a vertex that is not there")
		}
	}
	return positions, corners, err
}

func (l Layout) plainCorners(b []byte, n int) []uint32 {
	for _, s := range l.streams() {
		b = b[s.stride*l.Vertices:]
	}
	corners := make([]uint32, n)
	for i := range corners {
		if l.Wide {
			corners[i] = binary.LittleEndian.Uint32(b[4*i:])
		} else {
			corners[i] = uint32(binary.LittleEndian.Uint16(b[2*i:]))
		}
	}
	return corners
}

// position of a vertex in the frame of the mesh.
func (l Layout) position(stream []byte, i int) (v mesh.Vec) {
	for k := range v {
		if l.Step > 0 {
			v[k] = l.Centre[k] + float64(float64(int16(binary.LittleEndian.Uint16(stream[8*i+2*k:])))*l.Step)
		} else {
			v[k] = l.Centre[k] + float64(math.Float32frombits(binary.LittleEndian.Uint32(stream[12*i+4*k:])))
		}
	}
	return v
}
