package main

import (
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/require"

	"gramcup/simulator"
)

// reload loads the page anew, as a tablet does that slept.
func (p *tab) reload() {
	p.t.Helper()
	require.NoError(p.t, chromedp.Do(p.ctx, chromedp.Reload()))
	p.until("the products", "document.querySelectorAll('[data-product]').length >= 6")
}

// drafted waits until the form says what it goes on with.
func (p *tab) drafted(form, sentence string) {
	p.t.Helper()
	p.until("it says that it goes on", "document.querySelector('"+form+" > .draft')?.offsetParent && document.querySelector('"+form+" > .draft .undo-text').innerText.startsWith('"+sentence+"')")
}

// TestBrowserKeepsAHalfTypedProduct types a product, is called away, has the page
// loaded anew, and finds all of it again; begins anew, slips, and brings it back;
// and nothing comes back once it is on the shelf. The same for a change of a
// product, and for two undercoats.
func TestBrowserKeepsAHalfTypedProduct(t *testing.T) {
	t.Parallel()
	d := startDemo(t, t.TempDir(), simulator.Options{Seed: 54, Skill: simulator.Steady()})
	one := openTab(t, browser(t), d.address+"#shelf", 1024, 600)
	one.until("the products", "document.querySelectorAll('[data-product]').length >= 6")
	require.Empty(t, one.text(".half-typed"))
	one.press("[data-shelf='add']")
	one.enter("[data-field='name']", "Quay surfacer")
	one.enter("[data-field='ratio']", "4:1 + 10 %")
	one.press("[data-choice='of'] [data-value='parts']")
	one.enter("[data-field='density-1']", "1.06")
	one.press("[data-shelf='more']")
	one.enter(".shelf-form [data-figure='price']", "26")
	one.reload()
	one.until("the list says it", "document.querySelector('.half-typed').innerText === '“Quay surfacer” is half typed: “Add a product” goes on with it.'")
	one.shot("draft-1-list")
	one.press("[data-shelf='add']")
	one.drafted(".shelf-form", "Half typed ")
	same := func(why string) {
		t.Helper()
		require.Equal(t, "Quay surfacer", one.value("[data-field='name']"), why)
		require.Equal(t, "4:1 + 10 %", one.value("[data-field='ratio']"), why)
		require.Equal(t, "1.06", one.value("[data-field='density-1']"), why)
		require.Equal(t, "true", attr(one, "[data-choice='of'] [data-value='parts']", "aria-pressed"), why)
	}
	same("after a reload")
	one.shot("draft-2-back")
	requireNames(t, one)
	one.press("[data-shelf='leave']")
	one.press("[data-shelf='add']")
	one.drafted(".shelf-form", "Half typed ")
	same("after another way out")
	one.press(".shelf-form [data-draft='anew']")
	one.until("empty", "document.querySelector(\"[data-field='name']\").value === '' && document.querySelectorAll('.form-row').length === 0")
	one.press(".shelf-form [data-draft='back']")
	one.drafted(".shelf-form", "Brought back")
	same("after a slip")
	one.press("[data-shelf='more']")
	one.until("its figures too", "document.querySelector(\".shelf-form [data-figure='price']\")?.value === '26'")
	one.reach("[data-shelf='put']")
	one.until("on the shelf", "document.querySelector('.shelf-place > .undo')?.innerText.includes('Quay surfacer is on the shelf')")

	one.press("[data-shelf='change']")
	one.until("nothing is half typed", "document.querySelector(\"[data-field='name']\").value === 'Quay surfacer' && !document.querySelector('.shelf-form > .draft').offsetParent")
	one.enter("[data-field='density-0']", "1.40")
	one.reload()
	one.until("no new one is half typed", "!document.querySelector('.half-typed').offsetParent")
	one.press("[data-product='quay-surfacer']")
	one.press("[data-shelf='change']")
	one.drafted(".shelf-form", "Half changed ")
	require.Equal(t, "1.40", one.value("[data-field='density-0']"))
	one.reach("[data-shelf='put']")
	one.until("changed", "document.querySelector('.stock-rows')?.innerText.replace(/\\s/g, ' ').includes('1.40 g/ml') && document.querySelector('.stock-rows').innerText.includes('not given')")
	one.shot("draft-3-density")
	one.press("[data-shelf='back']")
	one.press("[data-shelf='add']")
	one.until("a new form", "document.querySelector(\"[data-field='name']\").value === '' && !document.querySelector('.shelf-form > .draft').offsetParent")
	one.press("[data-shelf='leave']")

	one.press("[data-shelf='greys']")
	one.press("[data-grey='add']")
	one.enter("[data-grey-field='name']", "Ferry undercoats")
	one.enter("[data-grey-field='l-0']", "91")
	one.reload()
	one.press("[data-shelf='greys']")
	one.press("[data-grey='add']")
	one.drafted(".grey-form", "Half typed ")
	require.Equal(t, "Ferry undercoats", one.value("[data-grey-field='name']"))
	require.Equal(t, "91", one.value("[data-grey-field='l-0']"))
	one.shot("draft-4-grey")
	one.press(".grey-form [data-draft='anew']")
	one.until("empty", "document.querySelector(\"[data-grey-field='name']\").value === '' && document.querySelector(\"[data-grey-field='l-0']\").value === ''")
}
