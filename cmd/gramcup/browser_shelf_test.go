package main

import (
	"fmt"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"gramcup/mix"
	"gramcup/mix/book"
	"gramcup/simulator"
)

// typed types into a field key by key, at the pace of a gloved finger.
func (p *tab) typed(selector, text string) {
	p.t.Helper()
	p.until(selector+" is there", fmt.Sprintf("document.querySelector(%q)?.offsetParent", selector))
	require.NoError(p.t, chromedp.Do(p.ctx, chromedp.Evaluate[chromedp.Void](fmt.Sprintf("document.querySelector(%q).focus()", selector))))
	for _, letter := range text {
		require.NoError(p.t, chromedp.Do(p.ctx, chromedp.KeyEvent(string(letter))))
		time.Sleep(120 * time.Millisecond)
	}
	p.letters += len(text)
}

// beginsDensity opens the measuring of the slate hardener on the shelf, and begins.
func (p *tab) beginsDensity() {
	p.t.Helper()
	p.press("[data-product='slate-surfacer']")
	p.press("[data-measure='1']")
	p.press("[data-measured='start']")
	p.measureStep("cup")
}

// measureStep waits for a step of the walk on the page.
func (p *tab) measureStep(step string) {
	p.t.Helper()
	p.until("step "+step, fmt.Sprintf("[...document.querySelectorAll('.measure-walk[data-step=%q]')].some((w) => w.offsetParent)", step))
}

// noted waits until a filling is noted.
func (p *tab) noted() {
	p.t.Helper()
	p.until("a filling is noted", "[...document.querySelectorAll('.measure-left .check-how')].some((h) => h.offsetParent && h.innerText.includes('noted'))")
}

// slowFetch lets the page wait for one kind of answer, as on a workshop's Wi-Fi.
func (p *tab) slowFetch(path string, ms int) {
	p.t.Helper()
	p.run(fmt.Sprintf(`(() => {
		const plain = window.fetch;
		window.fetch = async (...args) => {
			const slow = String(args[0]).includes(%q);
			window.onTheWay = (window.onTheWay ?? 0) + slow;
			const answer = await plain(...args);
			if (slow) await new Promise((done) => setTimeout(done, %d));
			window.onTheWay -= slow;
			return answer;
		};
	})()`, path, ms))
}

// TestBrowserANewcomerMeasuresAndMixes adds a product whose hardener has no
// density, measures it on the simulated bench, and lets the simulated painter
// mix it: complete and on the line. Nothing but the page is used, and the hands at
// cup, tap and tin. What is pressed and typed is counted: TestANewcomersTime says how
// long all of it takes.
func TestBrowserANewcomerMeasuresAndMixes(t *testing.T) {
	t.Parallel()
	folder := t.TempDir()
	d := startDemo(t, folder, simulator.Options{Seed: 31, Skill: simulator.Steady()})
	one := openTab(t, browser(t), d.address, 1024, 600)
	one.until("the page", "document.querySelectorAll('.card').length >= 6")
	began, bench := time.Now(), d.sim.Now()
	one.press("[data-place='shelf']")
	one.until("the products", "document.querySelectorAll('[data-product]').length >= 6")
	one.shot("shelf-1-list")
	requireNames(t, one)
	one.press("[data-shelf='add']")
	one.shot("shelf-2-empty")
	one.typed("[data-field='name']", "Quay surfacer\r")
	one.typed("[data-field='ratio']", "4:1")
	one.typed("[data-field='density-0']", "11.46 lb/gal\r\r\r")
	require.Equal(t, "form", attr(one, ".shelf-place", "data-at"), "Enter puts nothing")
	one.shot("shelf-3-form")
	one.onOneScreen("the form")
	requireNames(t, one)
	one.slowFetch("/api/shelf", 700)
	one.reach("[data-shelf='put']")
	one.until("on the shelf", "document.querySelector('.shelf-place > .undo')?.innerText.includes('Quay surfacer is on the shelf')")
	require.Equal(t, "product", attr(one, ".shelf-place", "data-at"), "the list does not flash up in between")
	one.shot("shelf-4-product")
	one.onOneScreen("a product")
	one.says(".stock-rows", "not known")
	one.says(".stock-rows", "11.46 lb/gal")

	one.press("[data-measure='1']")
	one.until("the form of a measurement", "document.querySelector('[data-field=height]')?.value === '60'")
	one.shot("measure-1-form")
	one.press("[data-measured='start']")
	one.measureStep("cup")
	one.shot("measure-2-cup")
	one.press("[data-demo='cup']")
	one.measureStep("water")
	one.shot("measure-3-water")
	one.onOneScreen("the water")
	one.press("[data-demo='fill-water']")
	one.noted()
	one.shot("measure-4-noted")
	one.onOneScreen("a noted filling")
	requireNames(t, one)
	one.press("[data-demo='lift']")
	one.measureStep("dry")
	one.shot("measure-5-dry")
	one.press("[data-demo='cup']")
	one.measureStep("paint")
	one.press("[data-demo='fill-paint']")
	one.noted()
	one.shot("measure-6-paint")
	one.press("[data-demo='lift']")
	one.measureStep("done")
	one.shot("measure-7-done")
	one.onOneScreen("a density")
	one.press("[data-measured='keep']")
	one.until("kept", "document.querySelector('.stock-rows')?.innerText.includes('weighed here')")
	one.shot("shelf-5-known")
	measured := time.Since(began)
	phone := openTab(t, one.ctx, d.address+"#shelf", 390, 844)
	phone.until("what was kept before is no news to a page that opens", "(() => { const said = document.querySelector('.shelf-place > .measure-said'); return said.textContent.includes('The density is kept') && !said.offsetParent; })()")

	one.press(".mix-it")
	one.until("a plan", "document.querySelectorAll('.plan tbody tr').length === 2")
	one.enter(".amount-input", "150")
	one.press(".start")
	one.until("the cup is asked for", "document.body.innerText.includes('empty cup')")
	d.painter.Pour(true)
	one.until("the end", "document.body.innerText.includes('Ready: every layer is on its line')")
	page, took := time.Since(began), d.sim.Now()-bench
	one.shot("shelf-6-mixed")
	t.Logf("from the first touch to a mixed cup: %.0f s on the page, %.0f s at the bench; the density was kept after %.0f s", page.Seconds(), took.Seconds(), measured.Seconds())
	assert.Equal(t, newcomerPresses, one.presses)
	assert.Equal(t, newcomerLetters, one.letters)

	d.stop()
	b, err := book.Open(folder)
	require.NoError(t, err)
	defer func() { require.NoError(t, b.Close()) }()
	r, found, err := b.Recipe("quay-surfacer")
	require.NoError(t, err)
	require.True(t, found)
	density := r.Components[1].Density
	// The simulated hardener has 1.062 g/ml, and its cup 100 ml to the mark.
	assert.InDelta(t, 1.062, density.GPerML, 2*density.UncertaintyGML)
	assert.InDelta(t, 1.062, density.GPerML, 0.006)
	assert.Equal(t, "weighed here against water", density.Source)
	rows, err := b.Summaries(1, 0)
	require.NoError(t, err)
	require.Equal(t, mix.StateComplete, rows[0].Outcome)
	assert.True(t, rows[0].OnTheLine)
	versions, err := b.RecipeVersions("quay-surfacer")
	require.NoError(t, err)
	assert.Len(t, versions, 2, "without and with the density")
}

func attr(p *tab, selector, name string) string {
	p.t.Helper()
	s, err := chromedp.Run(p.ctx, chromedp.Evaluate[string](fmt.Sprintf("document.querySelector(%q)?.getAttribute(%q) ?? ''", selector, name)))
	require.NoError(p.t, err)
	return s
}

// choose sets a list of a form as a person does.
func (p *tab) choose(selector, value string) {
	p.t.Helper()
	p.until(selector+" has "+value, fmt.Sprintf("(() => { const i = document.querySelector(%q); return i?.offsetParent && [...i.options].some((o) => o.value === %q); })()", selector, value))
	require.NoError(p.t, chromedp.Do(p.ctx, chromedp.Evaluate[chromedp.Void](fmt.Sprintf(
		"(() => { const i = document.querySelector(%q); i.value = %q; i.dispatchEvent(new Event('change', {bubbles: true})); })()", selector, value))))
}

// TestBrowserChangesTheShelf has slips of the hand: an unlikely density that is
// asked about, a change that is undone, a product that is taken off and brought
// back, a measurement that is cancelled; and a batch in the cup that none of it
// touches. A second page sees the same.
func TestBrowserChangesTheShelf(t *testing.T) {
	t.Parallel()
	d := startDemo(t, t.TempDir(), simulator.Options{Seed: 32, Skill: simulator.Steady()})
	one := openTab(t, browser(t), d.address+"#shelf", 1024, 600)
	one.until("the products", "document.querySelectorAll('[data-product]').length >= 6")
	one.press("[data-shelf='add']")
	one.enter("[data-field='name']", "Quay clear")
	one.enter("[data-field='ratio']", "2:1 + 10 %")
	one.until("percent of what", "document.querySelector('.check-trouble')?.innerText.includes('Percent of what')")
	one.press("[data-choice='of'] [data-value='parts']")
	one.until("kinds", "document.querySelector(\"[data-row='kind-0']\").children.length > 5")
	one.choose("[data-row='kind-0']", "clear")
	one.enter("[data-field='density-0']", "1.31")
	one.enter("[data-field='density-1']", "100:54")
	one.shot("shelf-7-percent")
	one.press("[data-shelf='put']")
	one.until("it asks", "document.querySelector('.form-asks')?.innerText.includes('unusual for clear')")
	one.shot("shelf-8-asks")
	one.press("[data-shelf='no']")
	one.enter("[data-field='density-0']", "0.98")
	one.press("[data-shelf='put']")
	one.until("on the shelf", "document.querySelector('.shelf-place > .undo')?.innerText.includes('Quay clear is on the shelf')")
	one.until("where it comes from", `document.querySelector('.stock-rows')?.innerText.includes("the tin's two ratios")`)

	phone := openTab(t, one.ctx, d.address+"#shelf", 390, 844)
	phone.until("the products", "document.querySelectorAll('[data-product]').length >= 7")
	one.press("[data-shelf='change']")
	one.enter("[data-field='ratio']", "3:1 + 10 %")
	one.press("[data-shelf='put']")
	one.until("changed", "document.querySelector('.product .amount-ratio')?.innerText.startsWith('3 : 1')")
	phone.reload()
	phone.press("[data-product='quay-clear']")
	phone.until("the change, on the phone", "document.querySelector('.product .amount-ratio')?.innerText.startsWith('3 : 1')")
	phone.shot("shelf-9-phone")
	one.press("[data-shelf='undo']")
	one.until("undone", "document.querySelector('.product .amount-ratio')?.innerText.startsWith('2 : 1')")

	one.press("[data-shelf='marks']")
	one.enter("[data-marks='bottom']", "85")
	one.enter("[data-marks='high']", "120")
	one.until("the marks", "document.querySelectorAll('.marks-table tbody tr').length === 3 && document.querySelector('.marks-table').offsetParent")
	one.shot("shelf-10-marks")
	one.onOneScreen("the marks")
	href := attr(one, ".marks-links a", "href")
	kind, err := chromedp.Run(one.ctx, chromedp.Evaluate[string](fmt.Sprintf("fetch(%q).then((r) => r.blob()).then((b) => b.type + ' ' + (b.size > 1000))", href), chromedp.EvalAwaitPromise))
	require.NoError(t, err)
	require.Equal(t, "application/pdf true", kind)

	one.confirms(mouse, "[data-shelf='ask']", "[data-shelf='take']", "document.querySelector('.shelf-place > .undo')?.innerText.includes('Quay clear is off the shelf')", func() { one.shot("shelf-11-sure") })
	one.until("gone", "document.querySelector('.shelf-place > .undo')?.innerText.includes('Quay clear is off the shelf') && document.querySelector(\"[data-product='quay-clear']\") === null")
	one.reach("[data-shelf='undo']")
	one.until("back", "document.querySelector('.product .place-title')?.innerText === 'Quay clear'")

	phone.press("[data-measure='2']")
	phone.until("the form", "document.querySelector('[data-field=height]')?.value === '60'")
	phone.shot("measure-8-form-phone")
	phone.press("[data-measured='start']")
	phone.measureStep("cup")
	d.sim.PlaceCup(42)
	phone.measureStep("water")
	phone.shot("measure-9-water-phone")
	one.measureStep("water")
	phone.confirms(mouse, "[data-measured='cancel']", "[data-measured='no'] ~ [data-measured='cancel']", "[...document.querySelectorAll('.measure-walk')].every((w) => !w.offsetParent)")
	one.until("cancelled on both", "document.querySelector('.shelf-place').dataset.at === 'product'")
	d.sim.LiftCup()

	require.NoError(t, chromedp.Do(one.ctx, chromedp.Navigate(d.address)))
	one.start("100") // the first of the list: Ballast high build
	d.sim.PlaceCup(42)
	asked := one.reads("the pour", "document.querySelector('.work-title')?.innerText.includes('Ballast') && document.querySelector('.work-asked').innerText")
	phone.reach("[data-shelf='back']")
	phone.press("[data-product='ballast-filler']")
	phone.until("no measuring now", "document.querySelector(\"[data-measure='0']\")?.disabled")
	phone.reach("[data-shelf='change']")
	phone.enter("[data-field='ratio']", "1:1:1")
	phone.shot("shelf-12-form-phone")
	phone.reach("[data-shelf='put']")
	phone.until("changed", "document.querySelector('.product .amount-ratio')?.innerText.startsWith('1 : 1')")
	time.Sleep(500 * time.Millisecond)
	// Where a weight is late the batch is held for a moment, and asks for nothing.
	require.Equal(t, asked, one.reads("the pour goes on", "document.querySelector('.work-asked')?.innerText"), "a batch in the cup carries its own recipe")
	d.painter.Pour(true)
	one.until("the end", "document.body.innerText.includes('Ready: every layer is on its line')")
}
