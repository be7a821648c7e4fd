package main

import (
	"bytes"
	"context"
	"fmt"
	"image"
	"image/color"
	"image/png"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/log"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/require"

	"planfold/convert/view"
)

// browser is a tab of Chromium without a window. Without a graphics card it draws as it
// does by itself there: scenes by its software renderer, pages without it.
type browser struct {
	t   testing.TB
	ctx context.Context

	mutex    sync.Mutex
	messages []string // errors and warnings of the console
}

// openBrowser skips where there is no Chromium or no page, and fails under CI=true.
func openBrowser(t testing.TB) *browser {
	t.Helper()
	_, err := exec.LookPath("chromium")
	for what, missing := range map[string]bool{"Chromium is not installed": err != nil, "the page is not built: make page": !view.HasPage()} {
		if missing && os.Getenv("CI") == "true" {
			t.Fatal(what)
		}
		if missing {
			t.Skip(what)
		}
	}
	options := append(chromedp.DefaultExecAllocatorOptions[:],
		chromedp.NoSandbox, chromedp.ExecPath("chromium"), chromedp.WindowSize(1440, 900),
		chromedp.Flag("disable-gpu", false), chromedp.Flag("enable-unsafe-swiftshader", true))
	allocator, stop := chromedp.NewExecAllocator(t.Context(), options...)
	t.Cleanup(stop)
	ctx, cancel := chromedp.NewContext(allocator)
	t.Cleanup(cancel)
	b := &browser{t: t, ctx: ctx}
	require.NoError(t, chromedp.Listen(ctx, b.hear))
	b.do(chromedp.EmulateViewport(1440, 900))
	return b
}

func (b *browser) hear(event any) {
	b.mutex.Lock()
	defer b.mutex.Unlock()
	switch e := event.(type) {
	case *runtime.EventExceptionThrown:
		b.messages = append(b.messages, fmt.Sprintf("%+v", *e.ExceptionDetails))
	case *runtime.EventConsoleAPICalled:
		if e.Type == "error" || e.Type == "warning" {
			var text []string
			for _, a := range e.Args {
				text = append(text, string(a.Value)+a.Description)
			}
			b.messages = append(b.messages, strings.Join(text, " "))
		}
	case *log.EventEntryAdded:
		if e.Entry.Level == "error" {
			b.messages = append(b.messages, e.Entry.Text+" "+e.Entry.URL)
		}
	}
}

// said is what the console was told since it was last asked.
func (b *browser) said() []string {
	b.mutex.Lock()
	defer b.mutex.Unlock()
	all := b.messages
	b.messages = nil
	return all
}

func (b *browser) do(steps ...chromedp.Action[chromedp.Void]) {
	b.t.Helper()
	ctx, cancel := context.WithTimeout(b.ctx, 120*time.Second)
	defer cancel()
	require.NoError(b.t, chromedp.Do(ctx, steps...))
}

// eval gives the value of an expression.
func eval[T any](b *browser, expression string) T {
	b.t.Helper()
	ctx, cancel := context.WithTimeout(b.ctx, 120*time.Second)
	defer cancel()
	v, err := chromedp.Run(ctx, chromedp.Evaluate[T](expression, chromedp.EvalAwaitPromise))
	require.NoError(b.t, err, expression)
	return v
}

// wait waits until a condition holds in the page, whatever page is on its way.
func (b *browser) wait(condition string) {
	b.t.Helper()
	var err error
	for end := time.Now().Add(120 * time.Second); time.Now().Before(end); time.Sleep(30 * time.Millisecond) {
		var is bool
		if is, err = chromedp.Run(b.ctx, chromedp.Evaluate[bool]("Boolean("+condition+")")); is {
			return
		}
	}
	b.t.Fatalf("never came about: %s; %v; the console: %q; the page: %s", condition, err, b.said(), eval[string](b, "document.body.innerText.slice(0, 500)"))
}

// step waits until a step is drawn.
func (b *browser) step(folder string) {
	b.t.Helper()
	b.wait(fmt.Sprintf("document.querySelector('.edition')?.dataset.drawn === %q", folder))
}

// click clicks the first element that a selector finds.
func (b *browser) click(selector string) {
	b.t.Helper()
	b.do(chromedp.Click(chromedp.CSS(selector)))
}

// picture is what an element looks like. It is kept in the folder that PLANFOLD_SHOTS
// names, to be looked at.
func (b *browser) picture(name, selector string) image.Image {
	b.t.Helper()
	ctx, cancel := context.WithTimeout(b.ctx, 120*time.Second)
	defer cancel()
	shot := chromedp.CaptureScreenshot()
	if selector != "" {
		shot = chromedp.Screenshot(chromedp.CSS(selector))
	}
	data, err := chromedp.Run(ctx, shot)
	require.NoError(b.t, err)
	if dir := os.Getenv("PLANFOLD_SHOTS"); dir != "" && name != "" {
		require.NoError(b.t, os.WriteFile(filepath.Join(dir, name+".png"), data, 0o666))
	}
	img, err := png.Decode(bytes.NewReader(data))
	require.NoError(b.t, err)
	return img
}

// find finds a place in the scene around which a picture is full of what is counted.
func (b *browser) find(is func(image.Image) int) (x, y float64) {
	b.t.Helper()
	const step = 8
	img := b.picture("", ".canvas")
	at := eval[[]float64](b, `(() => { const r = document.querySelector('.canvas').getBoundingClientRect(); return [r.left, r.top]; })()`)
	for y := img.Bounds().Min.Y + 60; y < img.Bounds().Max.Y-60; y += step {
		for x := img.Bounds().Min.X; x < img.Bounds().Max.X-step; x += step {
			part := img.(interface {
				SubImage(image.Rectangle) image.Image
			}).SubImage(image.Rect(x, y-40, x+step, y+step))
			if is(part) == step*step {
				return at[0] + float64(x-img.Bounds().Min.X) + step/2, at[1] + float64(y-img.Bounds().Min.Y) + step/2
			}
		}
	}
	b.t.Fatal("nothing is found in the picture")
	return 0, 0
}

// slide puts a slider at a value.
func (b *browser) slide(id string, value int) {
	b.t.Helper()
	b.do(chromedp.Evaluate[chromedp.Void](fmt.Sprintf("(() => { const s = document.querySelector('#%s'); s.value = %d; s.dispatchEvent(new Event('input')); })()", id, value)))
}

// settle opens a step anew with other settings.
func (b *browser) settle(address string, e edition, settings string) {
	b.t.Helper()
	b.do(chromedp.Evaluate[chromedp.Void](fmt.Sprintf("localStorage.setItem('planfold', %q)", settings)))
	b.open(address, e, "S-60-1")
}

// smallest is the least height of what is touched, in pixels.
func (b *browser) smallest() float64 {
	b.t.Helper()
	return eval[float64](b, `Math.min(...[...document.querySelectorAll('button, summary, select, input:not([type=checkbox])')].filter((e) => e.checkVisibility()).map((e) => e.getBoundingClientRect().height))`)
}

// axe is what axe-core finds wrong on the page, with the elements.
func (b *browser) axe() []string {
	b.t.Helper()
	source, err := os.ReadFile(filepath.Join(root, "convert/view/page/node_modules/axe-core/axe.min.js"))
	require.NoError(b.t, err, "make page")
	b.do(chromedp.Evaluate[chromedp.Void](string(source)))
	return eval[[]string](b, `axe.run().then((r) => r.violations.map((v) => v.id + ': ' + v.nodes.map((n) => n.html + ' ' + n.failureSummary).join('; ')))`)
}

// pixels counts the pixels of a picture for which is holds, the strip with the legend left out.
func pixels(img image.Image, is func(color.Color) bool) int {
	n := 0
	for y := img.Bounds().Min.Y + 40; y < img.Bounds().Max.Y; y++ {
		for x := img.Bounds().Min.X; x < img.Bounds().Max.X; x++ {
			if is(img.At(x, y)) {
				n++
			}
		}
	}
	return n
}

// shown counts the pixels that are not the ground.
func shown(img image.Image) int {
	ground := img.At(img.Bounds().Min.X+2, img.Bounds().Max.Y-3)
	return pixels(img, func(c color.Color) bool { return c != ground })
}

// blue counts the pixels that have the colour of this step's parts, in whatever light.
func blue(img image.Image) int {
	return pixels(img, func(c color.Color) bool {
		r, g, b, _ := c.RGBA()
		return b > 2*r && 2*b > 3*g && b > 0x3000
	})
}

// violet is how much of a picture shows what the overlay is aligned by.
func violet(img image.Image) int {
	return pixels(img, func(c color.Color) bool {
		r, g, b, _ := c.RGBA()
		return 2*r > 3*g && 2*b > 3*g && 5*b > 4*r && b > 0x4000
	})
}

// green counts the pixels of what is selected.
func green(img image.Image) int {
	return pixels(img, func(c color.Color) bool {
		r, g, b, _ := c.RGBA()
		return 3*g > 4*r && 3*g > 5*b && g > 0x4000
	})
}

// differing counts the pixels in which two pictures of one size differ.
func differing(a, b image.Image) int {
	n := 0
	for y := a.Bounds().Min.Y; y < a.Bounds().Max.Y; y++ {
		for x := a.Bounds().Min.X; x < a.Bounds().Max.X; x++ {
			if a.At(x, y) != b.At(x, y) {
				n++
			}
		}
	}
	return n
}
