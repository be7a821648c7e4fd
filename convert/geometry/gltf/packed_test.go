package gltf

import (
	"encoding/base64"
	"encoding/binary"
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"planfold/convert/glb/meshopt"
	"planfold/convert/mesh"
	"planfold/testdata/solid"
)

// squeezed is the tetrahedron on a grid of hundredths, compressed. Members given
// replace others of its views' extension objects.
func squeezed(positions, triangles map[string]string) string {
	var shorts []byte
	for _, v := range [4][3]int16{{0, 0, 0}, {100, 0, 0}, {0, 100, 0}, {0, 0, 100}} {
		for _, x := range v {
			shorts = binary.LittleEndian.AppendUint16(shorts, uint16(x))
		}
		shorts = append(shorts, 0, 0)
	}
	a := meshopt.PackAttributes(shorts, 8)
	b := meshopt.PackTriangles([]uint32{0, 2, 1, 0, 1, 3, 0, 3, 2, 1, 2, 3})
	object := func(offset, length, stride, count int, mode string, changed map[string]string) string {
		members := map[string]string{
			"buffer": "1", "byteOffset": fmt.Sprint(offset), "byteLength": fmt.Sprint(length), "byteStride": fmt.Sprint(stride),
			"count": fmt.Sprint(count), "mode": `"` + mode + `"`,
		}
		for k, v := range changed {
			members[k] = v
		}
		var list []string
		for k, v := range members {
			list = append(list, fmt.Sprintf("%q: %s", k, v))
		}
		return `{"EXT_meshopt_compression": {` + strings.Join(list, ", ") + "}}"
	}
	return document(nil, "extensionsUsed", `["EXT_meshopt_compression", "KHR_mesh_quantization"]`,
		"extensionsRequired", `["EXT_meshopt_compression", "KHR_mesh_quantization"]`,
		"nodes", `[{"name": "tetra", "mesh": 0, "scale": [0.01, 0.01, 0.01]}]`,
		"accessors", `[{"bufferView": 0, "componentType": 5122, "type": "VEC3", "count": 4}, {"bufferView": 1, "componentType": 5123, "type": "SCALAR", "count": 12}]`,
		"bufferViews", fmt.Sprintf(`[{"buffer": 0, "byteLength": 32, "byteStride": 8, "extensions": %s}, {"buffer": 0, "byteOffset": 32, "byteLength": 24, "extensions": %s}]`,
			object(0, len(a), 8, 4, "ATTRIBUTES", positions), object(len(a), len(b), 2, 12, "TRIANGLES", triangles)),
		"buffers", fmt.Sprintf(`[{"byteLength": 56, "extensions": {"EXT_meshopt_compression": {"fallback": true}}}, {"byteLength": %d, "uri": "data:application/octet-stream;base64,%s"}]`,
			len(a)+len(b), base64.StdEncoding.EncodeToString(append(a, b...))))
}

func TestCompressedViewsAreRead(t *testing.T) {
	s, list := decode(t, squeezed(nil, nil))
	require.NotNil(t, s, list)
	require.Empty(t, list)
	plain, _ := decode(t, document(tetra()))
	bounds := func(s *mesh.Scene) mesh.Box {
		i := solid.Instances(s)[0]
		return s.Meshes[i.Mesh].Bounds().Transform(i.Transform)
	}
	require.Less(t, bounds(s).Max.Distance(bounds(plain).Max), 1e-12)
	require.Len(t, s.Meshes[0].Triangles, 4)
	for _, tri := range s.Meshes[0].Triangles { // all wound to look away from the middle
		a, b, c := s.Meshes[0].Positions[tri[0]], s.Meshes[0].Positions[tri[1]], s.Meshes[0].Positions[tri[2]]
		require.Positive(t, b.Sub(a).Cross(c.Sub(a)).Dot(a.Sub(mesh.Vec{10, 10, 10})))
	}
}

func TestExponentialPositionsAreRead(t *testing.T) {
	number := func(mantissa, exponent int32) []byte {
		return binary.LittleEndian.AppendUint32(nil, uint32(exponent<<24|mantissa&0xffffff))
	}
	b := append(append(number(3, -1), number(-1, 0)...), number(5, -2)...)
	require.True(t, meshopt.Unfilter("EXPONENTIAL", b, 12))
	require.Equal(t, mesh.Vec{1.5, -1, 1.25}, position(b, floatType, false))
}

func TestDamagedCompressedViewsAreRefused(t *testing.T) {
	for _, c := range []struct{ key, value, code, message string }{
		{"byteLength", "9", "GLTF_BUFFER", "ends too early"},
		{"byteLength", "1000", "GLTF_ACCESSOR", "ends at byte 1000"},
		{"byteOffset", "1", "GLTF_BUFFER", "does not begin"},
		{"count", "5", "GLTF_ACCESSOR", "5 elements of 8 bytes do not make the view's 32"},
		{"byteStride", "16", "GLTF_ACCESSOR", "do not make"},
		{"buffer", "2", "GLTF_REFERENCE", ""},
		{"buffer", "0", "GLTF_BUFFER", "no bytes of its own"},
		{"mode", `"TRIANGLES"`, "GLTF_BUFFER", "damaged"},
		{"mode", `"POINTS"`, "GLTF_EXTENSION", "POINTS"},
		{"filter", `"QUATERNION"`, "GLTF_EXTENSION", "QUATERNION"},
	} {
		s, list := decode(t, squeezed(map[string]string{c.key: c.value}, nil))
		assert.Nil(t, s, "%v", c)
		if assert.NotEmpty(t, list, "%v", c) {
			assert.Equal(t, c.code, list[len(list)-1].Code, "%v: %v", c, list)
			assert.Contains(t, list[len(list)-1].String(), c.message)
		}
	}
	refused(t, squeezed(nil, map[string]string{"byteLength": "20"}), "GLTF_BUFFER", "damaged")
}
