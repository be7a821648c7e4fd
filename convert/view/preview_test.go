package view

import (
	"bytes"
	"encoding/base64"
	"fmt"
	"io"
	"net/http"
	"net/http/httptest"
	"testing"
	"testing/fstest"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"planfold/convert/store"
)

const (
	host    = "127.0.0.1:8"
	edition = "plans/P/A@000000000000"
)

// smallTree is a tree of one edition with a step and a blob, and a file that nothing lists.
func smallTree() fstest.MapFS {
	tree := fstest.MapFS{
		"catalog.json": {Data: []byte(`{"format": "planfold/catalog/1", "profile": "handheld", "plans": [{"id": "P", "folder": "P",
			"current": "A@000000000000", "editions": [{"revision": "A", "edition": "000000000000", "folder": "A@000000000000", "held": false, "cause": "first edition"}]}]}`)},
		edition + "/bundle.json":         {Data: []byte(`{}`)},
		edition + "/steps/S-1/step.json": {Data: []byte(`{"id": "S-1"}`)},
		"plans/P/stray.json":             {Data: []byte(`{}`)},
	}
	picture := []byte("\x89PNG\r\n\x1a\nrest")
	tree[store.BlobName(store.Digest(picture), "png")] = &fstest.MapFile{Data: picture}
	list(tree)
	return tree
}

func list(tree fstest.MapFS) {
	var sums bytes.Buffer
	for name, f := range tree {
		if name != "catalog.json" && name != "plans/P/stray.json" {
			fmt.Fprintf(&sums, "%s  %s\n", store.Digest(f.Data), name)
		}
	}
	tree[edition+"/SHA256SUMS"] = &fstest.MapFile{Data: sums.Bytes()}
}

func ask(t *testing.T, tree fstest.MapFS, method, path, at string) *http.Response {
	t.Helper()
	r := httptest.NewRequest(method, "http://"+at+path, nil)
	w := httptest.NewRecorder()
	Preview(NewTree(tree), []string{host}).ServeHTTP(w, r)
	return w.Result()
}

func TestPreviewAnswersToItsOwnAddressOnly(t *testing.T) {
	assert.Equal(t, http.StatusOK, ask(t, smallTree(), "GET", "/tree/catalog.json", host).StatusCode)
	for _, other := range []string{"evil.example", "evil.example:8", "127.0.0.1", "127.0.0.1:80", "localhost.evil.example:8"} {
		assert.Equal(t, http.StatusMisdirectedRequest, ask(t, smallTree(), "GET", "/tree/catalog.json", other).StatusCode, other)
	}
	assert.Equal(t, http.StatusMethodNotAllowed, ask(t, smallTree(), "POST", "/tree/catalog.json", host).StatusCode)
}

func TestPreviewLoadsNothingFromElsewhere(t *testing.T) {
	for _, path := range []string{"/", "/tree/catalog.json", "/nothing"} {
		h := ask(t, smallTree(), "GET", path, host).Header
		assert.Regexp(t, `^default-src 'none'; `, h.Get("Content-Security-Policy"), path)
		assert.NotContains(t, h.Get("Content-Security-Policy"), "http")
		assert.NotContains(t, h.Get("Content-Security-Policy"), "*")
		assert.Equal(t, "nosniff", h.Get("X-Content-Type-Options"), path)
	}
}

func TestPreviewServesWhatIsListedAsItWasIssued(t *testing.T) {
	tree := smallTree()
	picture := store.BlobName(store.Digest([]byte("\x89PNG\r\n\x1a\nrest")), "png")
	for path, kind := range map[string]string{"catalog.json": "application/json", edition + "/steps/S-1/step.json": "application/json", picture: "image/png"} {
		r := ask(t, tree, "GET", "/tree/"+path, host)
		body, _ := io.ReadAll(r.Body)
		assert.Equal(t, http.StatusOK, r.StatusCode, path)
		assert.Equal(t, string(tree[path].Data), string(body))
		assert.Equal(t, kind, r.Header.Get("Content-Type"))
	}
	for _, path := range []string{"plans/P/stray.json", edition + "/none.json", "blobs/00/none.bin", edition, "", "..%2Fcatalog.json"} {
		assert.Equal(t, http.StatusNotFound, ask(t, tree, "GET", "/tree/"+path, host).StatusCode, path)
	}
}

func TestPreviewSaysWhatIsDamaged(t *testing.T) {
	tree := smallTree()
	name := edition + "/steps/S-1/step.json"
	tree[name].Data = []byte(`{"id": "S-2"}`)
	assert.Equal(t, http.StatusConflict, ask(t, tree, "GET", "/tree/"+name, host).StatusCode)
	delete(tree, name)
	r := ask(t, tree, "GET", "/tree/"+name, host)
	body, _ := io.ReadAll(r.Body)
	assert.Equal(t, http.StatusConflict, r.StatusCode)
	assert.Contains(t, string(body), "is missing")
}

// A file that was intact is looked at again once it has changed.
func TestDamageIsSeenWhileServing(t *testing.T) {
	files := smallTree()
	tree, name := NewTree(files), edition+"/bundle.json"
	_, err := tree.ReadFile(name)
	require.NoError(t, err)
	files[name] = &fstest.MapFile{Data: []byte(`{"x": 1}`)}
	_, err = tree.ReadFile(name)
	var damaged *DamagedError
	assert.ErrorAs(t, err, &damaged)
}

func TestExportHandsOverWhatIsListed(t *testing.T) {
	if !HasPage() {
		t.Skip("the page is not built: make page")
	}
	tree := smallTree()
	tree[edition+"/bundle.json"].Data = []byte("altered")
	out := map[string][]byte{}
	damaged, err := NewTree(tree).Export(func(name string, data []byte) error { out[name] = data; return nil })
	require.NoError(t, err)
	require.Len(t, damaged, 1)
	assert.Equal(t, edition+"/bundle.json", damaged[0].Name)
	assert.Len(t, out, 3+3, "the page, the catalog, the step, the picture")
	assert.Equal(t, `planfold("`+edition+`/steps/S-1/step.json","`+base64.StdEncoding.EncodeToString([]byte(`{"id": "S-1"}`))+"\")\n", string(out["tree/"+edition+"/steps/S-1/step.json.js"]))
	assert.Contains(t, out, "tree/"+store.BlobName(store.Digest([]byte("\x89PNG\r\n\x1a\nrest")), "png"), "a picture is shown from its file")
}
