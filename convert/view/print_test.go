package view

import (
	"strings"
	"testing"
	"testing/fstest"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"planfold/convert/store"
)

const printedStep = `{"format": "planfold/step/1", "precedence": "Local codes prevail.", "plan": {"id": "P"}, "revision": "A", "operation": {"id": "OP-1", "plannedDuration": "PT1H30M"},
	"id": "S-1", "sequence": 1, "title": [{"lang": "en", "text": "Fit <it>"}, {"lang": "de", "text": "Anbauen"}],
	"hazards": [{"signalWord": [{"lang": "en", "text": "Caution:"}, {"lang": "de", "text": "VORSICHT"}], "hazard": [{"lang": "en", "text": "It is hot."}]},
		{"signalWord": [{"lang": "en", "text": "NOTICE"}], "hazard": [{"lang": "en", "text": "It may rust."}]}, {"signalWord": [{"text": "HARK"}]}],
	"parts": [{"item": "I-1", "quantity": "2.50", "unit": "MLT", "unitSymbol": "ml", "purpose": [{"text": "degreases"}], "capture": "lot"}, {"item": "I-2", "quantity": "4", "unit": "C62"}],
	"characteristics": [{"id": "C-1", "nominal": "24", "lower": "22.80", "upper": "25.2", "unit": "NU", "unitSymbol": "N·m", "point": "hold"}],
	"signOffs": [{"role": "inspector"}], "evidence": [{"kind": "photo"}], "scene": null, "resources": [], "attachments": [{"file": "gone.pdf"}],
	"notCarried": [{"code": "FILE_MISSING", "message": "\"gone.pdf\" is not there"}]}`

func printed(t *testing.T, tree fstest.MapFS, lang string) string {
	t.Helper()
	list(tree)
	page, damaged, err := NewTree(tree).Print(edition, lang)
	require.NoError(t, err)
	require.Empty(t, damaged)
	return string(page)
}

func printable() fstest.MapFS {
	tree := smallTree()
	tree[edition+"/bundle.json"].Data = []byte(`{"plan": "P", "revision": "A", "edition": "000000000000", "held": true,
		"steps": [{"folder": "S-1", "id": "S-1", "operation": "OP-1", "sequence": 1}]}`)
	tree[edition+"/steps/S-1/step.json"].Data = []byte(printedStep)
	return tree
}

func TestPrintSaysAllInTheOrderOfTheWork(t *testing.T) {
	text := printed(t, printable(), "en")
	at := 0
	for _, s := range []string{
		"Held: not to be used", `class="hazard caution"`, "<svg", "Caution:", "It is hot.", `class="hazard notice"`, "NOTICE", `class="hazard other"`, "HARK",
		"Local codes and licensed practice prevail", "missing", "Parts", "I-2", "Preparation", "2.50 ml", "degreases", "lot:", "To be measured", "Hold point", "22.80", "24", "25.2", "N·m", "Sign-offs", "inspector", "Name", "Date", "To be recorded", "Photograph",
		"FILE_MISSING",
	} {
		i := strings.Index(text[at:], s)
		require.GreaterOrEqual(t, i, 0, "%q is not where it should be", s)
		at += i
	}
	assert.Contains(t, text, "Fit &lt;it&gt;")
	assert.Contains(t, text, "1\u00a0h 30\u00a0min")
	assert.Equal(t, "0.5\u00a0h", language("en").duration("PT0.5H"))
	assert.Equal(t, "0,5\u00a0h", language("en").duration("PT0,5H"))
	assert.Equal(t, "20 min", language("en").duration("20 min"))
	notice := text[strings.Index(text, "hazard notice"):strings.LastIndex(text, "NOTICE")]
	assert.NotContains(t, notice, "<svg", "a notice has no alert symbol")
	assert.NotContains(t, text, "http://", "the page needs nothing from outside")
}

// A part that is drawn, and that nothing places, is named; one that is not drawn is not.
func TestPrintSaysWhatHasNoPlace(t *testing.T) {
	tree := printable()
	assert.NotContains(t, printed(t, tree, "en"), "the place is not known")
	scene := `"scene": {"nodes": [{"name": "I-1", "part": 0, "role": "focus", "triangles": 0}, {"name": "I-2", "part": 1, "role": "focus", "triangles": 9},
		{"name": "a", "occurrence": "a", "role": "context", "triangles": 9}]}`
	tree[edition+"/steps/S-1/step.json"].Data = []byte(strings.Replace(printedStep, `"scene": null`, scene, 1))
	assert.Contains(t, printed(t, tree, "en"), "<strong>I-2</strong>: shown aside, as the place is not known")
}

// What is tightened is named, once as long as the order stays with one part. What is of no
// part is not taken for the part before.
func TestPrintNamesWhatIsTightened(t *testing.T) {
	tree := printable()
	parts := `"parts": [{"item": "I-1", "itemTitle": [{"text": "Screw"}], "findNumber": "20", "occurrences": ["a", "b"]}, {"item": "I-2", "occurrences": ["c"]}],
		"tightening": [{"order": "1", "occurrence": "b"}, {"order": "2", "occurrence": "a"}, {"order": "3", "occurrence": "c"}, {"order": "4", "occurrence": "b"}, {"order": "5", "occurrence": "x"}], "other": [`
	tree[edition+"/steps/S-1/step.json"].Data = []byte(strings.Replace(printedStep, `"parts": [`, parts, 1))
	text := printed(t, tree, "en")
	inOrder := `<h2>Tightening order <small>Screw · Find no. 20</small></h2><ol class="inline"><li><strong>1</strong> b<li><strong>2</strong> a</ol>` +
		`<h2> <small>I-2</small></h2><ol class="inline"><li><strong>3</strong> c</ol>` +
		`<h2> <small>Screw · Find no. 20</small></h2><ol class="inline"><li><strong>4</strong> b</ol><h2>Tightening order</h2><ol class="inline"><li><strong>5</strong> x</ol>`
	assert.Contains(t, text, inOrder)
}

// What makes it doubtful whether the overlay lies right stands with what it is aligned by,
// once each.
func TestPrintSaysWhatTheOverlayIsAlignedBy(t *testing.T) {
	tree := printable()
	assert.NotContains(t, printed(t, tree, "en"), "Aligned by")
	by := `"registration": {"occurrence": "shaft-1", "itemTitle": [{"lang": "en", "text": "Pinion shaft"}]}, "notCarried": [
		{"code": "SCENE_REGISTRATION_SYMMETRIC", "message": "m"}, {"code": "SCENE_REGISTRATION_HIDDEN", "message": "n"}, {"code": "SCENE_REGISTRATION_HIDDEN", "message": "o"}, `
	tree[edition+"/steps/S-1/step.json"].Data = []byte(strings.Replace(printedStep, `"notCarried": [`, by, 1))
	text := printed(t, tree, "en")
	line := `<p>Aligned by: <strong>Pinion shaft</strong> shaft-1 <strong class="gaps">– looks the same when it is turned</strong> <strong class="gaps">– not to be seen in this step</strong></p>`
	assert.Contains(t, text, line)
	assert.NotContains(t, text, "SCENE_REGISTRATION", "nothing is missing from the step")
	assert.Contains(t, text, `class="gaps"><h2>`, "but for what is")
	assert.Contains(t, printed(t, tree, "de"), "Ausgerichtet an")

	tree[edition+"/steps/S-1/step.json"].Data = []byte(strings.Replace(printedStep, `"notCarried": [`, `"registration": {"occurrence": "x"}, "notCarried": [{"code": "SCENE_REGISTRATION_TO_COME", "message": "m"}, `, 1))
	assert.Contains(t, printed(t, tree, "en"), `<p>Aligned by: x <strong class="gaps">– not there yet when the step begins</strong></p>`)

	tree[edition+"/steps/S-1/step.json"].Data = []byte(strings.Replace(printedStep, `"notCarried": [`, `"notCarried": [{"code": "SCENE_REGISTRATION_TO_COME", "message": "there is none yet"}, `, 1))
	assert.Contains(t, printed(t, tree, "en"), "there is none yet", "where nothing is aligned by, it stands among the gaps")
}

func TestPrintSpeaksALanguage(t *testing.T) {
	german := printed(t, printable(), "de")
	assert.Contains(t, german, "Anbauen")
	assert.Contains(t, german, "VORSICHT")
	assert.Contains(t, german, "Örtliche Vorschriften")
	assert.Contains(t, german, `<span lang="en" dir="ltr">It is hot.</span>`)
	assert.Contains(t, printed(t, printable(), "ar"), `<html lang="ar" dir="rtl">`)
}

func TestPrintSaysWhichStepIsDamaged(t *testing.T) {
	tree := printable()
	list(tree)
	tree[edition+"/steps/S-1/step.json"].Data = []byte(`{"id": "S-2"}`)
	page, damaged, err := NewTree(tree).Print(edition, "en")
	require.NoError(t, err)
	require.Len(t, damaged, 1)
	assert.Equal(t, edition+"/steps/S-1/step.json", damaged[0].Name)
	assert.Contains(t, string(page), "not as it was issued")
	assert.Contains(t, string(page), "S-1")
}

// The page in the browser and the one on paper have the same words in every language.
func TestWordsAreWhole(t *testing.T) {
	for lang, own := range words.Languages {
		for key := range words.Languages["en"] {
			assert.NotEmpty(t, own[key], "%s has no word for %q", lang, key)
		}
		assert.Len(t, own, len(words.Languages["en"]), lang)
	}
}

// A picture that was altered is not left out silently, nor is the whole plan.
func TestPrintSaysWhatCannotBeShown(t *testing.T) {
	tree := printable()
	picture := store.BlobName(store.Digest([]byte("\x89PNG\r\n\x1a\nrest")), "png")
	tree[edition+"/steps/S-1/step.json"].Data = []byte(`{"id": "S-1", "picture": {"uri": "../../../../../` + picture + `"}}`)
	assert.Contains(t, printed(t, tree, "en"), "data:image/png")
	tree[picture].Data = []byte("altered")
	page, damaged, err := NewTree(tree).Print(edition, "en")
	require.NoError(t, err)
	require.Len(t, damaged, 1)
	assert.Equal(t, picture, damaged[0].Name)
	assert.Contains(t, string(page), "cannot be shown")

	tree[edition+"/bundle.json"].Data = []byte("altered")
	page, damaged, err = NewTree(tree).Print(edition, "en")
	require.NoError(t, err)
	assert.Nil(t, page)
	assert.Len(t, damaged, 1)
}

func TestPrintLeavesNothingOut(t *testing.T) {
	tree := printable()
	tree[edition+"/steps/S-1/step.json"].Data = []byte(`{"id": "S-1", "number": "0010", "alternative": "G-2", "effectivity": [{"from": "12", "to": "20"}],
		"plan": {"id": "P", "status": "released", "approver": "M. Rossi"},
		"operation": {"id": "OP-1", "builds": "I-9", "quantity": "3", "alternative": "G-1", "effectivity": [{"from": "5", "to": "30"}]},
		"attachments": [{"file": "a.pdf", "effectivity": [{"from": "7", "to": "7"}]}],
		"parts": [{"item": "I-1", "quantity": "1", "documents": [{"file": "b.pdf", "effectivity": [{"from": "8", "to": "9"}]}]}]}`)
	text := printed(t, tree, "en")
	for _, want := range []string{"0010", "one of several: G-2", "one of several: G-1", "12–20", "5–30", "released", "M. Rossi", "builds: I-9", "How often: 3 ×", "valid for 7<", "8–9"} {
		assert.Contains(t, text, want)
	}
}
