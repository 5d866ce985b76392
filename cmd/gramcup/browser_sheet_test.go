package main

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"

	"gramcup/mix"
	"gramcup/mix/book"
	"gramcup/simulator"
)

// sheetSays waits for what stands under a figure of the form.
func (p *tab) sheetSays(figure, sentence string) {
	p.t.Helper()
	p.until(fmt.Sprintf("%q stands under %s", sentence, figure), fmt.Sprintf(
		"[...document.querySelectorAll('.sheet-grid .check-field')].find((f) => f.querySelector('[data-figure=%s]'))?.querySelector('.sheet-said').innerText === %q", figure, sentence))
}

// known waits for a figure on a product's page.
func (p *tab) known(figure, text, from string) {
	p.t.Helper()
	p.until(figure+" is "+text, fmt.Sprintf("document.querySelector('.sheet-list [data-figure-known=%s]')?.innerText.replaceAll('\\n', ' ').includes(%q)", figure, text))
	p.says(fmt.Sprintf(".sheet-list [data-figure-known=%s] small", figure), from)
}

// TestBrowserTypesASheet is somebody with the sheets of a product in his hand:
// price, solids by weight, VOC in pounds a gallon, OH value and NCO content, each
// as it is printed; a slip is refused beside its field and costs nothing. The
// amount then has its VOC and its index, and what was typed stands on the
// product's page with where from and when.
func TestBrowserTypesASheet(t *testing.T) {
	t.Parallel()
	folder := t.TempDir()
	d := startDemo(t, folder, simulator.Options{Seed: 41, Skill: simulator.Steady()})
	one := openTab(t, browser(t), d.address+"#shelf", 1024, 600)
	one.until("the products", "document.querySelectorAll('[data-product]').length >= 6")
	one.press("[data-shelf='add']")
	one.enter("[data-field='name']", "Quay surfacer")
	one.enter("[data-field='ratio']", "4:1")
	one.enter("[data-field='density-0']", "1.40")
	one.enter("[data-field='density-1']", "1.06")
	one.onOneScreen("the form, with its further figures out of the way")
	one.press("[data-shelf='more']")
	one.until("the figures", "document.querySelector(\".shelf-form [data-figure='voc']\")?.offsetParent && !document.querySelector('.form-rows').offsetParent")
	one.onOneScreen("the further figures")
	one.shot("sheet-1-empty")
	requireNames(t, one)
	one.enter("[data-field='from']", "Quay sheet, edition 4")
	one.enter(".shelf-form [data-figure='price']", "98.42 /gal")
	one.sheetSays("price", "is 26.00 /l")
	one.enter(".shelf-form [data-figure='weight_solids']", "61 %")
	one.enter(".shelf-form [data-figure='solvent']", "0.87")
	one.enter(".shelf-form [data-figure='oh']", "38")
	one.enter(".shelf-form [data-figure='expansion']", "0.07 %/K")
	one.sheetSays("expansion", "is 0.0007 /K")
	one.enter(".shelf-form [data-figure='voc']", "4.7")
	one.sheetSays("voc", "4.7 may be lb/gal or g/l: write the unit.")
	one.enter(".shelf-form [data-figure='voc']", "4.7 lb/gal")
	one.sheetSays("voc", "is 563 g/l")
	one.shot("sheet-2-base")
	one.press("[data-tab='1']")
	one.until("the hardener's", "document.querySelector(\".shelf-form [data-figure='nco']\")?.offsetParent")
	one.enter(".shelf-form [data-figure='nco']", "160 %")
	one.enter(".shelf-form [data-figure='volatile']", "25 %")
	one.enter(".shelf-form [data-figure='volume_solids']", "60")
	one.press("[data-tab='mix']")
	one.until("of the mix", "document.querySelector(\"[data-field='note']\")?.offsetParent")
	one.enter("[data-field='note']", "Stir it well: it settles.")
	one.shot("sheet-3-mix")
	requireNames(t, one)

	one.reach("[data-shelf='put']")
	one.sheetSays("nco", "An NCO content of 160 % can not be right: hardeners as supplied have about 5 to 25 %.")
	require.Equal(t, "form", attr(one, ".shelf-place", "data-at"), "nothing is lost")
	one.shot("sheet-4-refused")
	one.enter(".shelf-form [data-figure='nco']", "16 %")
	one.reach("[data-shelf='put']")
	one.until("on the shelf", "document.querySelector('.shelf-place > .undo')?.innerText.includes('Quay surfacer is on the shelf')")
	one.onOneScreen("a product with figures")
	one.shot("sheet-5-product")
	one.press("[data-shelf='figures']")
	one.known("voc", "563 g/l", "4.7 lb/gal, Quay sheet, edition 4, ")
	one.known("weight_solids", "61 %", "Quay sheet, edition 4, ")
	one.known("nco", "16 %", "Quay sheet, edition 4, ")
	one.says(".sheet-list", "Stir it well")
	one.shot("sheet-6-figures")
	requireNames(t, one)

	// Changed, and undone.
	one.reach("[data-shelf='figures-change']")
	one.until("as it was typed", "document.querySelector(\".shelf-form [data-figure='voc']\")?.value === '4.7 lb/gal'")
	one.enter(".shelf-form [data-figure='voc']", "")
	one.reach("[data-shelf='put']")
	one.until("changed", "document.querySelector('.shelf-place > .undo')?.innerText.includes('Quay surfacer is changed')")
	one.until("it is gone", "document.querySelector('.sheet-list')?.offsetParent && !document.querySelector('.sheet-list [data-figure-known=voc]')")
	one.reach("[data-shelf='undo']")
	one.known("voc", "563 g/l", "4.7 lb/gal, Quay sheet, edition 4, ")

	phone := openTab(t, one.ctx, d.address+"#shelf", 390, 844)
	phone.press("[data-product='quay-surfacer']")
	phone.reach("[data-shelf='figures']")
	phone.known("price", "26.00 /l", "98.42 /gal, Quay sheet, edition 4, ")
	phone.shot("sheet-7-figures-phone")
	phone.reach("[data-shelf='figures-change']")
	phone.until("the fields", "document.querySelector(\".shelf-form [data-figure='voc']\")?.offsetParent")
	phone.shot("sheet-8-form-phone")
	requireNames(t, phone)

	one.reach(".mix-it")
	one.until("a VOC", "/\\d g\\/l/.test(document.querySelector(\"[data-fact='voc']\")?.innerText.replace('\u202f', ' '))")
	one.until("an index", "/^Index\\s*\\d/.test(document.querySelector(\"[data-fact='index']\")?.innerText)")
	d.stop()
	b, err := book.Open(folder)
	require.NoError(t, err)
	defer func() { require.NoError(t, b.Close()) }()
	r, found, err := b.Recipe("quay-surfacer")
	require.NoError(t, err)
	require.True(t, found)
	require.InDelta(t, 26, r.Components[0].PricePerL, 0.001)
	require.InDelta(t, 0.39, r.Components[0].Content.Volatile, 1e-9)
	require.Equal(t, "Quay sheet, edition 4", r.Components[0].Said[0].Source)
	require.Equal(t, mix.FigurePrice, r.Components[0].Said[0].Figure)
	require.Equal(t, "Stir it well: it settles.", r.Note)
}
