package main

import (
	"fmt"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/require"

	"gramcup/mix/book"
	"gramcup/simulator"
)

// step waits until the walk on the page wants this, by what is on screen.
func (p *tab) step(name string, readings int) {
	p.t.Helper()
	p.until(fmt.Sprintf("step %s after %d readings", name, readings), fmt.Sprintf(
		"document.querySelector('.check-walk[data-step=%q]')?.offsetParent && document.querySelectorAll('.check-readings li').length === %d", name, readings))
}

// reach brings a button into view, and presses it: the hands of the simulated
// bench may cover the foot of the page.
func (p *tab) reach(selector string) {
	p.t.Helper()
	p.until(selector+" is there", fmt.Sprintf("document.querySelector(%q)?.offsetParent", selector))
	require.NoError(p.t, chromedp.Do(p.ctx, chromedp.Evaluate[chromedp.Void](fmt.Sprintf("document.querySelector(%q).scrollIntoView({block: 'center'})", selector))))
	p.press(selector)
}

// enter types into a field.
func (p *tab) enter(selector, text string) {
	p.t.Helper()
	p.until(selector+" is there", fmt.Sprintf("document.querySelector(%q)?.offsetParent", selector))
	require.NoError(p.t, chromedp.Do(p.ctx, chromedp.Evaluate[chromedp.Void](fmt.Sprintf(
		"(() => { const i = document.querySelector(%q); i.value = %q; i.dispatchEvent(new Event('input', {bubbles: true})); })()", selector, text))))
	p.letters += len(text)
}

// beginsCheck fills in the form for a weight of one kilogram, and begins.
func (p *tab) beginsCheck() {
	p.t.Helper()
	p.reach("[data-check='form']")
	p.enter("#check-capacity", "6000")
	p.reach("[data-choice='nominal'] [data-value='1000']")
	p.reach("[data-choice='weight-class'] [data-value='F2']")
	p.reach("[data-check='start']")
	p.step("on", 1)
}

// TestBrowserChecksTheScale is a person with a 2 kg weight at the page: fill in
// the plate, begin, and then only weight on, weight off, and once a wrong
// weight; a second page sees the same; the check is kept and is there after.
func TestBrowserChecksTheScale(t *testing.T) {
	t.Parallel()
	folder := t.TempDir()
	d := startDemo(t, folder, simulator.Options{Seed: 21})
	one := openTab(t, browser(t), d.address+"#scale", 1024, 600)
	one.until("no check yet", "document.querySelector('.check-due')?.innerText.includes('No check of this scale')")
	one.shot("check-1-none")
	one.reach("[data-check='form']")
	one.until("the plate is asked for", "document.querySelector('.scale-place .check-trouble')?.innerText.includes('Max')")
	one.shot("check-2-form-empty")
	one.enter("#check-capacity", "6000")
	one.until("the weights", "document.querySelectorAll(\"[data-choice='nominal'] button\").length === 6")
	one.reach("[data-choice='nominal'] [data-value='2000']")
	one.until("a class that does not do", "document.querySelector(\"[data-choice='weight-class'] [data-value='M3']\").disabled")
	one.reach("[data-choice='weight-class'] [data-value='F2']")
	one.enter("#check-id", "K-7")
	one.reach("[data-choice='corners'] [data-value='true']")
	one.until("ready", "!document.querySelector(\"[data-check='start']\").disabled")
	one.shot("check-3-form")
	requireNames(t, one)
	one.reach("[data-check='start']")
	one.step("on", 1)
	one.shot("check-4-on")
	requireNames(t, one)
	one.onOneScreen("a check")
	phone := openTab(t, one.ctx, d.address+"#scale", 390, 844)
	phone.step("on", 1)

	d.sim.PlaceCup(1000)
	one.until("the wrong weight is said", "document.querySelector('.scale-place .check-waits')?.innerText.includes('looks like the 1 kg weight')")
	one.shot("check-5-wrong-weight")
	phone.until("on the phone too", "document.querySelector('.scale-place .check-waits')?.innerText.includes('looks like the 1 kg weight')")
	phone.shot("check-5-wrong-weight-phone")
	readings := 1
	for range 3 {
		d.sim.PlaceCup(2000)
		readings++
		one.step("off", readings)
		d.sim.LiftCup()
		readings++
		one.until("the empty pan", fmt.Sprintf("document.querySelectorAll('.check-readings li').length === %d", readings))
	}
	for range 4 {
		one.step("side", readings)
		one.shot(fmt.Sprintf("check-6-side-%d", readings))
		d.sim.PlaceCup(2000)
		readings++
		one.until("a corner", fmt.Sprintf("document.querySelectorAll('.check-readings li').length === %d", readings))
		d.sim.LiftCup()
		one.until("it was seen lifted", "!document.querySelector('.check-sentence').innerText.startsWith('Lift the weight off, then')")
	}
	one.step("done", 12)
	one.until("passed", "document.querySelector('.check-result[data-how=passed]')?.innerText.includes('Passed')")
	one.shot("check-7-done")
	phone.shot("check-7-done-phone")
	one.onOneScreen("a verdict")
	one.says(".check-note", "OIML R 76-1 table 6")
	one.says(".check-note", "no verification")
	one.reach("[data-check='keep']")
	one.until("kept", "document.querySelector('.check-last[data-how=passed]')?.innerText.includes('kept in the book')")
	one.shot("check-8-kept")
	phone.until("kept, on the phone", "document.querySelector('.check-last[data-how=passed]')?.innerText.includes('next check is due')")

	d.stop()
	b, err := book.Open(folder)
	require.NoError(t, err)
	list, err := b.Checks(10)
	require.NoError(t, err)
	require.NoError(t, b.Close())
	require.Len(t, list, 1)
	require.True(t, list[0].Passed)
	require.Equal(t, "K-7", list[0].WeightID)
	require.Len(t, list[0].Readings, 12)
	require.True(t, list[0].CornersJudged)
}

// TestBrowserCheckThatFails has a scale that shows 3 g too much for a kilogram,
// takes a reading back, and finds the quiet line on the idle bench after it. While
// the next check needs the pan no batch begins, and the page says why.
func TestBrowserCheckThatFails(t *testing.T) {
	t.Parallel()
	d := startDemo(t, t.TempDir(), simulator.Options{Seed: 22})
	one := openTab(t, browser(t), d.address+"#scale", 1024, 600)
	one.beginsCheck()
	d.sim.PlaceCup(1003)
	one.step("off", 2)
	// The weight is lifted only after it was taken back: before that it would count.
	one.insist(mouse, "[data-check='back']", "taken back", "document.querySelectorAll('.check-readings li').length === 1")
	one.until("lifted first", "document.querySelector('.check-sentence').innerText.includes('Lift')")
	d.sim.LiftCup()
	one.until("on again", "document.querySelector('.check-sentence').innerText.startsWith('Put')")
	for i := range 3 {
		d.sim.PlaceCup(1003)
		one.step("off", 2+2*i)
		d.sim.LiftCup()
		one.until("empty", fmt.Sprintf("document.querySelectorAll('.check-readings li').length === %d", 3+2*i))
	}
	one.until("not passed", "document.querySelector('.check-result[data-how=failed]')?.innerText.includes('allowed are 0.2 g')")
	one.shot("check-9-failed")
	one.reach("[data-check='keep']")
	one.until("kept", "document.querySelector('.check-last[data-how=failed]')")
	require.NoError(t, chromedp.Do(one.ctx, chromedp.Navigate(d.address)))
	one.until("the quiet line", "document.querySelector('.check-line')?.innerText.includes('was not passed')")
	one.shot("check-10-bench-line")
	one.until("it does not shout", "document.querySelector('.banner').innerText === ''")

	phone := openTab(t, one.ctx, d.address+"#scale", 390, 844)
	phone.reach("[data-check='form']")
	phone.until("the last weight is chosen", "document.querySelector(\"[data-choice='nominal'] [data-value='1000'][aria-pressed='true']\")")
	phone.shot("check-11-form-phone")
	phone.reach("[data-check='start']")
	phone.step("on", 1)
	phone.shot("check-11-on-phone")
	one.start("80")
	one.until("the check goes first", "document.querySelector('.amount-go')?.innerText.includes('The scale is being checked: finish or cancel that first, under Scale.')")
	one.shot("check-12-refused")
	phone.step("on", 1)
	phone.confirms(mouse, "[data-check='cancel']", "[data-check='no'] ~ [data-check='cancel']", "document.querySelector('.check-walk')?.offsetParent === null")
	phone.until("cancelled", "document.querySelector('.check-walk')?.offsetParent === null")
	one.press(".start")
	one.until("the batch begins", "document.body.innerText.includes('empty cup')")
}
