package main

import (
	"fmt"
	"regexp"
	"strconv"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/require"

	"gramcup/simulator"
)

// ownLimit types a limit of the shop's own, but for its date.
func (p *tab) ownLimit(gl string) {
	p.t.Helper()
	for name, text := range map[string]string{"set": "Booth permit", "category": "Surfacer", "g_l": gl, "source": "the permit on the wall"} {
		p.enter(fmt.Sprintf("[data-own=%q]", name), text)
	}
}

// vocSays waits for a sentence in the details of the VOC.
func (p *tab) vocSays(sentence string) {
	p.t.Helper()
	p.until("the VOC says: "+sentence, fmt.Sprintf("document.querySelector(\".decide-more[aria-label='VOC']\")?.innerText.replace(/[\\u00a0\\u202f]/g, ' ').includes(%q)", sentence))
}

// TestBrowserTypesALimitOfItsOwn is a shop whose booth has a permit that is
// stricter than the national rule: it is typed with where it stands and of when,
// governs from then on, is undone and taken away and brought back.
func TestBrowserTypesALimitOfItsOwn(t *testing.T) {
	t.Parallel()
	d := startDemo(t, t.TempDir(), simulator.Options{Seed: 61, Skill: simulator.Steady()})
	one := openTab(t, browser(t), d.address, 1024, 600)
	one.press("[data-recipe='slate-surfacer']")
	one.until("below the national limit", "/below limit/.test(document.querySelector(\"[data-fact='voc']\")?.innerText)")
	one.bring("[data-fact='voc']")
	one.vocSays("below the limit of 580 for Primer and primer surfacer")
	one.vocSays("Calculated from what was entered, not a finding")
	one.bring(".uses-open")
	one.until("the limits", "document.querySelectorAll('.voc-limit').length > 10")
	one.until("where they come from", "document.querySelector('.uses').innerText.includes('Primer and primer surfacer, Topcoat of more than two stages: 40 CFR 59.102 table 1, from a public restatement of it and from memory; the page itself was not seen, 11 September 1998.')")
	one.vocSays("The ± counts the densities and the scale; the sheets give no ± of their VOC.")
	one.bring(".limit-own summary")
	one.until("the form", "document.querySelector(\"[data-own='set']\")?.offsetParent")
	one.ownLimit("3.8 lb/gal")
	one.bring("[data-own='add']")
	one.until("the date is asked for", "document.querySelector(\"[data-own='date']\").parentElement.innerText.includes('Say of when it is: limits change.')")
	require.Equal(t, "3.8 lb/gal", one.typedIn("[data-own='g_l']"), "nothing is lost")
	one.shot("limit-1-refused")
	requireNames(t, one)
	one.enter("[data-own='date']", "3 May 2026")
	one.bring("[data-own='add']")
	// 3.8 lb/gal by the exact pound and gallon: 455.3 g/l.
	one.vocSays("above the limit of 455 for Surfacer (Booth permit)")
	one.vocSays("Limit from: the permit on the wall, 3 May 2026.")
	one.vocSays("Calculated from what was entered, not a finding: the product sheet and local rules come first.")
	one.until("both are chosen", "document.querySelectorAll('.voc-limit[aria-pressed=true]').length === 2")
	one.until("the verdict, in a word", "/△ \\d+ above limit/.test(document.querySelector(\"[data-fact='voc']\").innerText)")
	one.run("document.querySelector('.limits-undo').scrollIntoView({block: 'center'})")
	one.shot("limit-2-governs")
	one.run("window.scrollTo(0, 0)")
	one.shot("limit-3-verdict")

	one.bring("[data-own='undo']")
	one.vocSays("below the limit of 580 for Primer and primer surfacer")
	one.until("it is gone", "document.querySelector(\"[data-limit='Booth permit: Surfacer']\") === null")
	one.settled() // the form empties itself once the limits are there anew
	one.run("document.querySelector('.limit-own').open = true")
	one.ownLimit("455")
	one.enter("[data-own='date']", "3 May 2026")
	one.bring("[data-own='add']")
	one.vocSays("above the limit of 455")
	one.bring("[data-away='Booth permit: Surfacer']")
	one.vocSays("below the limit of 580")
	one.bring("[data-own='undo']")
	one.vocSays("above the limit of 455 for Surfacer (Booth permit)")

	phone := openTab(t, one.ctx, d.address+"#bench/slate-surfacer", 390, 844)
	phone.bring("[data-fact='voc']")
	phone.vocSays("above the limit of 455 for Surfacer (Booth permit)")
	phone.shot("limit-4-phone")
}

// typedIn is what stands in a field.
func (p *tab) typedIn(selector string) string {
	p.t.Helper()
	s, err := chromedp.Run(p.ctx, chromedp.Evaluate[string](fmt.Sprintf("document.querySelector(%q).value", selector)))
	require.NoError(p.t, err)
	return s
}

// vocOf reads the figure that stands before g/l in the VOC of a recipe.
func (p *tab) vocOf(recipe string) float64 {
	p.t.Helper()
	p.press(fmt.Sprintf("[data-recipe=%q]", recipe))
	p.settled() // before that the figure may be that of the recipe before
	p.bring("[data-fact='voc']")
	p.vocSays(" g/l less water and exempt solvent")
	figure := regexp.MustCompile(`VOC[^\d]+(\d+)(?:.±.\d+)?.g/l`).FindStringSubmatch(p.text(".decide-more[aria-label='VOC']"))
	require.NotEmpty(p.t, figure)
	gl, err := strconv.ParseFloat(figure[1], 64)
	require.NoError(p.t, err)
	return gl
}

// TestBrowserCountsStagesTogether puts a clear over a topcoat: the page says the
// VOC of both together, (base + 2 clear)/3, against the limit of the topcoat.
func TestBrowserCountsStagesTogether(t *testing.T) {
	t.Parallel()
	d := startDemo(t, t.TempDir(), simulator.Options{Seed: 62, Skill: simulator.Steady()})
	one := openTab(t, browser(t), d.address, 1024, 600)
	clear := one.vocOf("lantern-clear")
	one.press(".back")
	base := one.vocOf("ferry-green")
	one.bring(".stages summary")
	offered := func(slot string) string {
		return fmt.Sprintf("[...(document.querySelector(\"[data-stage='%s']\")?.children ?? [])].map((o) => o.label + [...o.children].map((c) => ': ' + c.label).join('')).join(', ')", slot)
	}
	one.until("clears, and apart from them what does not say what it is", offered("clear")+" === 'none, Lantern clear, Lantern clear, flexible, Others: Harbour white'")
	one.until("colours, and no primer", offered("mid")+" === 'none, Estuary blue, water, Others: Harbour white: Lantern clear: Lantern clear, flexible'")
	one.choose("[data-stage='mid']", "estuary-blue")
	one.until("the clear is asked for", "document.querySelector('.stages').innerText.includes('Choose the clear too')")
	one.choose("[data-stage='mid']", "")
	one.choose("[data-stage='clear']", "lantern-clear")
	one.vocSays("The 2 stages together (Ferry green, Lantern clear): VOC ")
	figure := regexp.MustCompile(`Lantern.clear\):.VOC.(\d+).±.\d+.g/l`).FindStringSubmatch(one.text(".decide-more[aria-label='VOC']"))
	require.NotEmpty(t, figure)
	together, err := strconv.ParseFloat(figure[1], 64)
	require.NoError(t, err)
	require.InDelta(t, (base+2*clear)/3, together, 1.5, "each is rounded to a gram")
	one.vocSays("the limit of 600 for Topcoat of one or two stages")
	one.until("the verdict, in a word", "/2 stages, \\d+ below limit/.test(document.querySelector(\"[data-fact='voc']\").innerText)")
	one.run("window.scrollTo(0, 0)")
	one.shot("stages-1-verdict")
	one.run("document.querySelector('.stages').scrollIntoView({block: 'center'})")
	one.shot("stages-2-chosen")
	requireNames(t, one)
	one.choose("[data-stage='clear']", "")
	one.until("alone again", "!document.querySelector(\".decide-more[aria-label='VOC']\").innerText.includes('stages together (')")
}
