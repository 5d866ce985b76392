package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"gramcup/scale"
	"gramcup/simulator"
	"gramcup/ui"
)

// place opens a place of the page by its name in the address.
func (p *tab) place(name string) {
	p.t.Helper()
	require.NoError(p.t, chromedp.Do(p.ctx, chromedp.Evaluate[chromedp.Void]("location.hash = '#"+name+"'")))
	p.until("the place "+name, "document.body.dataset.place === '"+name+"'")
}

// down brings something into view.
func (p *tab) down(selector string) {
	p.t.Helper()
	require.NoError(p.t, chromedp.Do(p.ctx, chromedp.Evaluate[chromedp.Void](
		fmt.Sprintf("document.querySelector(%q).scrollIntoView({block: 'start'})", selector))))
}

// fact is what stands beside a name on the place of the scale.
func fact(name string) string {
	return fmt.Sprintf("([...document.querySelectorAll('.facts > div')].find((d) => d.querySelector('dt').textContent === %q)?.querySelector('dd').innerText ?? '')", name)
}

func (d *liveDemo) get(path string) (*http.Response, []byte) {
	d.t.Helper()
	resp, err := http.Get(strings.TrimSuffix(d.address, "/") + path)
	require.NoError(d.t, err)
	defer resp.Body.Close()
	body, err := io.ReadAll(resp.Body)
	require.NoError(d.t, err)
	return resp, body
}

// TestBrowserShowsTheScale looks at the scale as an installer does: what it is
// and how it behaves, what it sends, what was refused of it, and the file that
// he sends to whoever helps him.
func TestBrowserShowsTheScale(t *testing.T) {
	t.Parallel()
	d := startDemo(t, t.TempDir(), simulator.Options{Seed: 5, Skill: simulator.Steady()})
	one := openTab(t, browser(t), d.address, 1024, 600)
	one.place("scale")
	one.until("a weight", "/^0.0$/.test(document.querySelector('.scale-digits').innerText)")
	one.shot("scale-1-fresh")
	one.says(".scale-groups", "not measured yet")
	// On a busy machine frames come late and in bunches for a while.
	one.until("its ten readings a second, give or take three", "Math.abs(parseFloat("+fact("Rate")+") - 10) <= 3")

	for i := range 4 { // an installer puts something on and takes it off, and waits in between
		d.sim.PlaceCup(180)
		one.until("the cup is seen", "parseFloat(document.querySelector('.scale-digits').innerText) > 179 && document.querySelector('.scale-word').innerText === 'Stands still'")
		time.Sleep(2 * time.Second)
		if i < 3 {
			d.sim.LiftCup()
			one.until("it is off", "Math.abs(parseFloat(document.querySelector('.scale-digits').innerText)) < 1 && document.querySelector('.scale-word').innerText === 'Stands still'")
			time.Sleep(2 * time.Second)
		}
	}
	one.until("the picture", "document.querySelector('.trail-line').getAttribute('d').length > 200 && parseFloat(document.querySelector('.trail-band').getAttribute('height')) >= 2")
	one.until("the noise", "!"+fact("Noise")+".includes('not measured yet')")
	d.sim.Pour(0, 60, 8)
	one.until("it was poured and rests", "parseFloat(document.querySelector('.scale-digits').innerText) > 239 && document.querySelector('.scale-word').innerText === 'Stands still'")
	one.shot("scale-2-measured")
	one.named("the scale")
	one.roomy("the scale")
	one.narrow("the scale")

	one.down(".scale-raw") // from under the foot of the page, which would take the press
	one.press("[aria-controls='scale-lines']")
	one.until("lines", "document.querySelectorAll(\".line[data-kind='weight']\").length > 20")
	d.sim.Inject(simulator.FaultGarbage, time.Hour) // until it was seen: the list is short
	one.until("refused ones with their reason", "document.querySelectorAll(\".line[data-kind='refused']\").length > 3 && document.querySelector(\".line[data-kind='refused'] .line-read\").innerText.includes('refused: ')")
	d.sim.Repair()
	one.until("more good ones below", "document.querySelector('.line:last-child').dataset.kind === 'weight'")
	one.down(".scale-raw")
	one.shot("scale-3-lines")
	require.NoError(t, chromedp.Do(one.ctx, chromedp.EmulateViewport(1024, 1060)))
	one.down(".header")
	one.rested()
	one.shot("scale-14-whole")
	require.NoError(t, chromedp.Do(one.ctx, chromedp.EmulateViewport(1024, 600)))
	one.named("the lines")
	one.roomy("the lines")
	one.narrow("the lines")
	seen, err := chromedp.Run(one.ctx, chromedp.Evaluate[string]("[...document.querySelectorAll(\".line[data-kind='weight'] .line-bytes\")].at(-1).innerText"))
	require.NoError(t, err)
	assert.Regexp(t, `^LF.*1G.*g·*CR$`, strings.ReplaceAll(seen, "\n", ""), "control characters have names")
	one.slowFetch("/api/scale/lines", 2000)
	one.until("lines are on their way when it is pressed", "window.onTheWay > 0")
	one.press(".lines-hold")
	held := one.text(".line:last-child")
	time.Sleep(2500 * time.Millisecond)
	require.Equal(t, held, one.text(".line:last-child"), "it stands still to be read")
	one.press(".lines-hold")
	one.until("it goes on", fmt.Sprintf("document.querySelector('.line:last-child').innerText !== %q", held))
	one.until("never more than the page can bear", "document.querySelectorAll('.line').length <= 200")
	one.until("the count of the refused", "parseInt("+fact("Refused")+") > 3")
	phone := openTab(t, one.ctx, d.address, 390, 844)
	phone.place("scale")
	phone.until("a weight", "/\\d/.test(document.querySelector('.scale-digits').innerText)")
	phone.shot("scale-4-phone")
	phone.down(".scale-raw")
	phone.press("[aria-controls='scale-lines']")
	phone.until("lines", "document.querySelectorAll('.line').length > 20")
	phone.shot("scale-5-phone-lines")
	phone.narrow("the lines on a phone")
	phone.roomy("the lines on a phone")

	href, err := chromedp.Run(one.ctx, chromedp.Evaluate[string]("document.querySelector('a[download][href^=\"/api/scale\"]').getAttribute('href')"))
	require.NoError(t, err)
	d.decodes(href)
}

// decodes checks that the file of the page is a capture in which the bench's
// own codec finds about as many readings as the bench has counted. Of a test that took
// longer than the ten minutes that are kept, a machine that was slower at one time than
// at another leaves at least half of their share.
func (d *liveDemo) decodes(href string) {
	t := d.t
	t.Helper()
	_, raw := d.get("/api/scale")
	var facts ui.ScaleAnswer
	require.NoError(t, json.Unmarshal(raw, &facts))
	resp, body := d.get(href)
	require.Equal(t, http.StatusOK, resp.StatusCode)
	require.Contains(t, resp.Header.Get("Content-Disposition"), "attachment; filename=\"scale-20")
	capture, err := scale.ReadCapture(bytes.NewReader(body))
	require.NoError(t, err)
	require.Equal(t, "sma", capture.Field("shape"))
	require.NotContains(t, string(body), "Kestrel Lane", "the name of the bench is nobody's business")
	codec, err := scale.CodecByName(capture.Field("shape"))
	require.NoError(t, err)
	good, refused := uint64(0), 0
	f := scale.NewFramer(codec)
	for _, c := range capture.Chunks {
		f.Feed(c.Data)
		for _, err, ok := f.Next(); ok; _, err, ok = f.Next() {
			if err != nil {
				refused++
			} else {
				good++
			}
		}
	}
	want := facts.GoodFrames * 9 / 10
	if took := time.Since(d.began); took > 9*time.Minute {
		want = uint64(float64(facts.GoodFrames) * (9 * time.Minute).Seconds() / took.Seconds() / 2)
	}
	assert.GreaterOrEqual(t, good, want)
	assert.Positive(t, refused, "the garbage is in it too")
}

// TestBrowserSaysWhatToDoAboutTheScale: whatever takes the weight away, the
// place of the scale says what would bring it back, and so does the bench.
func TestBrowserSaysWhatToDoAboutTheScale(t *testing.T) {
	t.Parallel()
	d := startDemo(t, t.TempDir(), simulator.Options{Seed: 6, Skill: simulator.Steady()})
	one := openTab(t, browser(t), d.address, 1024, 600)
	one.place("scale")
	said := func(what, js string) {
		t.Helper()
		one.until(what, "document.querySelector('.scale-live').innerText.includes("+fmt.Sprintf("%q", js)+")")
	}
	said("it stands still", "Stands still")
	d.sim.PlaceCup(400) // more than the range of the zero key
	one.until("it is on", "parseFloat(document.querySelector('.scale-digits').innerText) > 399 && document.querySelector('.scale-word').innerText === 'Stands still'")
	d.sim.PressZero()
	said("the zero that was not taken", "Take everything off the pan")
	one.shot("scale-6-zero-error")
	one.place("bench")
	one.until("the bench says it too", "document.querySelector('.banner').innerText.includes('Take everything off the pan')")
	one.shot("scale-7-zero-error-bench")
	one.place("scale")
	d.sim.LiftCup()
	said("it is gone with the load", "Stands still")

	d.sim.Inject(simulator.FaultOverload, time.Hour) // each until it was seen
	said("the overload", "Take something off")
	one.shot("scale-8-over")
	d.sim.Repair()
	said("it stands still again", "Stands still")
	d.sim.Inject(simulator.FaultWrongUnit, time.Hour)
	said("the unit", "Set it back on the scale")
	one.shot("scale-9-unit")
	d.sim.Repair()
	said("it stands still once more", "Stands still")
	d.sim.Inject(simulator.FaultSilent, time.Hour)
	said("switched off", "Press its on key")
	one.shot("scale-10-silent")
	one.named("a silent scale")
}

// TestBrowserTakesAnotherScaleOn: a coarser scale hangs where the known one did.
// It is kept out until somebody takes it on, and that asks a second time.
func TestBrowserTakesAnotherScaleOn(t *testing.T) {
	t.Parallel()
	folder := t.TempDir()
	first := startDemo(t, folder, simulator.Options{Seed: 8, Skill: simulator.Steady()})
	chrome := browser(t)
	one := openTab(t, chrome, first.address, 1024, 600)
	one.place("scale")
	one.until("the first one is let in", "document.querySelector('.scale-word').innerText === 'Stands still'")
	first.stop()

	d := startDemo(t, folder, simulator.Options{Seed: 8, Skill: simulator.Steady(), Preset: simulator.CheapBench()})
	two := openTab(t, one.ctx, d.address, 1024, 600)
	two.place("scale")
	two.until("a stranger", "document.querySelector('.stranger')?.innerText.includes('Another scale answers')")
	require.NotContains(t, two.text(".scale-digits"), "0")
	two.shot("scale-11-stranger")
	two.named("a stranger")
	two.roomy("a stranger")
	two.narrow("a stranger")
	two.confirms(mouse, ".stranger-take", ".stranger .no", "", func() {
		two.shot("scale-12-stranger-sure")
		two.named("are you sure")
		two.roomy("are you sure")
	})
	two.until("it is still kept out", "document.querySelector('.stranger-take')")
	two.confirms(mouse, ".stranger-take", ".stranger .yes", "document.querySelector('.stranger').offsetParent === null")
	two.until("its weight is shown", "document.querySelector('.scale-digits').innerText === '0' && document.querySelector('.stranger').offsetParent === null")
	two.shot("scale-13-taken")
}

// TestBrowserKeepsAnotherUnit: somebody switches the scale to ounces for good. Its
// weights are kept out until a person has said so twice.
func TestBrowserKeepsAnotherUnit(t *testing.T) {
	t.Parallel()
	d := startDemo(t, t.TempDir(), simulator.Options{Seed: 8, Skill: simulator.Steady()})
	p := openTab(t, browser(t), d.address, 1024, 600)
	p.place("scale")
	p.until("it is let in", "document.querySelector('.scale-word').innerText === 'Stands still'")
	d.sim.Inject(simulator.FaultWrongUnit, time.Hour)
	p.until("another unit", "document.querySelector('.stranger-told')?.innerText === 'The scale shows oz, before it showed g.'")
	p.until("and the weight is kept out", "document.querySelector('.scale-word').innerText === 'Shows another unit' && !document.querySelector('.scale-digits').innerText.includes('0')")
	p.shot("scale-14-unit")
	p.named("another unit")
	p.roomy("another unit")
	p.narrow("another unit")
	asked := ""
	p.confirms(mouse, ".stranger-take", ".stranger .no", "", func() {
		asked = p.text(".stranger .confirm-head")
		p.shot("scale-15-unit-sure")
		p.named("are you sure")
		p.roomy("are you sure")
	})
	require.Equal(t, "Keep the scale as it is?", asked)
	p.until("it is still kept out", "document.querySelector('.stranger-take')")
	p.confirms(mouse, ".stranger-take", ".stranger .yes", "document.querySelector('.stranger').offsetParent === null")
	p.until("its weight is shown", "document.querySelector('.scale-word').innerText === 'Stands still' && document.querySelector('.stranger').offsetParent === null")
	p.until("and it is said what it shows", "document.querySelector('.scale-groups').innerText.includes('it shows oz, which is worked out in grams')")
	p.shot("scale-16-unit-kept")
}
