package glb

// The JSON of a document, in the order in which its members are written. Indices
// that may be absent are pointers; other members are absent when zero, which the
// specification reads as the same default.
type (
	wireDocument struct {
		Asset       wireAsset        `json:"asset"`
		Used        []string         `json:"extensionsUsed,omitempty"`
		Required    []string         `json:"extensionsRequired,omitempty"`
		Scene       int              `json:"scene"`
		Scenes      []wireScene      `json:"scenes"`
		Nodes       []wireNode       `json:"nodes,omitempty"`
		Cameras     []wireCamera     `json:"cameras,omitempty"`
		Meshes      []wireMesh       `json:"meshes,omitempty"`
		Materials   []wireMaterial   `json:"materials,omitempty"`
		Animations  []wireAnimation  `json:"animations,omitempty"`
		Accessors   []wireAccessor   `json:"accessors,omitempty"`
		BufferViews []wireBufferView `json:"bufferViews,omitempty"`
		Buffers     []wireBuffer     `json:"buffers,omitempty"`
	}
	wireAsset struct {
		Generator string `json:"generator"`
		Version   string `json:"version"`
	}
	wireScene struct {
		Name  string `json:"name,omitempty"`
		Nodes []int  `json:"nodes,omitempty"`
	}
	wireNode struct {
		Name        string      `json:"name,omitempty"`
		Translation [3]float64  `json:"translation,omitzero"`
		Rotation    [4]float64  `json:"rotation,omitzero"`
		Scale       [3]float64  `json:"scale,omitzero"`
		Matrix      [16]float64 `json:"matrix,omitzero"`
		Mesh        *int        `json:"mesh,omitempty"`
		Camera      *int        `json:"camera,omitempty"`
		Children    []int       `json:"children,omitempty"`
	}
	wireCamera struct {
		Name        string          `json:"name,omitempty"`
		Type        string          `json:"type"`
		Perspective wirePerspective `json:"perspective"`
	}
	wirePerspective struct {
		Yfov  float64 `json:"yfov"`
		Znear float64 `json:"znear"`
		Zfar  float64 `json:"zfar,omitzero"`
	}
	wireMesh struct {
		Name       string          `json:"name,omitempty"`
		Primitives []wirePrimitive `json:"primitives"`
	}
	wirePrimitive struct {
		Attributes wireAttributes `json:"attributes"`
		Indices    int            `json:"indices"`
		Material   int            `json:"material"`
		Mode       int            `json:"mode,omitempty"` // of triangles, absent
	}
	wireAttributes struct {
		Position int  `json:"POSITION"`
		Normal   *int `json:"NORMAL,omitempty"` // lines have none
		Color    *int `json:"COLOR_0,omitempty"`
		TexCoord *int `json:"TEXCOORD_0,omitempty"`
	}
	wireMaterial struct {
		Name        string       `json:"name,omitempty"`
		Roughness   wireMetallic `json:"pbrMetallicRoughness"`
		AlphaMode   string       `json:"alphaMode,omitempty"`
		DoubleSided bool         `json:"doubleSided,omitempty"`
	}
	wireMetallic struct {
		BaseColor [4]float64 `json:"baseColorFactor"`
		Metallic  float64    `json:"metallicFactor"`
		Roughness float64    `json:"roughnessFactor"`
	}
	wireAnimation struct {
		Name     string        `json:"name,omitempty"`
		Channels []wireChannel `json:"channels"`
		Samplers []wireSampler `json:"samplers"`
	}
	wireChannel struct {
		Sampler int        `json:"sampler"`
		Target  wireTarget `json:"target"`
	}
	wireTarget struct {
		Node int    `json:"node"`
		Path string `json:"path"`
	}
	wireSampler struct {
		Input         int    `json:"input"`
		Interpolation string `json:"interpolation"`
		Output        int    `json:"output"`
	}
	wireAccessor struct {
		BufferView    int       `json:"bufferView"`
		ByteOffset    int64     `json:"byteOffset,omitempty"`
		ComponentType int       `json:"componentType"`
		Normalized    bool      `json:"normalized,omitempty"`
		Count         int       `json:"count"`
		Type          string    `json:"type"`
		Min           []float32 `json:"min,omitempty"`
		Max           []float32 `json:"max,omitempty"`
	}
	wireBufferView struct {
		Buffer     int             `json:"buffer"`
		ByteOffset int64           `json:"byteOffset,omitempty"`
		ByteLength int64           `json:"byteLength"`
		ByteStride int             `json:"byteStride,omitempty"`
		Target     int             `json:"target,omitempty"`
		Extensions *viewExtensions `json:"extensions,omitempty"`
	}
	viewExtensions struct {
		Meshopt wireMeshopt `json:"EXT_meshopt_compression"`
	}
	wireMeshopt struct {
		Buffer     int    `json:"buffer"`
		ByteOffset int64  `json:"byteOffset,omitempty"`
		ByteLength int64  `json:"byteLength"`
		ByteStride int    `json:"byteStride"`
		Count      int    `json:"count"`
		Mode       string `json:"mode"`
		Filter     string `json:"filter,omitempty"`
	}
	wireBuffer struct {
		URI        string            `json:"uri,omitempty"`
		ByteLength int64             `json:"byteLength"`
		Extensions *bufferExtensions `json:"extensions,omitempty"`
	}
	bufferExtensions struct {
		Meshopt wireFallback `json:"EXT_meshopt_compression"`
	}
	wireFallback struct {
		Fallback bool `json:"fallback"`
	}
)

// Numbers of the specification.
const (
	modeLines      = 1
	typeInt8       = 5120
	typeInt16      = 5122
	typeUint16     = 5123
	typeUint32     = 5125
	typeFloat32    = 5126
	targetVertices = 34962
	targetIndices  = 34963

	quantization = "KHR_mesh_quantization"
	compression  = "EXT_meshopt_compression"
)
