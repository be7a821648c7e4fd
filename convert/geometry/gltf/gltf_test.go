package gltf

import (
	"bytes"
	"encoding/base64"
	"encoding/binary"
	"encoding/json"
	"fmt"
	"math"
	"strings"
	"testing"
	"testing/fstest"

	third "github.com/qmuntal/gltf"
	"github.com/qmuntal/gltf/modeler"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"planfold/convert/diag"
	"planfold/convert/geometry/source"
	"planfold/convert/mesh"
	"planfold/testdata/solid"
)

// tetra is four corners as float32 and, from byte 48, twelve indices of 16 bits.
func tetra() []byte {
	b := pack(binary.LittleEndian, []float32{0, 0, 0, 1, 0, 0, 0, 1, 0, 0, 0, 1})
	return append(b, pack(binary.LittleEndian, []uint16{0, 2, 1, 0, 1, 3, 0, 3, 2, 1, 2, 3})...)
}

func pack(order binary.ByteOrder, v any) []byte {
	var b bytes.Buffer
	if err := binary.Write(&b, order, v); err != nil {
		panic(err)
	}
	return b.Bytes()
}

func dataURI(b []byte) string {
	return "data:application/octet-stream;base64," + base64.StdEncoding.EncodeToString(b)
}

// document is the tetrahedron with members replaced or added: alternately a
// name and JSON.
func document(bin []byte, members ...string) string {
	all := map[string]string{
		"asset":       `{"version": "2.0"}`,
		"nodes":       `[{"name": "tetra", "mesh": 0}]`,
		"meshes":      `[{"primitives": [{"attributes": {"POSITION": 0}, "indices": 1}]}]`,
		"accessors":   `[{"bufferView": 0, "componentType": 5126, "type": "VEC3", "count": 4}, {"bufferView": 1, "componentType": 5123, "type": "SCALAR", "count": 12}]`,
		"bufferViews": `[{"buffer": 0, "byteLength": 48}, {"buffer": 0, "byteOffset": 48, "byteLength": 24}]`,
		"buffers":     fmt.Sprintf(`[{"byteLength": %d, "uri": %q}]`, len(bin), dataURI(bin)),
	}
	names := []string{"asset", "nodes", "meshes", "accessors", "bufferViews", "buffers"}
	for i := 0; i < len(members); i += 2 {
		if all[members[i]] == "" {
			names = append(names, members[i])
		}
		all[members[i]] = members[i+1]
	}
	var b strings.Builder
	for i, n := range names {
		fmt.Fprintf(&b, "%s%q: %s\n", map[bool]string{true: "{", false: ", "}[i == 0], n, all[n])
	}
	return b.String() + "}"
}

// glb packs chunks; each is its type and its bytes.
func glb(text string, bin []byte) []byte {
	for len(text)%4 != 0 {
		text += " "
	}
	b := append([]byte(magic), 2, 0, 0, 0)
	b = binary.LittleEndian.AppendUint32(b, uint32(20+len(text)+8+len(bin)))
	b = binary.LittleEndian.AppendUint32(b, uint32(len(text)))
	b = append(append(b, "JSON"...), text...)
	b = binary.LittleEndian.AppendUint32(b, uint32(len(bin)))
	return append(append(b, "BIN\x00"...), bin...)
}

func decodeIn(t testing.TB, files fstest.MapFS, text string) (*mesh.Scene, diag.List) {
	t.Helper()
	s, list, err := Decode(&source.File{FS: files, Name: "parts/a.gltf", Data: []byte(text), Up: 'Y'})
	require.NoError(t, err)
	return s, list
}

func decode(t testing.TB, text string) (*mesh.Scene, diag.List) {
	t.Helper()
	return decodeIn(t, fstest.MapFS{}, text)
}

func codes(list diag.List) string {
	var out []string
	for _, d := range list {
		out = append(out, d.Code)
	}
	return strings.Join(out, " ")
}

func refused(t *testing.T, text, code, message string) {
	t.Helper()
	s, list := decode(t, text)
	assert.Nil(t, s, text)
	if assert.NotEmpty(t, list, text) {
		last := list[len(list)-1]
		assert.Equal(t, code, last.Code, "%v", list)
		assert.Contains(t, last.String(), message)
	}
}

func TestDecodeTetrahedron(t *testing.T) {
	want := &mesh.Mesh{
		Positions: []mesh.Vec{{0, 0, 0}, {0, 1, 0}, {1, 0, 0}, {0, 0, 1}},
		Triangles: [][3]int32{{0, 1, 2}, {0, 2, 3}, {0, 3, 1}, {2, 1, 3}},
	}
	s, list := decode(t, document(tetra()))
	require.NotNil(t, s, list)
	assert.Empty(t, list)
	assert.Equal(t, []*mesh.Mesh{want}, s.Meshes)
	assert.Equal(t, []mesh.Node{{Name: "tetra", Transform: mesh.Identity(), Mesh: 0, Materials: []int{-1}}}, s.Nodes)

	bin := tetra()
	for name, text := range map[string]string{
		"a.bin":         `"a.bin"`,
		"parts/a b.bin": `"a%20b.bin"`,
		"other/ä.bin":   `"../other/%C3%A4.bin"`,
		"parts/x/a.bin": `"x\\a.bin"`,
	} {
		if !strings.Contains(name, "/") {
			name = "parts/" + name
		}
		s, list = decodeIn(t, fstest.MapFS{name: {Data: append(bin, "more than declared"...)}},
			document(bin, "buffers", `[{"byteLength": 72, "uri": `+text+`}]`))
		require.NotNil(t, s, "%s: %v", text, list)
		assert.Equal(t, want, s.Meshes[0])
	}
	packed := glb(document(bin, "buffers", `[{"byteLength": 72}]`), bin)
	s, list = decode(t, string(packed))
	require.NotNil(t, s, list)
	assert.Equal(t, want, s.Meshes[0])
	s, list = decode(t, string(packed)+"tail")
	require.NotNil(t, s)
	assert.Equal(t, "GEOMETRY_TRAILING", codes(list))
}

func TestUpAxis(t *testing.T) {
	text := document(tetra(), "nodes", `[{"mesh": 0, "translation": [1, 2, 3]}]`)
	for up, want := range map[byte][2]mesh.Vec{ // where the file's up and front (+Z) go
		'Y': {{0, 1, 0}, {0, 0, 1}}, 'Z': {{0, 0, 1}, {0, -1, 0}}, 'X': {{1, 0, 0}, {0, 0, 1}}, 0: {{0, 0, 1}, {0, -1, 0}},
	} {
		s, _, err := Decode(&source.File{Name: "a.gltf", Data: []byte(text), Up: up})
		require.NoError(t, err)
		m := solid.Instances(s)[0].Transform
		assert.Equal(t, want[0], m.Direction(mesh.Vec{0, 1, 0}), "%c", up)
		assert.Equal(t, want[1], m.Direction(mesh.Vec{0, 0, 1}), "%c", up)
		assert.Equal(t, 1.0, m.Determinant(), "a turn, no mirror")
		assert.InDelta(t, math.Sqrt(14), m.Point(mesh.Vec{}).Length(), 1e-15)
	}
	_, _, err := Decode(&source.File{Name: "a.gltf", Data: []byte(text), Up: 'W'})
	assert.ErrorContains(t, err, "up axis")
}

func TestPrimitiveModes(t *testing.T) {
	corners := pack(binary.LittleEndian, []float32{0, 0, 0, 1, 0, 0, 0, 1, 0, 1, 1, 0, 0, 2, 0})
	for mode, want := range map[int][][3]int32{
		4: {{0, 1, 2}},
		5: {{0, 1, 2}, {1, 3, 2}, {2, 3, 4}}, // figure in clause 3.7.2.1: all on one side
		6: {{0, 1, 2}, {1, 3, 2}, {3, 4, 2}},
	} {
		s, list := decode(t, document(corners,
			"meshes", fmt.Sprintf(`[{"primitives": [{"attributes": {"POSITION": 0}, "mode": %d}]}]`, mode),
			"accessors", `[{"bufferView": 0, "componentType": 5126, "type": "VEC3", "count": 5}]`,
			"bufferViews", `[{"buffer": 0, "byteLength": 60}]`))
		require.NotNil(t, s, list)
		assert.Equal(t, map[int]string{4: "GLTF_PRIMITIVE"}[mode], codes(list), "5 corners are no whole triangles")
		if mode == 6 {
			assert.Equal(t, []mesh.Vec{{1, 0, 0}, {0, 1, 0}, {0, 0, 0}, {1, 1, 0}, {0, 2, 0}}, s.Meshes[0].Positions)
		}
		assert.Equal(t, want, s.Meshes[0].Triangles, "mode %d", mode)
	}
}

func TestIndexTypesAndStride(t *testing.T) {
	want, _ := decode(t, document(tetra()))
	indices := []uint16{0, 2, 1, 0, 1, 3, 0, 3, 2, 1, 2, 3}
	var corners []byte // 24 bytes a corner: position and something else
	for i := range 4 {
		corners = append(append(corners, tetra()[12*i:12*i+12]...), "------------"...)
	}
	narrow, wide := []byte{}, []byte{}
	for _, n := range indices {
		narrow = append(narrow, byte(n))
		wide = binary.LittleEndian.AppendUint32(wide, uint32(n))
	}
	for component, b := range map[int][]byte{5121: narrow, 5123: pack(binary.LittleEndian, indices), 5125: wide} {
		s, list := decode(t, document(append(corners, b...),
			"accessors", fmt.Sprintf(`[{"bufferView": 0, "componentType": 5126, "type": "VEC3", "count": 4}, {"bufferView": 1, "componentType": %d, "type": "SCALAR", "count": 12}]`, component),
			"bufferViews", fmt.Sprintf(`[{"buffer": 0, "byteLength": 96, "byteStride": 24}, {"buffer": 0, "byteOffset": 96, "byteLength": %d}]`, len(b))))
		require.NotNil(t, s, list)
		assert.Equal(t, want.Meshes, s.Meshes, component)
	}
}

func TestSparse(t *testing.T) {
	// Zeros, of which corners 1, 2 and 3 are given; and indices of which the last three are.
	bin := append(pack(binary.LittleEndian, []float32{1, 0, 0, 0, 1, 0, 0, 0, 1}), 1, 2, 3, 0)
	bin = append(bin, pack(binary.LittleEndian, []uint16{0, 2, 1, 0, 0, 0, 3, 4, 5, 1, 2, 3})...)
	s, list := decode(t, document(bin,
		"bufferViews", `[{"buffer": 0, "byteLength": 36}, {"buffer": 0, "byteOffset": 36, "byteLength": 3}, {"buffer": 0, "byteOffset": 40, "byteLength": 24}]`,
		"accessors", `[
			{"componentType": 5126, "type": "VEC3", "count": 4, "sparse": {"count": 3, "indices": {"bufferView": 1, "componentType": 5121}, "values": {"bufferView": 0}}},
			{"componentType": 5123, "type": "SCALAR", "count": 6, "bufferView": 2, "sparse":
				{"count": 3, "indices": {"bufferView": 2, "byteOffset": 12, "componentType": 5123}, "values": {"bufferView": 2, "byteOffset": 18}}}]`))
	require.NotNil(t, s, list)
	assert.Equal(t, []mesh.Vec{{0, 0, 0}, {0, 1, 0}, {1, 0, 0}, {0, 0, 1}}, s.Meshes[0].Positions)
	assert.Equal(t, [][3]int32{{0, 1, 2}, {2, 1, 3}}, s.Meshes[0].Triangles)

	falling := bytes.Clone(bin)
	falling[37] = 1
	text := `[{"componentType": 5126, "type": "VEC3", "count": 4, "sparse": {"count": 3, "indices": {"bufferView": 1, "componentType": 5121}, "values": {"bufferView": 0}}}]`
	views := `[{"buffer": 0, "byteLength": 36}, {"buffer": 0, "byteOffset": 36, "byteLength": 3}]`
	plain := `[{"primitives": [{"attributes": {"POSITION": 0}}]}]`
	refused(t, document(falling, "accessors", text, "bufferViews", views, "meshes", plain), "GLTF_ACCESSOR", "sparse index 1 follows 1")
	refused(t, document(bin, "accessors", strings.Replace(text, `"count": 4`, `"count": 3`, 1), "bufferViews", views, "meshes", plain), "GLTF_ACCESSOR", "sparse index 3 follows 2")
	refused(t, document(bin, "accessors", strings.Replace(text, `"count": 3`, `"count": 5`, 1), "bufferViews", views, "meshes", plain), "GLTF_VALUE", "/accessors/0/sparse/count: 5 is not")
}

// Expected values by the equations of clause 3.11 (accessor data types) and of
// KHR_mesh_quantization: c / 127, c / 255, c / 32767, c / 65535, at least -1.
func TestQuantizedPositions(t *testing.T) {
	for _, c := range []struct {
		component  int
		normalized bool
		corners    any
		first      mesh.Vec
	}{
		{5120, false, []int8{-128, 127, 3, 0, 9, 0, 0, 0, 0, 5, 0, 0}, mesh.Vec{-128, 127, 3}},
		{5120, true, []int8{-128, 127, 3, 0, 9, 0, 0, 0, 0, 5, 0, 0}, mesh.Vec{-1, 1, 3. / 127}},
		{5121, true, []uint8{255, 51, 0, 0, 9, 0, 0, 0, 0, 5, 0, 0}, mesh.Vec{1, 0.2, 0}},
		{5122, false, []int16{-32768, 1, 2, 0, 9, 0, 0, 0, 0, 5, 0, 0}, mesh.Vec{-32768, 1, 2}},
		{5122, true, []int16{-32768, 32767, 1, 0, 9, 0, 0, 0, 0, 5, 0, 0}, mesh.Vec{-1, 1, 1. / 32767}},
		{5123, true, []uint16{65535, 13107, 0, 0, 9, 0, 0, 0, 0, 5, 0, 0}, mesh.Vec{1, 0.2, 0}},
	} {
		b := pack(binary.LittleEndian, c.corners)
		members := []string{
			"meshes", `[{"primitives": [{"attributes": {"POSITION": 0}}]}]`,
			"accessors", fmt.Sprintf(`[{"bufferView": 0, "componentType": %d, "normalized": %v, "type": "VEC3", "count": 3}]`, c.component, c.normalized),
			"bufferViews", fmt.Sprintf(`[{"buffer": 0, "byteLength": %d, "byteStride": %d}]`, len(b), len(b)/3),
			"extensionsUsed", `["KHR_mesh_quantization"]`, "extensionsRequired", `["KHR_mesh_quantization"]`,
		}
		s, list := decode(t, document(b, members...))
		require.NotNil(t, s, list)
		assert.Equal(t, c.first, s.Meshes[0].Positions[0])
		refused(t, document(b, members[:len(members)-4]...), "GLTF_ACCESSOR", "/meshes/0/primitives/0/attributes/POSITION: positions are VEC3 of component type")
	}
}

func TestTransforms(t *testing.T) {
	half := math.Sqrt(0.5)
	for node, want := range map[string]mesh.Vec{ // where 1 2 3 goes
		`"matrix": [0,1,0,0, -1,0,0,0, 0,0,1,0, 10,20,30,1]`:                                  {8, 21, 33},
		`"translation": [10, 20, 30]`:                                                         {11, 22, 33},
		`"scale": [2, 3, -4]`:                                                                 {2, 6, -12},
		fmt.Sprintf(`"rotation": [0, 0, %v, %v]`, half, half):                                 {-2, 1, 3},
		fmt.Sprintf(`"rotation": [%v, 0, 0, %v], "scale": [1, 1, 2]`, half, half):             {1, -6, 2},
		fmt.Sprintf(`"rotation": [0, %v, 0, %v], "translation": [1, 0, 0]`, half*1.004, half): {4, 2, -1},
		`"rotation": [0.5, 0.5, 0.5, 0.5]`:                                                    {3, 1, 2},
	} {
		s, list := decode(t, document(tetra(), "nodes", `[{"mesh": 0, `+node+`}]`))
		require.NotNil(t, s, list)
		got := s.Nodes[0].Transform.Point(mesh.Vec{1, 2, 3})
		assert.InDelta(t, 0, got.Distance(want), 0.02, "%s: %v", node, got)
		if !strings.Contains(node, "0.70993") {
			assert.InDelta(t, 0, got.Distance(want), 1e-12, "%s: %v", node, got)
		}
	}
	for node, message := range map[string]string{
		`"matrix": [1,0,0,0, 0,1,0,0, 0,0,1,0, 0,0,0,1], "scale": [1,1,1]`: "/nodes/0/matrix: the node has a matrix and",
		`"matrix": [1,0,0,1, 0,1,0,0, 0,0,1,0, 0,0,0,1]`:                   "the last row",
		`"matrix": [1,0,0]`:            "3 numbers, not 16",
		`"rotation": [0, 0, 0, 1.1]`:   "length is 1.1",
		`"rotation": [0, 0, 0, "1"]`:   "/nodes/0/rotation/3: a string stands where a number should",
		`"translation": [1e999, 0, 0]`: "too large",
	} {
		refused(t, document(tetra(), "nodes", `[{"mesh": 0, `+node+`}]`), "GLTF_VALUE", message)
	}
	refused(t, document(tetra(), "nodes", `[{"mesh": 0, "scale": [1e200, 1, 1]}]`), "GEOMETRY_COORDINATE", "/nodes/0")
}

func TestTreeKeepsNamesAndSharing(t *testing.T) {
	s, list := decode(t, document(tetra(),
		"nodes", `[{"name": "unused"}, {"name": "pump", "children": [3, 2]}, {"mesh": 0}, {"name": "left", "mesh": 0, "children": [4]}, {"mesh": 1, "scale": [-1, 1, 1]}]`,
		"meshes", `[{"name": "body", "primitives": [{"attributes": {"POSITION": 0}, "indices": 1, "material": 1}]},
		            {"name": "twin", "primitives": [{"attributes": {"POSITION": 0}, "indices": 1, "material": 0}]},
		            {"name": "never shown", "primitives": [{"attributes": {"POSITION": 0}}]}]`,
		"materials", `[{}, {"name": "steel"}]`,
		"scene", "1", "scenes", `[{"nodes": [0]}, {"nodes": [1]}]`))
	require.NotNil(t, s, list)
	assert.Equal(t, "GLTF_PRIMITIVE GLTF_IGNORED", strings.Join([]string{codes(list[1:]), codes(list[:1])}, " "))
	require.Len(t, s.Meshes, 1, "what differs in material only is one mesh")
	var got []string
	for _, i := range solid.Instances(s) {
		got = append(got, fmt.Sprintf("%s %d %v %v", i.Name, i.Mesh, i.Materials, i.Transform.Determinant()))
	}
	assert.Equal(t, []string{"pump/left 0 [1] 1", "pump/left/twin 0 [0] -1", "pump/body 0 [1] 1"}, got)
}

func TestGroupsByMaterial(t *testing.T) {
	s, list := decode(t, document(tetra(),
		"materials", `[{"name": "red", "pbrMetallicRoughness": {"baseColorFactor": [1, 0, 0, 0.5], "metallicFactor": 0.25, "roughnessFactor": 0.75}, "doubleSided": true},
		               {"name": "glass", "alphaMode": "BLEND", "pbrMetallicRoughness": {"baseColorFactor": [0, 1, 0, 0.5], "baseColorTexture": {"index": 0}}}]`,
		"accessors", `[{"bufferView": 0, "componentType": 5126, "type": "VEC3", "count": 4}, {"bufferView": 1, "componentType": 5123, "type": "SCALAR", "count": 3},
			{"bufferView": 1, "byteOffset": 6, "componentType": 5123, "type": "SCALAR", "count": 3}, {"bufferView": 1, "byteOffset": 12, "componentType": 5123, "type": "SCALAR", "count": 6}]`,
		"meshes", `[{"primitives": [{"attributes": {"POSITION": 0}, "indices": 1, "material": 1}, {"attributes": {"POSITION": 0}, "indices": 2},
		             {"attributes": {"POSITION": 0}, "indices": 3, "material": 1}]}]`))
	require.NotNil(t, s, list)
	assert.Equal(t, "GEOMETRY_TEXTURE", codes(list))
	assert.Equal(t, []int32{0, 1, 0, 0}, s.Meshes[0].Group)
	assert.Equal(t, []int{1, -1}, s.Nodes[0].Materials)
	assert.Equal(t, []mesh.Material{
		{Name: "red", Color: [4]float64{1, 0, 0, 1}, Metallic: 0.25, Roughness: 0.75, TwoSided: true},
		{Name: "glass", Color: [4]float64{0, 1, 0, 0.5}, Metallic: 1, Roughness: 1},
	}, s.Materials)
}

func TestGraphsThatAreNoForest(t *testing.T) {
	for nodes, message := range map[string]string{
		`[{"mesh": 0, "children": [0]}]`:                      "/nodes/0: node 0 is below itself",
		`[{"mesh": 0}, {"children": [2]}, {"children": [1]}]`: "/nodes/1: node 1 is below itself",
		`[{"children": [2]}, {"children": [2]}, {"mesh": 0}]`: "/nodes/1/children/0: node 2 has two parents, 0 and 1",
		`[{"children": [1, 1]}, {"mesh": 0}]`:                 "two parents, 0 and 0",
	} {
		refused(t, document(tetra(), "nodes", nodes), "GLTF_GRAPH", message)
	}
	refused(t, document(tetra(), "nodes", `[{"children": [1]}, {"mesh": 0}]`, "scenes", `[{"nodes": [0, 1]}]`), "GLTF_GRAPH", "/scenes/0/nodes/1")
	var deep []string
	for i := range 300 {
		deep = append(deep, fmt.Sprintf(`{"children": [%d]}`, i+1))
	}
	refused(t, document(tetra(), "nodes", "["+strings.Join(deep, ",")+`, {"mesh": 0}]`), "GLTF_GRAPH", "more than 256 deep")
}

func TestHiddenNodesAreNotShown(t *testing.T) {
	s, list := decode(t, document(tetra(), "nodes",
		`[{"name": "a", "mesh": 0}, {"children": [2], "extensions": {"KHR_node_visibility": {"visible": false}}}, {"name": "b", "mesh": 0}]`,
		"extensionsUsed", `["KHR_node_visibility"]`))
	require.NotNil(t, s)
	assert.Equal(t, "GLTF_IGNORED", codes(list))
	assert.Len(t, solid.Instances(s), 1)
}

func TestExtensionsThatAreRequired(t *testing.T) {
	for _, name := range []string{"KHR_draco_mesh_compression", "EXT_mesh_gpu_instancing", "ACME_new"} {
		refused(t, document(tetra(), "extensionsRequired", `["KHR_materials_unlit", "`+name+`"]`), "GLTF_EXTENSION", name)
	}
	s, list := decode(t, document(tetra(), "extensionsUsed", `["KHR_materials_unlit"]`, "extensionsRequired", `["KHR_materials_unlit"]`))
	assert.NotNil(t, s, list)
	refused(t, document(tetra(), "accessors", `[{"componentType": 5126, "type": "VEC3", "count": 4}, {"componentType": 5123, "type": "SCALAR", "count": 12}]`,
		"meshes", `[{"primitives": [{"attributes": {"POSITION": 0}, "indices": 1, "extensions": {"KHR_draco_mesh_compression": {}}}]}]`), "GLTF_EXTENSION", "KHR_draco_mesh_compression")
	refused(t, document(tetra(), "buffers", `[{"byteLength": 72}]`), "GLTF_BUFFER", "no bytes of its own")
}

func TestBuffersStayInTheFolder(t *testing.T) {
	for uri, code := range map[string]string{
		"http://example.com/a.bin": "GLTF_URI", "file:///etc/passwd": "GLTF_URI", "C:/a.bin": "GLTF_URI", "/a.bin": "GLTF_URI", "": "GLTF_URI",
		"../../a.bin": "GLTF_URI", "%2e%2e/%2e%2e/a.bin": "GLTF_URI", "..\\\\..\\\\a.bin": "GLTF_URI", "a%zz.bin": "GLTF_URI", "a%00.bin": "GLTF_URI",
		"data:;base64,!": "GLTF_URI", "data:x": "GLTF_URI", "gone.bin": "GLTF_BUFFER", "data:;base64,AAAA": "GLTF_BUFFER", ".": "GLTF_BUFFER",
		strings.Repeat("x", 300): "GLTF_URI",
	} {
		refused(t, document(tetra(), "buffers", `[{"byteLength": 72, "uri": "`+uri+`"}]`), code, "/buffers/0")
	}
}

// What the third-party decoder panics on, or answers with another mesh's data.
func TestNumbersThatLie(t *testing.T) {
	accessor := func(s string) string {
		return `[{"bufferView": 0, "componentType": 5126, "type": "VEC3", ` + s + `}, {"bufferView": 1, "componentType": 5123, "type": "SCALAR", "count": 12}]`
	}
	for text, want := range map[string]string{
		document(tetra(), "accessors", accessor(`"count": -1`)):                                                                                   "GLTF_VALUE /accessors/0/count: -1 is not a whole number",
		document(tetra(), "accessors", accessor(`"count": 0`)):                                                                                    "GLTF_VALUE /accessors/0/count",
		document(tetra(), "accessors", accessor(`"count": 4.5`)):                                                                                  "GLTF_VALUE /accessors/0/count",
		document(tetra(), "accessors", accessor(`"count": 1e30`)):                                                                                 "GLTF_VALUE /accessors/0/count",
		document(tetra(), "accessors", accessor(`"count": 5`)):                                                                                    "GLTF_ACCESSOR /accessors/0: the elements end at byte 60; the view has 48",
		document(tetra(), "accessors", accessor(`"count": 2147483647`)):                                                                           "GLTF_ACCESSOR /accessors/0: the elements end",
		document(tetra(), "accessors", accessor(`"count": 4, "byteOffset": -12`)):                                                                 "GLTF_VALUE /accessors/0/byteOffset",
		document(tetra(), "accessors", accessor(`"count": 3, "byteOffset": 2`)):                                                                   "GLTF_ACCESSOR /accessors/0: components of 4 bytes",
		document(tetra(), "accessors", accessor(`"count": 3, "byteOffset": 1e12`)):                                                                "GLTF_ACCESSOR /accessors/0: the elements end",
		document(tetra(), "bufferViews", `[{"buffer": 0, "byteLength": 73}]`):                                                                     "GLTF_ACCESSOR /bufferViews/0: the view ends at byte 73",
		document(tetra(), "bufferViews", `[{"buffer": 0, "byteOffset": 9e11, "byteLength": 9e11}]`):                                               "GLTF_ACCESSOR /bufferViews/0",
		document(tetra(), "bufferViews", `[{"buffer": 1, "byteLength": 4}]`):                                                                      "GLTF_REFERENCE /bufferViews/0/buffer: buffer 1 is meant; the file has 1",
		document(tetra(), "bufferViews", `[{"buffer": 0, "byteLength": 48, "byteStride": 8}, {"buffer": 0, "byteOffset": 48, "byteLength": 24}]`): "GLTF_ACCESSOR /accessors/0: elements of 12 bytes",
		document(tetra(), "bufferViews", `[{"buffer": 0, "byteLength": 48, "byteStride": 14}]`):                                                   "GLTF_ACCESSOR /bufferViews/0: byteStride",
		document(tetra(), "bufferViews", `[{"buffer": 0, "byteLength": 48}, {"buffer": 0, "byteOffset": 48, "byteLength": 24, "byteStride": 4}]`): "GLTF_ACCESSOR /accessors/1",
		document(tetra(), "buffers", `[{"byteLength": 1000000000000, "uri": "data:;base64,AAAA"}]`):                                               "GLTF_BUFFER /buffers/0: the buffer has 3 bytes",
		document(tetra(), "meshes", `[{"primitives": [{"attributes": {"POSITION": 2}}]}]`):                                                        "GLTF_REFERENCE /meshes/0/primitives/0/attributes/POSITION",
		document(tetra(), "meshes", `[{"primitives": [{"attributes": {"POSITION": 1}}]}]`):                                                        "GLTF_ACCESSOR /meshes/0/primitives/0/attributes/POSITION",
		document(tetra(), "meshes", `[{"primitives": [{"attributes": {"POSITION": 0}, "indices": 0}]}]`):                                          "GLTF_ACCESSOR /meshes/0/primitives/0/indices",
		document(tetra(), "meshes", `[{"primitives": [{"attributes": {"POSITION": 0, "NORMAL": 1}}]}]`):                                           "GLTF_ACCESSOR /meshes/0/primitives/0/attributes/NORMAL: accessor 1 has 12",
		document(tetra(), "meshes", `[{"primitives": [{"attributes": {"POSITION": 0}, "mode": 7}]}]`):                                             "GLTF_VALUE /meshes/0/primitives/0/mode",
		document(tetra(), "meshes", `[{"primitives": {}}]`):                                                                                       "GLTF_VALUE /meshes/0/primitives: an object stands where an array should",
		document(tetra(), "meshes", `[{}]`):                                                                                                       `GLTF_VALUE /meshes/0: "primitives" is missing`,
		document(tetra(), "nodes", `[{"mesh": 1}]`):                                                                                               "GLTF_REFERENCE /nodes/0/mesh",
		document(tetra(), "nodes", `[{"mesh": -1}]`):                                                                                              "GLTF_VALUE /nodes/0/mesh",
		document(tetra(), "scene", "3"):                                                                                                           "GLTF_REFERENCE /scene",
		document(tetra(), "asset", `{"version": "1.0"}`):                                                                                          "GLTF_VERSION /asset/version",
		document(tetra(), "asset", `{"version": "2.1", "minVersion": "2.1"}`):                                                                     "GLTF_VERSION /asset/minVersion",
		document(tetra(), "asset", `{"version": "two"}`):                                                                                          "GLTF_VALUE /asset/version",
		document(tetra(), "asset", `{}`):                                                                                                          "GLTF_VALUE /asset",
	} {
		code, message, _ := strings.Cut(want, " ")
		refused(t, text, code, message)
	}
	nan := tetra()
	binary.LittleEndian.PutUint32(nan[16:], 0x7fc00000)
	refused(t, document(nan), "GEOMETRY_COORDINATE", "/accessors/0: vertex 1 is at")
	far := tetra()
	binary.LittleEndian.PutUint16(far[54:], 4)
	refused(t, document(far), "GLTF_INDEX", "index number 3 is 4")
	s, list := decode(t, string(glb(document(far, "buffers", `[{"byteLength": 72}]`), far)))
	assert.Nil(t, s)
	assert.True(t, list[0].Position.Binary)
	data := glb(document(far, "buffers", `[{"byteLength": 72}]`), far)
	assert.Equal(t, uint16(4), binary.LittleEndian.Uint16(data[list[0].Position.Offset:]), "the offset is where the index is")
}

// A few hundred bytes that claim gigabytes must neither take them nor hours.
func TestClaimsWithoutBytes(t *testing.T) {
	zeros := `[{"componentType": 5126, "type": "VEC3", "count": 2147483647}, {"componentType": 5125, "type": "SCALAR", "count": 2147483647}]`
	refused(t, document(tetra(), "accessors", zeros), "GLTF_LIMIT", "/meshes/0/primitives/0")
	refused(t, document(tetra(), "accessors", zeros, "meshes", `[{"primitives": [{"attributes": {"POSITION": 0}}]}]`), "GLTF_LIMIT", "claim 2147483647 corners")

	// One long strip read by a thousand meshes is one mesh; by a thousand
	// primitives in different company it is refused.
	const n = 1 << 17
	bin := append(pack(binary.LittleEndian, []float32{0, 0, 0, 1, 0, 0, 0, 1, 0}), bytes.Repeat([]byte{0, 0, 1, 0, 2, 0}, n/3)...)
	accessors := fmt.Sprintf(`[{"bufferView": 0, "componentType": 5126, "type": "VEC3", "count": 3}, {"bufferView": 1, "componentType": 5123, "type": "SCALAR", "count": %d}]`, n/3*3)
	views := fmt.Sprintf(`[{"buffer": 0, "byteLength": 36}, {"buffer": 0, "byteOffset": 36, "byteLength": %d}]`, n/3*6)
	one := `{"attributes": {"POSITION": 0}, "indices": 1, "mode": 5}`
	same := strings.Repeat(`{"primitives": [`+one+`]},`, 1000)
	s, list := decode(t, document(bin, "accessors", accessors, "bufferViews", views, "meshes", "["+same[:len(same)-1]+"]"))
	require.NotNil(t, s, list)
	many := strings.Repeat(one+",", 1000)
	refused(t, document(bin, "accessors", accessors, "bufferViews", views, "meshes", `[{"primitives": [`+many[:len(many)-1]+`]}]`), "GLTF_LIMIT", "/meshes/0/primitives/")
	refused(t, strings.Repeat("[", 1000000), "GLTF_LIMIT", "128 deep")
}

func TestContainerFaults(t *testing.T) {
	good := glb(document(tetra(), "buffers", `[{"byteLength": 72}]`), tetra())
	for n := range len(good) {
		s, list := decode(t, string(good[:n]))
		assert.Nil(t, s, "cut at %d", n)
		assert.NotEmpty(t, list)
	}
	s, list, err := Decode(&source.File{Name: "a.glb", Data: []byte("not a GLB file")})
	require.NoError(t, err)
	assert.Nil(t, s)
	assert.Equal(t, "GLTF_CONTAINER", codes(list))
}

// encoding/json is the second opinion on what is JSON; it knows neither
// duplicate names nor invalid UTF-8.
func FuzzParse(f *testing.F) {
	for _, s := range []string{`{}`, `{"a": [1, -0.5e+3, "\u00e9\\", true, false, null], "b": {"c": {}}}`, `{"a":1,"a":2}`, `{"a":01}`, `{"a":1.}`, "{\"\x01\":1}", `{"\uD800":[]}`, "{\"\\u\x1011A\":1}", `[`, `{"a":1}}`} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		r := reader{file: &source.File{Name: "a.gltf", Data: data}, text: text{data: data}}
		r.parse()
		valid := json.Valid(data) && bytes.HasPrefix(bytes.TrimLeft(data, " \t\r\n"), []byte("{"))
		switch {
		case r.fault == nil && !valid:
			t.Fatalf("accepted %q", data)
		case r.fault == nil:
			for v := range r.values {
				if r.values[v].kind != '"' || !strings.HasPrefix(r.pointer(v), "/") {
					continue
				}
				var want string
				if json.Unmarshal(data[r.values[v].start:r.values[v].end], &want) != nil || want != r.unquote(v) {
					t.Fatalf("%q is not %q", r.unquote(v), want)
				}
			}
		case valid && r.fault.Code != "GLTF_LIMIT" && !strings.Contains(r.fault.Message, "twice") && !strings.Contains(r.fault.Message, "UTF-8"):
			t.Fatalf("refused %q: %v", data, r.fault)
		}
	})
}

func FuzzDecode(f *testing.F) {
	f.Add([]byte(document(tetra())))
	f.Add(glb(document(tetra(), "buffers", `[{"byteLength": 72}]`), tetra()))
	f.Add([]byte(document(tetra(), "extensionsUsed", `["KHR_mesh_quantization"]`, "nodes", `[{"children": [1]}, {"mesh": 0, "rotation": [0,0,0,1]}]`, "scenes", `[{"nodes": [0]}]`,
		"accessors", `[{"componentType": 5120, "type": "VEC3", "count": 4, "normalized": true, "sparse": {"count": 3, "indices": {"bufferView": 1, "componentType": 5121}, "values": {"bufferView": 0}}}, {"bufferView": 1, "componentType": 5121, "type": "SCALAR", "count": 12}]`)))
	colors := []byte{255, 0, 51, 255, 0, 255, 0, 102, 0, 0, 0, 0, 255, 255, 255, 255}
	f.Add([]byte(decorated("COLOR_0", `{"bufferView": 2, "componentType": 5121, "normalized": true, "type": "VEC4", "count": 4}`, colors)))
	f.Add([]byte(decorated("TEXCOORD_0", `{"bufferView": 2, "componentType": 5123, "normalized": true, "type": "VEC2", "count": 4}`, colors)))
	f.Add([]byte(decorated("TEXCOORD_0", `{"componentType": 5126, "type": "VEC2", "count": 4, "sparse": {"count": 2, "indices": {"bufferView": 2, "byteOffset": 1, "componentType": 5121}, "values": {"bufferView": 0}}}`, colors)))
	f.Fuzz(func(t *testing.T, data []byte) {
		s, list := decodeIn(t, fstest.MapFS{"parts/a.bin": {Data: data}}, string(data))
		if s == nil {
			if !list.HasError() {
				t.Fatalf("refused without an error: %v", list)
			}
			return
		}
		for _, m := range s.Meshes {
			if err := solid.CheckWedges(m); err != nil {
				t.Fatal(err)
			}
		}
		for _, i := range solid.Instances(s) {
			b := s.Meshes[i.Mesh].Bounds().Transform(i.Transform)
			if b.Empty() || math.IsNaN(b.Diagonal()) || len(i.Materials) < s.Meshes[i.Mesh].Groups() {
				t.Fatalf("%q is no sound instance: %v", i.Name, b)
			}
		}
	})
}

// The third-party decoder is a second opinion on what sound files hold.
func TestAgreesWithThirdParty(t *testing.T) {
	data := glb(document(tetra(), "buffers", `[{"byteLength": 72}]`), tetra())
	var doc third.Document
	require.NoError(t, third.NewDecoder(bytes.NewReader(data)).Decode(&doc))
	p, err := modeler.ReadPosition(&doc, doc.Accessors[0], nil)
	require.NoError(t, err)
	indices, err := modeler.ReadIndices(&doc, doc.Accessors[1], nil)
	require.NoError(t, err)
	s, _ := decode(t, string(data))
	var got, want []mesh.Vec
	for _, i := range indices {
		want = append(want, mesh.Vec{float64(p[i][0]), float64(p[i][1]), float64(p[i][2])})
	}
	for _, tri := range s.Meshes[0].Triangles {
		for _, v := range tri {
			got = append(got, s.Meshes[0].Positions[v])
		}
	}
	assert.Equal(t, want, got)
}

func BenchmarkDecode(b *testing.B) {
	const n = 500
	var p []float32
	var indices []uint32
	for i := range n * n {
		x, y := float64(i%n), float64(i/n)
		p = append(p, float32(x), float32(y), float32(math.Sin(x/7)*math.Cos(y/9)*20))
		if i%n < n-1 && i/n < n-1 {
			k := uint32(i)
			indices = append(indices, k, k+1, k+n, k+1, k+n+1, k+n)
		}
	}
	bin := append(pack(binary.LittleEndian, p), pack(binary.LittleEndian, indices)...)
	data := string(glb(document(bin,
		"buffers", fmt.Sprintf(`[{"byteLength": %d}]`, len(bin)),
		"bufferViews", fmt.Sprintf(`[{"buffer": 0, "byteLength": %d}, {"buffer": 0, "byteOffset": %d, "byteLength": %d}]`, 4*len(p), 4*len(p), 4*len(indices)),
		"accessors", fmt.Sprintf(`[{"bufferView": 0, "componentType": 5126, "type": "VEC3", "count": %d}, {"bufferView": 1, "componentType": 5125, "type": "SCALAR", "count": %d}]`, n*n, len(indices)),
	), bin))
	b.SetBytes(int64(len(data)))
	b.ReportAllocs()
	for b.Loop() {
		decode(b, data)
	}
}
