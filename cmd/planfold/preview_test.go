package main

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"image"
	"image/draw"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"planfold/convert/bundle"
	"planfold/convert/store"
	"planfold/convert/view"
)

// served serves a tree until the test ends, and gives its address.
func served(t testing.TB, out string) string {
	t.Helper()
	root, err := os.OpenRoot(out)
	require.NoError(t, err)
	ctx, stop := context.WithCancel(t.Context())
	address, ended := make(chan string, 1), make(chan error, 1)
	go func() { ended <- serve(ctx, view.NewTree(root.FS()), 0, func(a string) { address <- a }) }()
	t.Cleanup(func() {
		stop()
		assert.NoError(t, <-ended)
		root.Close()
	})
	return <-address
}

// inTree is an edition's folder from the root of its tree.
func (e *edition) inTree() string { return strings.TrimPrefix(e.folder, e.out+"/") }

// open shows a step of an edition.
func (b *browser) open(address string, e edition, step string) {
	b.t.Helper()
	b.do(chromedp.Navigate("about:blank"), chromedp.Navigate(address+strings.TrimPrefix(e.inTree(), "plans/")+"/"+step))
	b.step(step)
}

// Every step of the demo is walked to by the button, and drawn.
func TestPreviewWalksTheDemo(t *testing.T) {
	b := openBrowser(t)
	e := demoEdition(t)
	steps := e.manifest.Steps
	b.do(chromedp.EmulateViewport(1000, 760), chromedp.Navigate(served(t, e.out)))
	for i, s := range steps {
		if i > 0 {
			b.click(".walk .next")
		}
		b.step(s.Folder)
		assert.Contains(t, eval[string](b, "document.querySelector('h1').textContent"), s.Title, s.ID)
		picture := b.picture("walk-"+s.Folder, ".canvas")
		assert.Greater(t, shown(picture), 4000, "step %s is blank", s.ID)
		if hasFocus(e.steps[i]) {
			assert.Greater(t, blue(picture), 150, "step %s shows nothing of its own", s.ID)
		}
	}
	assert.True(t, eval[bool](b, "document.querySelector('.walk .next').disabled"))
	b.click(".walk .previous")
	b.step(steps[len(steps)-2].Folder)
	assert.Empty(t, b.said())

	b.do(chromedp.Evaluate[chromedp.Void]("document.querySelector('canvas').style.visibility = 'hidden'"))
	assert.Zero(t, shown(b.picture("", ".canvas")), "a page that draws nothing is noticed")
}

// hasFocus reports a step whose scene shows parts that it consumes.
func hasFocus(s bundle.Step) bool {
	return s.Scene != nil && slices.ContainsFunc(s.Scene.Nodes, func(n bundle.SceneNode) bool { return n.Part != nil && n.Triangles > 0 })
}

func TestPreviewTellsAStep(t *testing.T) {
	b := openBrowser(t)
	e := demoEdition(t)
	b.open(served(t, e.out)+"#/", e, "S-60-4")
	b.picture("step", "")
	row := eval[[]float64](b, "['.steps', '.steps a[aria-current]'].flatMap((s) => { const r = document.querySelector(s).getBoundingClientRect(); return [r.top, r.bottom]; })")
	assert.True(t, row[0] <= row[2] && row[3] <= row[1], "the list shows the step's row: %v", row)
	text := eval[string](b, "document.querySelector('main').innerText")
	inOrder(t, text, "WARNING", "CAUTION", "Instruction", "Parts", "Preparation", "Tools", "To be measured", "22.8 N·m", "24 N·m", "25.2 N·m", "Sign-offs", "Local codes")
	assert.Equal(t, "rgb(255, 130, 0)", eval[string](b, "getComputedStyle(document.querySelector('[data-level=warning] .signal')).backgroundColor"))

	t.Run("a part and its row select each other", func(t *testing.T) {
		b.click(".parts [data-part='1'] .pick")
		assert.Greater(t, green(b.picture("picked", ".canvas")), 300)
		at := eval[[]float64](b, `(() => { const r = document.querySelector('canvas').getBoundingClientRect(); return [r.left, r.top, r.width, r.height]; })()`)
		b.do(chromedp.MouseClickXY(at[0]+2, at[1]+at[3]-2)) // nothing is there
		assert.Equal(t, 0, eval[int](b, "document.querySelectorAll('.pick[aria-pressed=true]').length"))
		x, y := b.find(blue)
		b.do(chromedp.MouseClickXY(x, y))
		assert.Equal(t, 1, eval[int](b, "document.querySelectorAll('.parts .pick[aria-pressed=true]').length"))
		assert.Equal(t, "Hexagon screw ISO 4017 M8 x 30", eval[string](b, "[...document.querySelectorAll('.tightening .name')].map((n) => n.innerText).join()"))
		b.click(".tightening .pick")
		assert.Greater(t, green(b.picture("tightened", ".canvas")), 100)
		b.do(chromedp.MouseClickXY(at[0]+2, at[1]+at[3]-2), chromedp.Evaluate[chromedp.Void]("document.activeElement.blur()"))
	})
	t.Run("the motion is played and put at any instant", func(t *testing.T) {
		begin := b.picture("", ".canvas")
		b.do(chromedp.KeyEvent(" "))
		b.wait("document.querySelector('#scrub').value === '1000'")
		end := b.picture("played", ".canvas")
		assert.Greater(t, differing(begin, end), 2000)
		b.slide("scrub", 0)
		assert.Less(t, differing(begin, b.picture("", ".canvas")), 50)
	})
	t.Run("the scene is exploded, cut, reduced and whole", func(t *testing.T) {
		before := b.picture("", ".canvas")
		b.slide("explode", 700)
		assert.Greater(t, differing(before, b.picture("exploded", ".canvas")), 1000)
		b.do(chromedp.KeyEvent("r"), chromedp.KeyEvent("f"))
		assert.Less(t, shown(b.picture("focus-only", ".canvas")), shown(before))
		b.do(chromedp.KeyEvent("f"))
		b.do(chromedp.SetValue(chromedp.CSS("#section"), "z"), chromedp.Evaluate[chromedp.Void]("document.querySelector('#section').dispatchEvent(new Event('change'))"))
		assert.Greater(t, differing(before, b.picture("cut", ".canvas")), 2000)
		b.do(chromedp.Evaluate[chromedp.Void]("document.querySelector('#section').selectedIndex = 0"), chromedp.Evaluate[chromedp.Void]("document.querySelector('#section').dispatchEvent(new Event('change'))"))
		b.do(chromedp.KeyEvent("e"))
		b.wait("document.querySelector('[data-tool=everything]').ariaPressed === 'true' && document.querySelector('.message').hidden")
		whole := b.picture("whole", ".canvas")
		assert.Greater(t, blue(whole), 50, "this step's parts are marked")
		assert.Less(t, blue(whole), shown(whole)/4)
		b.do(chromedp.KeyEvent("e"))
		b.wait("document.querySelector('[data-tool=everything]').ariaPressed === 'false' && document.querySelector('.message').hidden")
		assert.Greater(t, blue(b.picture("", ".canvas")), 400)
	})
	t.Run("each value says where it comes from", func(t *testing.T) {
		b.click("[data-section=characteristics] .why-button")
		b.wait("document.querySelector('[data-section=characteristics] .why')")
		want := originOf(t, e, "S-60-4", "/characteristics/0/upper")
		assert.Contains(t, eval[string](b, "document.querySelector('[data-section=characteristics]').innerText"), want)
		b.picture("why", "")
		b.click("[data-section=characteristics] .why-button")
		assert.Equal(t, 0, eval[int](b, "document.querySelectorAll('.why').length"))
	})
	t.Run("keys lead on", func(t *testing.T) {
		b.do(chromedp.KeyEvent("n"))
		b.step("S-60-5")
		b.do(chromedp.KeyEvent("p"))
		b.step("S-60-4")
		b.do(chromedp.KeyEvent("?"))
		b.wait("document.querySelector('dialog[open]')")
		b.picture("keys", "")
		b.click("dialog button")
		b.wait("!document.querySelector('dialog')")
		b.do(chromedp.KeyEvent("/"))
		assert.Equal(t, "search", eval[string](b, "document.activeElement.id"))
	})
	assert.Empty(t, b.said())
}

// A search finds what stands in any step's document, whether its row was scrolled to or
// not, in the language shown; and the list shows what the operations are called.
func TestPreviewSearchesEveryStep(t *testing.T) {
	b := openBrowser(t)
	e := demoEdition(t)
	address := served(t, e.out) + "#/"
	b.open(address, e, "S-10-1")
	require.Equal(t, "OP-70", eval[string](b, "[...document.querySelectorAll('.operation-title')].at(-1).textContent"), "it has not been read yet")
	found := func(text string, want ...string) {
		t.Helper()
		const shown = "[...document.querySelectorAll('.steps li:not([hidden])')].map((r) => r.dataset.folder).join()"
		b.do(chromedp.Evaluate[chromedp.Void](fmt.Sprintf("(() => { const s = document.querySelector('#search'); s.value = %q; s.dispatchEvent(new Event('input')); })()", text)))
		b.wait(fmt.Sprintf("%s === %q && !document.querySelector('.count').textContent.includes('…')", shown, strings.Join(want, ",")))
	}
	found("Finish and fill", "S-70-1", "S-70-2", "S-70-3", "S-70-4", "S-70-5", "S-70-6")
	assert.Equal(t, "070  Finish and fill", eval[string](b, "[...document.querySelectorAll('.operation-title')].at(-1).textContent"))
	b.picture("search", "")
	assert.Empty(t, b.axe(), "search")
	found("washer m8", "S-60-4", "S-60-5")
	found("torque plug", "S-10-3", "S-70-5")
	found("p-1010", "S-10-1")
	found("nowhere")
	assert.Equal(t, "Nothing found.", eval[string](b, "document.querySelector('.count').textContent"))
	found("scheibe")
	assert.Empty(t, b.said())

	b.settle(address, e, `{"language": "de"}`)
	found("scheibe m8", "S-60-4", "S-60-5")
}

func inOrder(t *testing.T, text string, all ...string) {
	t.Helper()
	at := 0
	for _, s := range all {
		i := strings.Index(text[at:], s)
		if assert.GreaterOrEqual(t, i, 0, "%q is not where it should be", s) {
			at += i
		}
	}
}

// originOf is a value's origin as the page writes it.
func originOf(t *testing.T, e edition, step, pointer string) string {
	t.Helper()
	text, err := os.ReadFile(filepath.Join(e.folder, "origin.json"))
	require.NoError(t, err)
	var o struct {
		File  string
		Rules []string
		Steps map[string]map[string]string
	}
	require.NoError(t, json.Unmarshal(text, &o))
	var line, column, rule int
	_, err = fmt.Sscanf(o.Steps[step][pointer], "%d:%d:%d", &line, &column, &rule)
	require.NoError(t, err)
	return fmt.Sprintf("%s:%d:%d · %s", o.File, line, column, o.Rules[rule])
}

func TestPreviewSpeaksAndFits(t *testing.T) {
	b := openBrowser(t)
	e := demoEdition(t)
	address := served(t, e.out) + "#/"
	b.open(address, e, "S-60-1")
	assert.Empty(t, b.axe(), "light")
	b.do(chromedp.KeyEvent("w"))
	b.wait("document.querySelector('[data-section=parts] .why')")
	assert.Empty(t, b.axe(), "why")

	b.settle(address, e, `{"language": "ar", "theme": "light"}`)
	assert.Equal(t, "rtl", eval[string](b, "getComputedStyle(document.body).direction"))
	assert.Equal(t, "الأجزاء", eval[string](b, "document.querySelector('#s-parts').textContent"))
	b.picture("rtl", "")
	assert.Empty(t, b.axe(), "right to left")
	b.do(chromedp.KeyEvent("\u0302")) // ArrowLeft: onwards
	b.step("S-60-2")

	b.settle(address, e, `{"language": "de", "theme": "dark", "glove": true}`)
	assert.Contains(t, eval[string](b, "document.querySelector('main').innerText"), "WARNUNG")
	assert.Contains(t, eval[string](b, "document.querySelector('.precedence').innerText"), "Örtliche Vorschriften")
	b.picture("dark", "")
	assert.Empty(t, b.axe(), "dark")
	assert.GreaterOrEqual(t, b.smallest(), 72.0, "glove mode")

	b.settle(address, e, `{"language": "en", "theme": "light"}`)
	assert.GreaterOrEqual(t, b.smallest(), 48.0)
	b.do(chromedp.EmulateViewport(390, 844, chromedp.EmulateMobile, chromedp.EmulateTouch))
	b.settle(address, e, `{"language": "en", "theme": "light"}`)
	assert.LessOrEqual(t, eval[int](b, "document.documentElement.scrollWidth"), 390)
	assert.GreaterOrEqual(t, b.smallest(), 48.0)
	b.picture("phone", "")
	top := func(selector string) float64 {
		return eval[float64](b, "document.querySelector('"+selector+"').getBoundingClientRect().top")
	}
	assert.Less(t, top("[data-section=instruction] .text")+10, top(".walk"), "the first screen shows where the instruction begins")
	assert.Less(t, top(".play"), top("[data-section=instruction]"))
	assert.False(t, eval[bool](b, "document.querySelector('#explode').checkVisibility()"))
	b.click(".unfold")
	assert.Equal(t, "true", eval[string](b, "document.querySelector('.unfold').ariaExpanded"))
	assert.True(t, eval[bool](b, "document.querySelector('#explode').checkVisibility()"))
	assert.GreaterOrEqual(t, b.smallest(), 48.0)
	b.picture("phone-view", "")
	assert.Empty(t, b.axe(), "phone, unfolded")
	b.click(".unfold")
	b.do(chromedp.Evaluate[chromedp.Void]("document.querySelector('.panel').scrollIntoView()"))
	b.picture("phone-panel", "")
	assert.Empty(t, b.axe(), "phone")
	b.click(".open-steps")
	b.picture("phone-steps", "")
	assert.Empty(t, b.axe(), "phone, list of steps")
	b.do(chromedp.Navigate(address), chromedp.Reload())
	assert.Empty(t, b.said())
}

func TestExportOpensFromDisk(t *testing.T) {
	b := openBrowser(t)
	e := demoEdition(t)
	dir := t.TempDir()
	text, err := planfold(t, "preview", e.out, "--export", dir).CombinedOutput()
	require.NoError(t, err, "%s", text)
	assert.Regexp(t, `^wrote \d+ files to `+dir+`; open `+dir+`/index.html\n$`, string(text))
	b.open("file://"+dir+"/index.html#/", e, "S-60-4")
	assert.Greater(t, blue(b.picture("disk", ".canvas")), 400)
	b.wait("[...document.querySelectorAll('[data-section=attachments] img')].every((i) => { i.loading = 'eager'; return i.complete && i.naturalWidth > 0; })")
	b.do(chromedp.KeyEvent("w"))
	b.wait("document.querySelector('[data-section=parts] .why')")
	b.do(chromedp.KeyEvent("n"))
	b.step("S-60-5")
	assert.Empty(t, b.said())
}

// Each step of the demo is printed, nearly all of them on one page.
func TestPrintedStepsFitTheirPages(t *testing.T) {
	b := openBrowser(t)
	e := demoEdition(t)
	file := filepath.Join(t.TempDir(), "steps.html")
	require.Equal(t, statusDone, run([]string{"preview", e.out, "--print", file}))
	b.do(chromedp.Navigate("file://" + file))
	assert.Equal(t, len(e.steps), eval[int](b, "document.querySelectorAll('article').length"))
	assert.True(t, eval[bool](b, "[...document.images].every((i) => i.naturalWidth > 0)"))
	pdf, err := chromedp.Run(b.ctx, chromedp.PrintToPDF(chromedp.PDFPreferCSSPageSize(), chromedp.PDFPrintBackground()))
	require.NoError(t, err)
	if dir := os.Getenv("PLANFOLD_SHOTS"); dir != "" {
		require.NoError(t, os.WriteFile(filepath.Join(dir, "steps.pdf"), pdf, 0o666))
	}
	pages := bytes.Count(pdf, []byte("/Type /Page\n"))
	assert.GreaterOrEqual(t, pages, len(e.steps))
	assert.LessOrEqual(t, pages, len(e.steps)*5/4)
	assert.Empty(t, b.said())
	t.Run("each page says of which step it is and what can hurt", func(t *testing.T) { eachPageSays(t, e, pdf) })
}

// eachPageSays looks at the first line of each page, a second one of a step included.
func eachPageSays(t *testing.T, e edition, pdf []byte) {
	if _, err := exec.LookPath("pdftotext"); err != nil {
		t.Skip("pdftotext is not installed")
	}
	c := exec.Command("pdftotext", "-layout", "-", "-")
	c.Stdin = bytes.NewReader(pdf)
	text, err := c.Output()
	require.NoError(t, err)
	pages := strings.Split(strings.TrimSuffix(string(text), "\f"), "\f")
	require.Greater(t, len(pages), len(e.steps), "no step goes on over a page")
	at := 0
	for _, page := range pages {
		first, _, _ := strings.Cut(strings.TrimSpace(page), "\n")
		if at < len(e.steps) && strings.Contains(first, fmt.Sprintf("Step %d of", at+1)) {
			at++
		}
		s := e.steps[at-1]
		assert.Contains(t, first, s.ID.Value)
		for _, h := range s.Hazards {
			assert.Contains(t, first, h.SignalWord[0].Text.Value, s.ID.Value)
		}
	}
	assert.Equal(t, len(e.steps), at)
}

func TestPreviewSaysWhatIsWrong(t *testing.T) {
	b := openBrowser(t)
	e := demoEdition(t)
	out := t.TempDir()
	require.NoError(t, os.CopyFS(out, os.DirFS(e.out)))
	change := func(name, old, new string) {
		text, err := os.ReadFile(filepath.Join(out, name))
		require.NoError(t, err)
		require.Contains(t, string(text), old)
		require.NoError(t, os.WriteFile(filepath.Join(out, name), []byte(strings.Replace(string(text), old, new, 1)), 0o666))
	}
	address := served(t, out) + "#/"

	catalog, err := bundle.ReadCatalog(os.DirFS(out))
	require.NoError(t, err)
	plan := catalog.Plans[0]
	plan.Editions = append(plan.Editions, bundle.Edition{Revision: "D", ID: "0123456789ab", Folder: "D@0123456789ab", Held: true, Cause: "new revision"})
	later, err := json.Marshal(catalog)
	require.NoError(t, err)
	issued, err := os.ReadFile(filepath.Join(out, "catalog.json"))
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(filepath.Join(out, "catalog.json"), later, 0o666))
	b.open(address, e, "S-10-1")
	assert.Equal(t, "An edition issued after this one is held: D @0123456789ab", eval[string](b, "document.querySelector('.notices').innerText"))
	assert.Equal(t, "#/"+plan.Folder+"/D@0123456789ab", eval[string](b, "document.querySelector('.notices a').getAttribute('href')"))
	b.picture("held-later", "")
	assert.Empty(t, b.axe(), "held later")
	require.NoError(t, os.WriteFile(filepath.Join(out, "catalog.json"), issued, 0o666))

	change("catalog.json", `"held": false`, `"held": true`)
	change("catalog.json", `"current": "`+filepath.Base(e.folder)+`",`, "")
	change(e.inTree()+"/steps/S-10-2/step.json", "Degrease", "Paint")
	require.NoError(t, os.Remove(filepath.Join(out, e.inTree(), "steps/S-10-3/scene.gltf")))

	b.open(address, e, "S-10-1")
	assert.Contains(t, eval[string](b, "document.querySelector('.held[role=alert]').innerText"), "not to be used")
	b.picture("held", "")
	b.click(".walk .next")
	b.step("S-10-2")
	assert.Contains(t, eval[string](b, "document.querySelector('.warnings').innerText"), "not as it was issued")
	assert.NotContains(t, eval[string](b, "document.querySelector('main').innerText"), "Paint")
	b.click(".walk .next")
	b.step("S-10-3")
	assert.Contains(t, eval[string](b, "document.querySelector('.message').innerText"), "is missing")
	assert.Contains(t, eval[string](b, "document.querySelector('.panel').innerText"), "Parts", "the instruction is shown all the same")
	b.picture("damaged", "")

	require.NoError(t, os.Remove(filepath.Join(out, "catalog.json")))
	require.NoError(t, os.WriteFile(filepath.Join(out, "catalog.json"), []byte(`{"format": "planfold/catalog/1", "profile": "handheld", "plans": []}`), 0o666))
	b.do(chromedp.Navigate("about:blank"), chromedp.Navigate(address))
	b.wait("document.querySelector('.plans-page [role=status]')?.innerText.includes('No plans')")
}

// The locator marks the step's place in the corner, whatever is cut; and the page says of
// a motion what it leads through, or that nobody drew it.
func TestPreviewTellsPlaceAndMotion(t *testing.T) {
	b := openBrowser(t)
	e := demoEdition(t)
	address := served(t, e.out) + "#/"
	for _, s := range []struct{ id, motion, aligned string }{
		{"S-21-1", "shaft-1: motion found from the geometry, not drawn by an engineer", "sharp edges"},
		{"S-40-2", "line-mid-1: the motion, as given, leads through line-out-1/wheel-1", "housing-lower-1"},
		{"S-30-1", "", "cap-1 – looks the same when it is turned"},
		{"S-70-5", "", "Housing, lower half housing-lower-1"},
	} {
		b.open(address, e, s.id)
		b.wait("!document.querySelector('[data-tool=locator]').hidden")
		inset := corner(b.picture("place-"+s.id, ".canvas"))
		assert.Greater(t, shown(inset), 1500, "%s: the whole product is seen", s.id)
		assert.Greater(t, blue(inset), 40, "%s: its place is marked", s.id)
		b.picture("motion-"+s.id, "")
		assert.Contains(t, eval[string](b, "document.querySelector('.notes').innerText"), s.motion, s.id)
		assert.Equal(t, s.motion == "", eval[bool](b, "document.querySelector('.notes').childElementCount === 0"), s.id)
		assert.Contains(t, eval[string](b, "document.querySelector('.panel').innerText"), s.aligned, s.id)
	}
	b.click("[data-tool=locator]")
	assert.Zero(t, blue(corner(b.picture("", ".canvas"))), "it can be put away")
	assert.Empty(t, b.said())
}

// The edges are drawn over the step's scene, at their place in it, until they are put away.
func TestPreviewShowsWhatTheStepIsAlignedBy(t *testing.T) {
	b := openBrowser(t)
	e := demoEdition(t)
	b.open(served(t, e.out)+"#/", e, "S-40-1")
	pressed := func(is string) string {
		return "document.querySelector('[data-tool=alignedEdges]').ariaPressed === '" + is + "'"
	}
	b.wait(pressed("false"))
	before := b.picture("", ".canvas")
	require.Less(t, violet(before), 20)
	b.click("[data-tool=alignedEdges]")
	b.wait(pressed("true"))
	edges := b.picture("aligned", ".canvas")
	require.Greater(t, violet(edges), 1000)
	require.Greater(t, differing(before, edges), 1000)
	b.picture("aligned-page", "")
	require.GreaterOrEqual(t, eval[float64](b, "document.querySelector('[data-tool=alignedEdges]').getBoundingClientRect().height"), 48.0)

	b.do(chromedp.KeyEvent("n"))
	b.step("S-40-2")
	require.Greater(t, violet(b.picture("aligned-next", ".canvas")), 500, "the next step's, too")
	b.do(chromedp.KeyEvent("e"))
	b.wait("document.querySelector('[data-tool=everything]').ariaPressed === 'true' && document.querySelector('.message').hidden")
	require.Less(t, violet(b.picture("", ".canvas")), 20, "the whole stands elsewhere")
	require.True(t, eval[bool](b, "document.querySelector('[data-tool=alignedEdges]').hidden"))
	b.do(chromedp.KeyEvent("e"))
	b.wait("document.querySelector('[data-tool=everything]').ariaPressed === 'false' && document.querySelector('.message').hidden")
	b.do(chromedp.KeyEvent("a"))
	b.wait(pressed("false"))
	require.Less(t, violet(b.picture("", ".canvas")), 20)
	assert.Empty(t, b.said())
}

// A part that lies beside those that stand in place is named, so that nobody looks there
// for where it goes.
func TestPreviewTellsWhatHasNoPlace(t *testing.T) {
	b := openBrowser(t)
	e := demoEdition(t)
	out := t.TempDir()
	require.NoError(t, os.CopyFS(out, os.DirFS(e.out)))
	reissue(t, out, e.inTree(), "steps/S-60-4/step.json", func(text string) string {
		return regexp.MustCompile(`"occurrence": "washer-out-front-\d",\s*`).ReplaceAllString(text, "")
	})
	b.open(served(t, out)+"#/", e, "S-60-4")
	b.picture("aside", "")
	notes := eval[string](b, "document.querySelector('.notes').innerText")
	assert.Contains(t, notes, "Washer ISO 7089 8: shown aside, as the place is not known")
	assert.Equal(t, 1, strings.Count(notes, "Washer"), "all of a part are said once")
	assert.Empty(t, b.axe(), "aside")
	b.do(chromedp.KeyEvent("n"))
	b.step("S-60-5")
	assert.NotContains(t, eval[string](b, "document.querySelector('.notes').innerText"), "the place is not known")
}

// reissue changes a file of an edition and its digest with it.
func reissue(t *testing.T, out, edition, name string, change func(string) string) {
	t.Helper()
	path, sums := filepath.Join(out, edition, name), filepath.Join(out, edition, "SHA256SUMS")
	was, err := os.ReadFile(path)
	require.NoError(t, err)
	is := []byte(change(string(was)))
	require.NotEqual(t, was, is)
	list, err := os.ReadFile(sums)
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(path, is, 0o666))
	require.NoError(t, os.WriteFile(sums, bytes.ReplaceAll(list, []byte(store.Digest(was)), []byte(store.Digest(is))), 0o666))
}

// corner is the part of the canvas in which the locator is drawn.
func corner(img image.Image) image.Image {
	r := img.Bounds()
	side := min(r.Dx(), r.Dy()) * 3 / 10
	out := image.NewRGBA(image.Rect(0, 0, side, side+40)) // the strip that is not counted
	draw.Draw(out, image.Rect(0, 40, side, side+40), img, image.Pt(r.Min.X, r.Max.Y-side), draw.Src)
	return out
}
