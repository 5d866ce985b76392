package main

import (
	"fmt"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"gramcup/mix/book"
	"gramcup/mix/coating"
	"gramcup/simulator"
)

// cupStep waits for a step of the walk on the page, with so many heights taken.
func (p *tab) cupStep(step string, levels int) {
	p.t.Helper()
	p.until(fmt.Sprintf("step %s with %d heights", step, levels), fmt.Sprintf("document.querySelector('.cup-walk[data-step=%q][data-levels=\"%d\"]')?.offsetParent", step, levels))
}

// fillTo sets the height with the page's buttons, fills the simulated cup to it,
// and waits until the filling is noted.
func (p *tab) fillTo(mm int) {
	p.t.Helper()
	p.enter("[data-figure='height']", fmt.Sprint(mm))
	p.until("the height is known", fmt.Sprintf("document.querySelector('.cup-walk .measure-sentence')?.innerText.includes('%d mm')", mm))
	p.press("[data-demo='fill-to']")
	p.waterNoted(mm)
}

// takeHeight presses that the water stands there. A filling that was noted anew
// while the press was on its way is looked at again, as the page asks for.
func (p *tab) takeHeight(levels int) {
	p.t.Helper()
	p.insist(mouse, "[data-cup='next']", "the height is taken", fmt.Sprintf("document.querySelector('.cup-walk[data-step=\"fill\"][data-levels=\"%d\"]')?.offsetParent", levels))
}

// enough says that there are heights enough.
func (p *tab) enough(levels int) {
	p.t.Helper()
	p.insist(mouse, "[data-cup='enough']", "the cup is measured", fmt.Sprintf("document.querySelector('.cup-walk[data-step=\"done\"][data-levels=\"%d\"]')?.offsetParent", levels))
}

func (p *tab) waterNoted(mm int) {
	p.t.Helper()
	p.until("the water is noted", fmt.Sprintf("document.querySelector('.cup-walk .check-how')?.innerText.includes('g of water') && document.querySelector(\"[data-cup='next']\")?.innerText === 'It stands at %d mm: take it'", mm))
}

// openMarks goes to a product and opens its marks.
func (p *tab) openMarks(product string) {
	p.t.Helper()
	p.press("[data-product='" + product + "']")
	p.press("[data-shelf='marks']")
	p.until("the marks are open", "document.querySelector(\"[data-marks='measure']\")?.offsetParent")
}

// requireCups compares what the book holds once the daemon is down.
func requireCups(t *testing.T, folder string, names ...string) {
	t.Helper()
	b, err := book.Open(folder)
	require.NoError(t, err)
	defer func() { require.NoError(t, b.Close()) }()
	list, err := b.Cups()
	require.NoError(t, err)
	got := []string{}
	for _, c := range list {
		got = append(got, c.Name)
	}
	require.Equal(t, append([]string{}, names...), got)
}

// TestBrowserMeasuresACup is a person who measures a tapered cup at three heights
// and gets a strip: a height that is typed wrong and refused, one that is taken
// back, a reload in the middle; and a power cut in the middle of a first try, which
// is put away.
func TestBrowserMeasuresACup(t *testing.T) {
	t.Parallel()
	folder := t.TempDir()
	chrome := browser(t)
	cut := startDemo(t, folder, simulator.Options{Seed: 41, Skill: simulator.Steady()})
	one := openTab(t, chrome, cut.address+"#shelf", 1024, 600)
	one.openMarks("slate-surfacer")
	one.press("[data-marks='measure']")
	one.press("[data-cup='start']")
	one.cupStep("cup", 0)
	one.press("[data-demo='cup']")
	one.cupStep("fill", 0)
	one.press("[data-demo='fill-to']")
	one.waterNoted(30)
	one.takeHeight(1)
	cut.stop()
	requireCups(t, folder)

	d := startDemo(t, folder, simulator.Options{Seed: 41, Skill: simulator.Steady()})
	require.NoError(t, chromedp.Do(one.ctx, chromedp.Navigate(d.address+"#shelf")))
	one.openMarks("slate-surfacer")
	require.Equal(t, "Round, by its size", one.text("[data-marks='cup']"), "nothing of the broken walk is a cup")
	one.pressSeen("[data-broken='put-away']")
	one.until("put away", "[...document.querySelectorAll('.broken-undo')].some((u) => u.offsetParent)")
	one.shot("cup-1-marks")
	one.press("[data-marks='measure']")
	one.until("the form", "document.querySelector(\"[data-figure='water']\")?.value === '20'")
	one.shot("cup-2-form")
	one.onOneScreen("the form of a cup")
	requireNames(t, one)
	one.press("[data-cup='start']")
	one.cupStep("cup", 0)
	one.shot("cup-3-cup")
	one.press("[data-demo='cup']")
	one.cupStep("fill", 0)
	one.shot("cup-4-fill")
	one.onOneScreen("filling a cup")
	phone := openTab(t, one.ctx, d.address+"#shelf", 390, 844)
	phone.cupStep("fill", 0)
	one.press("[data-demo='fill-to']")
	one.waterNoted(30)
	one.shot("cup-5-noted")
	one.onOneScreen("a noted filling")
	one.until("the dial and the picture stand side by side", "(() => { const r = (s) => document.querySelector('.cup-walk ' + s).getBoundingClientRect(); return r(\"[data-step='height+']\").right < r('.marked').left; })()")
	requireNames(t, one)
	one.takeHeight(1)
	phone.cupStep("fill", 1)

	// 65 mm of water, and a finger that types 25.
	one.fillTo(65)
	phone.waterNoted(65)
	phone.shot("cup-6-phone")
	one.byHand("[data-figure='height']", "25")
	one.until("the slip is on the button", "document.querySelector(\"[data-cup='next']\")?.innerText === 'It stands at 25 mm: take it'")
	one.insist(mouse, "[data-cup='next']", "the slip is refused", "[...document.querySelectorAll('.measure .sentence[role=alert]')].some((s) => s.innerText.includes('25 mm is not above the 30 mm'))")
	one.shot("cup-7-refused")
	one.press("[data-step='height+']")
	one.until("stepped up", "document.querySelector(\"[data-cup='next']\")?.innerText === 'It stands at 30 mm: take it'")
	one.enter("[data-figure='height']", "60")
	one.waterNoted(60)
	one.takeHeight(2)

	// It was 65, after all: taken back on the phone, and taken anew on the page
	// that was opened anew.
	phone.cupStep("fill", 2)
	phone.insist(mouse, "[data-cup='back']", "taken back", "document.querySelector('.cup-walk[data-step=\"fill\"][data-levels=\"1\"]')?.offsetParent")
	one.cupStep("fill", 1)
	require.NoError(t, chromedp.Do(one.ctx, chromedp.Navigate("about:blank"), chromedp.Navigate(d.address+"#shelf")))
	one.cupStep("fill", 1)
	one.enter("[data-figure='height']", "65")
	one.waterNoted(65)
	one.takeHeight(2)
	one.fillTo(100)
	one.takeHeight(3)
	one.shot("cup-8-three")
	one.onOneScreen("three heights")
	one.enough(3)
	require.Equal(t, 3, strings.Count(one.text(".cup-walk .marks-table tbody"), "±"))
	one.shot("cup-9-done")
	one.onOneScreen("a measured cup")
	requireNames(t, one)
	one.enter("[data-field='cup-name']", "Blue tub")
	one.press("[data-cup='keep']")
	one.until("kept", "document.querySelector('.shelf-place')?.dataset.at === 'list' && document.querySelector('.shelf-place')?.innerText.includes('The cup Blue tub is kept.')")
	one.openMarks("slate-surfacer")
	one.until("its marks", "document.querySelectorAll('.marks .marks-table tbody tr').length === 3 && document.querySelector('.marks table')?.offsetParent && document.querySelector('.marks-from')?.innerText.includes('Weighed with water at 20 °C')")
	one.shot("cup-10-strip")
	one.onOneScreen("the marks of a measured cup")
	requireNames(t, one)
	marks := one.text(".marks table")
	// 200, 250 and 300 ml of 4:1:1 in the invented tub: the truth, which nobody
	// told the page.
	for _, ml := range []float64{200, 250, 300} {
		mm, err := simulatedTub().HeightMM(ml)
		require.NoError(t, err)
		requireMark(t, marks, mm)
	}
	href := attr(one, ".marks-links a[href*='.svg']", "href")
	strip, err := chromedp.Run(one.ctx, chromedp.Evaluate[string](fmt.Sprintf("fetch(%q).then((r) => r.text())", href), chromedp.EvalAwaitPromise))
	require.NoError(t, err)
	assert.Contains(t, strip, "Blue tub, weighed with water at 20 °C")
	assert.Contains(t, strip, "Drift reducer, medium to here")
	assert.Contains(t, strip, "The marks stand within")

	one.enter("[data-marks='ml']", "600")
	one.until("beyond", "document.querySelector('.marks-said')?.innerText.includes('No mark for Slate hardener and Drift reducer, medium')")
	one.shot("cup-11-beyond")
	one.onOneScreen("marks beyond what was measured")
	one.enter("[data-marks='ml']", "300")
	one.press("[data-marks='take']")
	one.until("off the list", "document.querySelector('.marks .undo')?.innerText.includes('The cup Blue tub is off the list.')")
	one.shot("cup-12-undo")
	one.press("[data-marks='bring']")
	one.until("back, and chosen", "document.querySelector('.marks-from')?.offsetParent")

	d.stop()
	requireCups(t, folder, "Blue tub")
	d = startDemo(t, folder, simulator.Options{Seed: 41, Skill: simulator.Steady()})
	require.NoError(t, chromedp.Do(phone.ctx, chromedp.Navigate(d.address+"#shelf")))
	phone.openMarks("slate-surfacer")
	phone.until("the cup is there after a restart", "document.querySelector(\"[data-marks='cup']\")?.innerText.includes('Blue tub, 42')")
	phone.choose("[data-marks='cup']", attr(phone, "[data-marks='cup'] option:nth-child(2)", "value"))
	phone.until("its marks", "document.querySelectorAll('.marks .marks-table tbody tr').length === 3 && document.querySelector('.marks table')?.offsetParent")
	phone.until("nothing to scroll sideways", "document.documentElement.scrollWidth <= 390")
	phone.shot("cup-13-phone")
}

// requireMark finds a mark in the table whose own uncertainty reaches the truth.
func requireMark(t *testing.T, table string, truth float64) {
	t.Helper()
	for _, line := range strings.Split(table, "\n") {
		var mm, sure float64
		for _, cell := range strings.Split(line, "\t") {
			clean := strings.NewReplacer("\u202f", " ", "mm", "", "±", "").Replace(cell)
			if n, _ := fmt.Sscan(clean, &mm, &sure); n == 2 && strings.Contains(cell, "mm") && mm-truth <= sure && truth-mm <= sure {
				assert.Less(t, sure, 2*coating.Coverage*coating.LevelReadMM)
				return
			}
		}
	}
	t.Errorf("no mark stands where it should, at %.1f mm:\n%s", truth, table)
}
