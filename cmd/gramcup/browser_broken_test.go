package main

import (
	"context"
	"fmt"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"gramcup/mix/book"
	"gramcup/simulator"
)

// cutBench is a simulated bench that is started anew again and again over the same
// book, as after power cuts: its scale comes back with an empty pan.
type cutBench struct {
	t      *testing.T
	folder string
	seed   uint64
	demo   *liveDemo
	chrome context.Context
	one    *tab
	place  string
}

func startCutBench(t *testing.T, seed uint64, place string) *cutBench {
	t.Helper()
	c := &cutBench{t: t, folder: t.TempDir(), seed: seed, chrome: browser(t), place: place}
	c.demo = startDemo(t, c.folder, simulator.Options{Seed: seed, Skill: simulator.Steady()})
	c.one = openTab(t, c.chrome, c.demo.address+"#"+place, 1024, 600)
	return c
}

// restart ends the bench and starts another over its book; the page is opened at
// a place of it.
func (c *cutBench) restart(place string) {
	c.t.Helper()
	c.demo.stop()
	c.demo = startDemo(c.t, c.folder, simulator.Options{Seed: c.seed, Skill: simulator.Steady()})
	require.NoError(c.t, chromedp.Do(c.one.ctx, chromedp.Navigate(c.demo.address+"#"+place)))
}

// broken waits for the card of a walk that was broken off, with what it says.
func (p *tab) broken(place, said string) {
	p.t.Helper()
	p.until("the card: "+said, fmt.Sprintf("[...document.querySelectorAll('.%s-place .broken')].some((c) => c.offsetParent && c.innerText.includes(%q))", place, said))
}

// goOn presses that the pan is empty, once the page sees it so. A pan that moves again,
// or is not heard, before the press has come is no empty one to the bench.
func (p *tab) goOn() {
	p.t.Helper()
	const there = "[...document.querySelectorAll(\"[data-broken='go-on']\")].every((e) => !e.offsetParent)"
	p.until("the pan is empty and still", "[...document.querySelectorAll('.broken-how')].some((h) => h.offsetParent && h.innerText === 'stands still')")
	p.mark("[data-broken='go-on']")
	p.insist(mouse, "[data-seen]", "it goes on", there)
}

// pressSeen presses the one of several such buttons that is seen.
func (p *tab) pressSeen(selector string) {
	p.t.Helper()
	p.mark(selector)
	p.reach("[data-seen]")
}

// mark marks it.
func (p *tab) mark(selector string) {
	p.t.Helper()
	p.until(selector+" is seen", fmt.Sprintf("[...document.querySelectorAll(%q)].some((e) => e.offsetParent && !e.disabled)", selector))
	p.run(fmt.Sprintf("document.querySelectorAll('[data-seen]').forEach((e) => delete e.dataset.seen); [...document.querySelectorAll(%q)].find((e) => e.offsetParent && !e.disabled).dataset.seen = 'yes'", selector))
}

// cut breaks the walk off, looks at what the card says of it, and goes on.
func (c *cutBench) cut(said string) {
	c.t.Helper()
	c.restart(c.place)
	c.one.broken(c.place, said)
	c.one.goOn()
}

// TestBrowserADensityIsBrokenOffAtEachStep ends the bench in each step of a density,
// also while a filling stands there; each time the page says what was broken off and
// how far it came, goes on, and comes to the density that the tin has.
func TestBrowserADensityIsBrokenOffAtEachStep(t *testing.T) {
	t.Parallel()
	c := startCutBench(t, 51, "shelf")
	one := c.one
	one.beginsDensity()
	c.cut("Nothing was weighed yet.")
	one.measureStep("cup")
	one.press("[data-demo='cup']")
	one.measureStep("water")

	// Somebody who opens the bench is told of it, and a batch is not kept from it.
	c.restart("bench")
	one.until("told on the bench", "document.querySelector('.rests')?.innerText.includes('The measuring of the density of Slate hardener was broken off.')")
	require.NotContains(t, one.text(".rests"), "batch")
	one.shot("broken-1-bench")
	requireNames(t, one)
	one.start("150")
	one.until("a batch begins all the same", "document.querySelector('.bench')?.dataset.at === 'cup'")
	one.until("and is not talked over", "!document.querySelector('.rests')?.offsetParent")
	one.press("[data-place='shelf']")
	one.until("not now", "document.querySelector('.broken .broken-asks')?.innerText.includes('A batch is in the cup')")
	require.True(t, attrIs(one, "[data-broken='go-on']", "disabled"))
	one.shot("broken-2-batch")
	one.press("[data-place='bench']")
	one.confirms(mouse, "[data-do='abort']", ".confirm .yes", "document.querySelector('.bench')?.dataset.at === 'ended'")
	one.until("the batch is over", "document.querySelector('.bench')?.dataset.at === 'ended'")
	one.press(".rests-way")
	one.broken("shelf", "Noted: the empty cup, 42")
	c.demo.sim.PlaceCup(180)
	one.until("not empty", "document.querySelector('.broken-how')?.innerText === 'not yet empty and still'")
	one.pressSeen("[data-broken='go-on']")
	one.until("refused with what to do", "document.querySelector('.broken .sentence')?.innerText.includes('take everything off the pan')")
	one.shot("broken-3-not-empty")
	c.demo.sim.LiftCup()
	one.goOn()
	one.measureStep("water")
	one.press("[data-demo='fill-water']")
	one.noted()

	c.restart("shelf")
	one.broken("shelf", "stood in it and had not been taken")
	phone := openTab(t, one.ctx, c.demo.address+"#shelf", 390, 844)
	phone.broken("shelf", "Noted: the empty cup, 42")
	phone.until("nothing to scroll sideways", "document.documentElement.scrollWidth <= 390")
	phone.shot("broken-4-phone")
	one.shot("broken-4-noted")
	requireNames(t, one)
	one.goOn()
	one.measureStep("water")
	phone.measureStep("water")
	one.press("[data-demo='fill-water']")
	one.noted()
	one.press("[data-demo='lift']")
	one.measureStep("dry")
	c.cut("g of water to the mark.")
	one.measureStep("dry")
	one.press("[data-demo='cup']")
	one.measureStep("paint")
	c.cut("the cup dried.")
	one.measureStep("paint")
	one.press("[data-demo='fill-paint']")
	one.noted()
	c.cut("stood in it and had not been taken")
	one.press("[data-demo='fill-paint']")
	one.noted()
	one.shot("broken-5-lift")
	one.press("[data-demo='lift']")
	one.measureStep("done")
	c.restart("bench")
	one.until("it waits to be kept", "document.querySelector('.rests')?.innerText.includes('is finished and waits to be kept.')")
	one.press(".rests-way")
	one.measureStep("done")
	one.press("[data-measured='keep']")
	one.until("kept", "document.querySelector('.stock-rows')?.innerText.includes('weighed here')")

	// Its cup is known for the next density, over a restart as well.
	c.restart("shelf")
	one.press("[data-product='slate-surfacer']")
	one.press("[data-measure='2']")
	one.until("the known cup", "document.querySelector(\"[data-vessel='cup-1']\")?.innerText.includes('ml to its mark')")
	one.shot("broken-6-known-cup")
	c.demo.stop()
	b, err := book.Open(c.folder)
	require.NoError(t, err)
	defer func() { require.NoError(t, b.Close()) }()
	r, found, err := b.Recipe("slate-surfacer")
	require.NoError(t, err)
	require.True(t, found)
	density := r.Components[1].Density
	assert.Equal(t, "weighed here against water", density.Source)
	assert.InDelta(t, 1.062, density.GPerML, 0.006, "the simulated hardener has 1.062 g/ml")
}

// attrIs tells whether an attribute is there.
func attrIs(p *tab, selector, name string) bool {
	p.t.Helper()
	there, err := chromedp.Run(p.ctx, chromedp.Evaluate[bool](fmt.Sprintf("document.querySelector(%q)?.hasAttribute(%q) ?? false", selector, name)))
	require.NoError(p.t, err)
	return there
}

// TestBrowserACupIsBrokenOffAtEachStep ends the bench in each step of a cup, puts
// what was broken off away and takes it back, and comes to the marks of the cup.
func TestBrowserACupIsBrokenOffAtEachStep(t *testing.T) {
	t.Parallel()
	c := startCutBench(t, 52, "shelf")
	one := c.one
	one.openMarks("slate-surfacer")
	one.press("[data-marks='measure']")
	one.press("[data-cup='start']")
	one.cupStep("cup", 0)
	c.cut("Nothing was weighed yet.")
	one.cupStep("cup", 0)
	one.press("[data-demo='cup']")
	one.cupStep("fill", 0)
	c.cut("Noted: the empty cup, 42")
	one.cupStep("fill", 0)
	c.demo.sim.PlaceCup(simulatedCupG) // it was carried away
	one.press("[data-demo='fill-to']")
	one.waterNoted(30)

	c.restart("shelf")
	one.broken("shelf", "stood in it and had not been taken")
	one.pressSeen("[data-broken='put-away']")
	one.until("put away", "[...document.querySelectorAll('.broken-undo')].some((u) => u.offsetParent && u.innerText.includes('The cup whose measuring was broken off is put away.'))")
	one.shot("broken-7-put-away")
	one.pressSeen("[data-broken='undo']")
	one.broken("shelf", "stood in it and had not been taken")
	one.goOn()
	c.demo.sim.PlaceCup(simulatedCupG)
	one.press("[data-demo='fill-to']")
	one.waterNoted(30)
	one.takeHeight(1)
	c.cut("30 mm, ")
	for i, mm := range []int{65, 100} {
		one.cupStep("fill", 1+i)
		c.demo.sim.PlaceCup(simulatedCupG)
		one.fillTo(mm)
		one.takeHeight(2 + i)
		c.cut(fmt.Sprintf("%d mm, ", mm))
	}
	one.cupStep("fill", 3)
	one.shot("broken-8-three")
	one.enough(3)
	c.restart("shelf")
	one.cupStep("done", 3)
	one.enter("[data-field='cup-name']", "Blue tub")
	one.press("[data-cup='keep']")
	one.until("kept", "document.querySelector('.shelf-place')?.innerText.includes('The cup Blue tub is kept.')")
	one.openMarks("slate-surfacer")
	one.until("its marks", "document.querySelectorAll('.marks .marks-table tbody tr').length === 3 && document.querySelector('.marks table')?.offsetParent")
	marks := one.text(".marks table")
	for _, ml := range []float64{200, 250, 300} {
		mm, err := simulatedTub().HeightMM(ml)
		require.NoError(t, err)
		requireMark(t, marks, mm)
	}
	c.demo.stop()
	requireCups(t, c.folder, "Blue tub")
}

// TestBrowserACheckIsBrokenOff ends the bench with the test weight on the pan: the
// reading before it holds, that of the weight is taken anew.
func TestBrowserACheckIsBrokenOff(t *testing.T) {
	t.Parallel()
	c := startCutBench(t, 53, "scale")
	one := c.one
	one.beginsCheck()
	c.demo.sim.PlaceCup(1000)
	one.step("off", 2)
	c.restart("scale")
	one.broken("scale", "The check of the scale was broken off.")
	one.broken("scale", "Noted: 2 of ")
	one.until("its buttons are on the first screen", "document.querySelector(\".scale-place [data-broken='go-on']\").getBoundingClientRect().bottom <= document.querySelector('.footer').getBoundingClientRect().top")
	one.shot("broken-9-check")
	one.goOn()
	one.step("on", 1)
	c.demo.sim.PlaceCup(1000)
	one.step("off", 2)
	c.demo.sim.LiftCup()
	one.until("it goes on", "document.querySelectorAll('.check-readings li').length === 3")
}
