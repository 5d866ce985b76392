package main

import (
	"testing"

	devtools "github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/require"
)

// slowLine lets what is known of walks come late, a plan only when it is let go, and what
// the stream says only after the page has been drawn. Each drawing is looked at: where the
// places and the first card stand, and what is said of the scale that was not told of yet.
// No place gives up waiting here, however slow the machine is.
const slowLine = `(() => {
	const plain = window.fetch, later = window.setTimeout;
	window.setTimeout = (f, ms, ...more) => later(f, ms === 2000 ? 600000 : ms, ...more);
	window.fetch = async (...args) => {
		if (args[0] === '/api/walks') await new Promise((done) => { later(done, 700); });
		if (String(args[0]).startsWith('/api/plan') && window.holdPlans) await new Promise((done) => { window.letPlan = done; });
		return plain(...args);
	};
	let looked, told = false;
	const drawn = new Promise((done) => { looked = done; });
	window.WebSocket = class extends WebSocket {
		set onmessage(f) {
			super.onmessage = (event) => drawn.then(() => {
				told = told || /"type":"(weight|health)"/.test(event.data);
				f(event);
			});
		}
	};
	window.seen = { places: new Set(), cards: new Set(), said: new Set(), names: new Set() };
	const look = () => {
		const nav = document.querySelector('.nav');
		if (nav !== null) {
			window.seen.places.add([...nav.children].map((a) => Math.round(a.getBoundingClientRect().x)).join());
			if (!told) window.seen.said.add(document.querySelector('.alive-text').innerText);
			window.seen.names.add(document.querySelector('.station').innerText);
			looked();
		}
		const card = document.querySelector('.card');
		// A machine that is late with the weights later on has the banner say so, above the
		// cards: that is no answer to the loading of the page.
		const late = told && document.querySelector('.banner')?.offsetParent;
		if (card !== null && card.offsetParent !== null && !late) window.seen.cards.add(Math.round(card.getBoundingClientRect().y));
		window.requestAnimationFrame(look);
	};
	window.requestAnimationFrame(look);
})()`

// TestBrowserOnASlowLine loads the page where the answers come late: nothing that can be
// pressed is moved by what comes after it, no scale is called lost that was not heard
// yet, and what is on screen of the plan before is not taken for the one that is awaited.
func TestBrowserOnASlowLine(t *testing.T) {
	t.Parallel()
	c := startCutBench(t, 57, "shelf")
	one := c.one
	one.beginsDensity()
	_, err := chromedp.Call(one.ctx, devtools.AddScriptToEvaluateOnNewDocument, devtools.AddScriptToEvaluateOnNewDocumentParams{Source: slowLine})
	require.NoError(t, err)
	for _, screen := range []struct {
		name          string
		width, height int64
	}{{"bench", 1024, 600}, {"phone", 390, 844}} {
		require.NoError(t, chromedp.Do(one.ctx, chromedp.EmulateViewport(screen.width, screen.height)))
		c.restart("bench")
		one.until("the cards", "document.querySelector('.card')?.offsetParent && window.seen?.cards.size > 0 && document.querySelector('.alive-text').innerText === 'scale live'")
		one.shot("slow-1-" + screen.name)
		require.Contains(t, one.text(".rests"), "The measuring of the density of Slate hardener was broken off.")
		one.until("it has been drawn with them, and has moved none", "window.seen.cards.size === 1")
		one.until("nor the name the places", "window.seen.places.size === 1 && window.seen.names.size === 2")
		one.until("the scale was waited for", "[...window.seen.said].join() === 'waiting'")
		one.press("[data-recipe='ferry-green']")
		one.until("a plan", "!document.querySelector('.start').disabled && document.querySelector('.start').innerText === 'Start'")
		one.run("window.holdPlans = true")
		one.press("[data-amount='200']")
		one.until("it is worked out", "window.letPlan && document.querySelector('.start').disabled && document.querySelector('.start').innerText === 'Working it out …'")
		one.until("what was before is dimmed", `['.plan tbody', '.plan-total', '.plan-fits', '.sure', "[data-fact='voc']"].every((s) => getComputedStyle(document.querySelector(s)).opacity === '0.45')`)
		one.shot("slow-2-" + screen.name)
		one.run("window.holdPlans = false; window.letPlan()")
		one.until("and the new one is not", `!document.querySelector('.start').disabled && ['.plan tbody', '.plan-total', '.plan-fits', '.sure', "[data-fact='voc']"].every((s) => getComputedStyle(document.querySelector(s)).opacity === '1')`)
		one.until("it is of 200", "document.querySelector('.plan-total').innerText.includes('200')")
	}
}
