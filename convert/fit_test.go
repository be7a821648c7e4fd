package convert_test

import (
	"bytes"
	"image"
	"image/png"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"planfold/convert/step"
	"planfold/convert/store"
	"planfold/testdata/open"
)

// A picture is carried no larger than the profile says; the file that it was made of
// stands among the inputs. The second run finds it in the cache.
func TestPicturesAreScaledToTheProfile(t *testing.T) {
	var b bytes.Buffer
	require.NoError(t, png.Encode(&b, image.NewRGBA(image.Rect(0, 0, 3000, 1000))))
	files := fstest.MapFS{}
	for name, f := range input {
		files[name] = f
	}
	files["photo.png"] = &fstest.MapFile{Data: b.Bytes()}
	tr := trial{dir: t.TempDir(), plans: map[string]string{"P-1": "P-1"}, input: files, attachmentBytes: int64(b.Len()) - 1, pictureEdge: 2048}
	r := tr.run(t, t.Context())
	assert.Equal(t, []string{"FILE_CASE", "FILE_MISSING"}, codes(r, 0), "what is too large before may do afterwards")
	assert.Empty(t, verify(t, tr.dir))
	var pictures []string // of that size: beside it stand those of the steps
	for _, name := range glob(t, tr.dir, "blobs/*/*.png") {
		data, err := os.ReadFile(filepath.Join(tr.dir, name))
		require.NoError(t, err)
		config, err := png.DecodeConfig(bytes.NewReader(data))
		require.NoError(t, err)
		if config.Width == 2048 && config.Height == 683 {
			pictures = append(pictures, name)
		}
	}
	require.Len(t, pictures, 1)
	manifest, err := os.ReadFile(filepath.Join(tr.dir, glob(t, tr.dir, "plans/*/*/bundle.json")[0]))
	require.NoError(t, err)
	assert.Contains(t, string(manifest), store.Digest(b.Bytes()))

	before := issued(t, tr.dir)
	require.NoError(t, os.Remove(filepath.Join(tr.dir, pictures[0])))
	tr.run(t, t.Context())
	assert.Equal(t, before, issued(t, tr.dir))
	require.NoError(t, os.Remove(filepath.Join(tr.dir, pictures[0])))
	require.NoError(t, os.RemoveAll(filepath.Join(tr.dir, ".cache")))
	tr.run(t, t.Context())
	assert.Equal(t, before, issued(t, tr.dir))
}

// Documents of others are told by their content, and carried as they are.
func TestOpenDocumentsAreTold(t *testing.T) {
	root := os.DirFS(open.Path(t, "."))
	for ref, kind := range map[string]string{
		"pdf20/Simple PDF 2.0 file.pdf":             "application/pdf",
		"breakout-box/assemblies/main_assembly.png": "image/png",
	} {
		tr := trial{dir: t.TempDir(), plans: map[string]string{"P-1": "P-1"}, mapper: func(id string) (*step.Plan, []*step.Operation) {
			plan, operations := bracket(id)
			for _, item := range plan.Items {
				item.Geometry, item.Attachments = nil, nil
			}
			operations[0].Steps[1].Attachments = []step.Attachment{{File: text(ref)}}
			return plan, operations
		}, input: root}
		r := tr.run(t, t.Context())
		assert.NotContains(t, strings.Join(codes(r, 0), " "), "FILE", ref)
		var all string
		for name, content := range issued(t, tr.dir) {
			if strings.HasSuffix(name, "step.json") {
				all += content
			}
		}
		assert.Contains(t, all, `"type": "`+kind+`"`)
	}
}

// failing cannot open a file for the second time.
type failing struct {
	fstest.MapFS
	name   string
	opened int
}

func (f *failing) Open(name string) (fs.File, error) {
	if name == f.name {
		if f.opened++; f.opened == 2 {
			return nil, fs.ErrPermission
		}
	}
	return f.MapFS.Open(name)
}

// What a run could not read of a picture is said by that run, and looked at by the next.
func TestFailedReadOfAPictureIsNotRemembered(t *testing.T) {
	tr := trial{dir: t.TempDir(), plans: map[string]string{"P-1": "P-1"}, input: &failing{MapFS: input, name: "photo.png"}}
	assert.Contains(t, codes(tr.run(t, t.Context()), 0), "FILE_PICTURE_KEPT")
	assert.NotContains(t, codes(tr.run(t, t.Context()), 0), "FILE_PICTURE_KEPT")
}
