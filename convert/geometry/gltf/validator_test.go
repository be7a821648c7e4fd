package gltf

import (
	"encoding/json"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"sort"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"planfold/convert/diag"
	"planfold/convert/geometry/source"
	"planfold/testdata/open"
)

type report struct {
	Issues struct {
		Messages []issue `json:"messages"`
	} `json:"issues"`
}

type issue struct {
	Code     string `json:"code"`
	Severity int    `json:"severity"`
	Pointer  string `json:"pointer"`
	Message  string `json:"message"`
}

// tolerated are the validator's errors that do not mislead about shape,
// structure, names or colours: by code and by the place they are at.
var tolerated = []struct{ code, pointer, reason string }{
	{".*", "/(animations|skins|cameras|images|textures|samplers)(/.*)?", "not read"},
	{".*", "/extensions/KHR_(lights_punctual|materials_variants)(/.*)?", "not read"},
	{".*", ".*/extensions/KHR_(lights_punctual|materials_|animation_pointer|texture_transform)[^/]*(/.*)?", "not read"},
	{"EMPTY_ENTITY", ".*", "an empty list holds nothing that could be misread"},
	{"ACCESSOR_(MIN|MAX)_MISMATCH|ACCESSOR_ELEMENT_OUT_OF_(MIN|MAX)_BOUND|MESH_PRIMITIVE_POSITION_ACCESSOR_WITHOUT_BOUNDS", ".*", "declared bounds are not used: bounds come from the triangles"},
	{"UNEXPECTED_EXTENSION_OBJECT|UNDECLARED_EXTENSION|UNUSED_EXTENSION_REQUIRED", ".*", "an extension out of place is not read"},
	{"TYPE_MISMATCH", "/extensions/.*", "extensions of the root are not read"},
	{"DUPLICATE_ELEMENTS", "/extensions(Used|Required)/.*", "a name twice in a list means what it means once"},
	{"NON_REQUIRED_EXTENSION", "/extensionsUsed/.*", "quantized positions are read, required or not"},
	{"ACCESSOR_INVALID_FLOAT", ".*", "no mesh uses the accessor; positions that are used are checked"},
	{"INVALID_URI|BUFFER_DATA_URI_MIME_TYPE_INVALID", "/buffers/./uri", "a data URI of another media type holds the same bytes"},
	{"BUFFER_VIEW_TOO_BIG_BYTE_STRIDE|BUFFER_VIEW_INVALID_BYTE_STRIDE", ".*", "what an accessor reads is checked against the view's end"},
	{"UNSATISFIED_DEPENDENCY", "/accessors/./byteOffset", "the offset into nothing is 0; another is refused"},
	{".*", "/materials/.*Texture(/.*)?", "textures are not read"},
	{"MESH_PRIMITIVE_TOO_FEW_TEXCOORDS|MESH_PRIMITIVE_NO_TANGENT_SPACE", ".*", "textures are not read"},
	{".*", "/meshes/./primitives/./(targets(/.*)?|attributes/(COLOR|JOINTS|WEIGHTS|NORMAL|TANGENT|_CUSTOM).*)", "of attributes, only the count is read, except positions"},
	{"MESH_PRIMITIVES_UNEQUAL_TARGETS_COUNT|MESH_INVALID_WEIGHTS_COUNT|NODE_WEIGHTS_INVALID", ".*", "morph targets are not read"},
	{"MESH_PRIMITIVE_INVALID_ATTRIBUTE|MESH_PRIMITIVE_INDEXED_SEMANTIC_CONTINUITY|MESH_PRIMITIVE_JOINTS_WEIGHTS_MISMATCH", ".*", "attributes other than positions are not read"},
	{"NODE_SKIN_.*", ".*", "skins are not read"},
	{".*", "/nodes/./(skin|camera|weights)", "not read"},
}

// lenient are files with errors that are read nevertheless.
var lenient = map[string]string{
	"base/data/json/bom.gltf": "clause 2.7 lets readers skip a byte order mark",
}

// exceptions are files without errors that are refused nevertheless.
var exceptions = map[string]string{
	"base/data/asset/min_version_valid.gltf": "it says that a reader of 2.0 cannot read it",
	"base/data/buffer/non_relative_uri.gltf": "nothing is fetched from a network",
	"base/data/root/named_objects.gltf":      "its positions have no bytes",
	"base/data/root/unused_objects.gltf":     "its positions have no bytes",
}

func isTolerated(i issue) bool {
	for _, t := range tolerated {
		if regexp.MustCompile("^(?:"+t.code+")$").MatchString(i.Code) && regexp.MustCompile("^(?:"+t.pointer+")$").MatchString(i.Pointer) {
			return true
		}
	}
	return false
}

// The files and reports are those of the Khronos glTF validator's own tests.
func TestValidatorFiles(t *testing.T) {
	root := open.Path(t, "gltf-validator-tests/test")
	files := os.DirFS(root)
	n := 0
	var missed, over []string
	require.NoError(t, fs.WalkDir(files, ".", func(name string, d fs.DirEntry, err error) error {
		ext := filepath.Ext(name)
		if err != nil || d.IsDir() || ext != ".gltf" && ext != ".glb" {
			return err
		}
		n++
		raw, err := fs.ReadFile(files, name+".report.json")
		require.NoError(t, err)
		var r report
		require.NoError(t, json.Unmarshal(raw, &r))
		data, err := fs.ReadFile(files, name)
		require.NoError(t, err)
		scene, list, err := Decode(&source.File{FS: files, Name: name, Data: data})
		require.NoError(t, err, name)
		refused := scene == nil
		var bad []string
		for _, d := range list {
			if d.Severity == diag.Error {
				bad = append(bad, d.String())
			}
			if d.Code == "GEOMETRY_EMPTY" {
				refused = false
			}
		}
		var wrong, all []string
		for _, i := range r.Issues.Messages {
			if i.Severity > 0 {
				continue
			}
			all = append(all, i.Code)
			if _, ok := lenient[name]; !ok && !isTolerated(i) {
				wrong = append(wrong, i.Code+" "+i.Pointer+" "+i.Message)
			}
		}
		if _, excepted := exceptions[name]; excepted {
			assert.True(t, refused && len(all) == 0, "%s is no exception", name)
		} else if refused && len(all) == 0 {
			over = append(over, strings.Join(bad, " "))
		}
		if !refused && len(wrong) > 0 {
			missed = append(missed, name+"\n      "+strings.Join(wrong, "\n      "))
		}
		return nil
	}))
	sort.Strings(missed)
	assert.Empty(t, over, "refused, though the validator finds no error")
	if len(missed) > 0 {
		t.Errorf("not refused (%d of %d):\n%s", len(missed), n, strings.Join(missed, "\n"))
	}
	assert.Equal(t, 372, n)
}
