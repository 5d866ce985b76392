package main

import (
	"testing"

	"github.com/stretchr/testify/require"

	"gramcup/mix/book"
	"gramcup/simulator"
)

// TestBrowserTwoPagesChangeAProduct changes a product on a phone while its form is
// open on the bench. The form says field by field what the phone changed, and goes
// on with both; where both have typed, a person says whose counts.
func TestBrowserTwoPagesChangeAProduct(t *testing.T) {
	t.Parallel()
	folder := t.TempDir()
	d := startDemo(t, folder, simulator.Options{Seed: 71, Skill: simulator.Steady()})
	one := openTab(t, browser(t), d.address+"#shelf", 1024, 600)
	one.press("[data-product='slate-surfacer']")
	one.press("[data-shelf='change']")
	one.enter("[data-field='pot']", "50")
	one.enter("[data-field='name-2']", "Drift reducer, slow")

	phone := openTab(t, browser(t), d.address+"#shelf", 390, 844) // of its own: what is half typed is kept for a whole browser
	change := func(pot, density string) {
		t.Helper()
		phone.press("[data-shelf='change']")
		phone.enter("[data-field='pot']", pot)
		phone.enter("[data-field='density-1']", density)
		phone.reach("[data-shelf='put']")
		phone.until("changed on the phone", "document.querySelector('.product .amount-ratio')?.innerText.endsWith('pot life "+pot+" min')")
	}
	phone.press("[data-product='slate-surfacer']")
	change("90", "1.07")

	one.reach("[data-shelf='put']")
	one.until("it says what was changed", "document.querySelector('.shelf-form .merge')?.innerText.includes('Whose counts there?')")
	row := func(p *tab, label string) string {
		t.Helper()
		return p.text(".merge-table tr[data-label='" + label + "']")
	}
	require.Contains(t, row(one, "Pot life, min"), "90")
	require.Contains(t, row(one, "Pot life, min"), "50")
	require.Contains(t, row(one, "Density of Slate hardener"), "1.07")
	one.shot("merge-1-both")
	one.onOneScreen("what another page changed")
	requireNames(t, one)
	one.press("[data-merge='theirs']")
	one.until("both are in the form", "document.querySelector(\"[data-field='pot']\").value === '90' && !document.querySelector('.shelf-form .merge').offsetParent")
	require.Equal(t, "Drift reducer, slow", one.value("[data-field='name-2']"))
	one.shot("merge-2-together")

	// Once more meanwhile, and this time it is the own figure that counts.
	one.enter("[data-field='pot']", "60")
	change("75", "1.08")
	one.reach("[data-shelf='put']")
	one.press("[data-merge='mine']")
	one.until("one's own", "document.querySelector(\"[data-field='pot']\").value === '60'")
	one.reach("[data-shelf='put']")
	one.until("kept", "document.querySelector('.product .amount-ratio')?.innerText.endsWith('pot life 60 min') && document.querySelector('.shelf-place > .undo').innerText.includes('Slate surfacer is changed.')")
	one.until("with what the phone changed", "document.querySelector('.stock-rows').innerText.replace(/\\s/g, ' ').includes('1.08 g/ml') && document.querySelector('.stock-rows').innerText.includes('Drift reducer, slow')")

	// The other way round, with nothing that both have typed.
	phone.reload() // sooner than by itself: undone can be only for a while
	phone.press("[data-product='slate-surfacer']")
	phone.until("the phone has seen it", "document.querySelector('.product .amount-ratio')?.innerText.endsWith('pot life 60 min')")
	phone.press("[data-shelf='change']")
	phone.enter("[data-field='name-0']", "Slate surfacer, grey")
	one.press("[data-shelf='undo']")
	one.until("undone", "document.querySelector('.product .amount-ratio')?.innerText.endsWith('pot life 75 min')")
	phone.reach("[data-shelf='put']")
	phone.until("it goes on with both", "document.querySelector(\"[data-merge='go']\")?.offsetParent && document.querySelector('.merge-table').innerText.includes('75')")
	phone.shot("merge-3-phone")
	phone.reach("[data-merge='go']")
	phone.reach("[data-shelf='put']")
	phone.until("kept on the phone", "document.querySelector('.stock-rows')?.innerText.includes('Slate surfacer, grey')")

	d.stop()
	b, err := book.Open(folder)
	require.NoError(t, err)
	defer func() { require.NoError(t, b.Close()) }()
	r, found, err := b.Recipe("slate-surfacer")
	require.NoError(t, err)
	require.True(t, found)
	require.Equal(t, "Slate surfacer, grey", r.Components[0].Name)
	require.InDelta(t, 1.08, r.Components[1].Density.GPerML, 1e-9)
	require.Equal(t, "Drift reducer, medium", r.Components[2].Name, "what was undone")
}
