package main

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/accessibility"
	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/require"

	"gramcup/simulator"
)

// axText is a property of the accessibility tree as text.
func axText(v *accessibility.Value) string {
	if v == nil {
		return ""
	}
	return strings.Trim(string(v.Value), `"`)
}

// named asks the browser what a screen reader would be told: everything that
// can be pressed or typed into is there, once, with a name.
func (p *tab) named(state string) {
	p.t.Helper()
	const seen = "[...document.querySelectorAll('button, a[href], input, select, textarea, [role=button], [tabindex=\"0\"]')].filter((e) => e.offsetParent !== null).length"
	p.rested()
	count, want, nameless := 0, 0, []string{}
	for end := time.Now().Add(patience); time.Now().Before(end); time.Sleep(250 * time.Millisecond) { // the tree follows the document a moment later
		var err error
		want, err = chromedp.Run(p.ctx, chromedp.Evaluate[int](seen))
		require.NoError(p.t, err)
		tree, err := chromedp.Call(p.ctx, accessibility.GetFullAXTree, accessibility.GetFullAXTreeParams{})
		require.NoError(p.t, err)
		count, nameless = 0, []string{}
		for _, n := range tree.Nodes {
			switch role := axText(n.Role); role {
			case "button", "link", "textbox", "combobox", "checkbox", "spinbutton", "slider", "switch", "tab":
				if n.Ignored {
					continue
				}
				count++
				if axText(n.Name) == "" {
					nameless = append(nameless, role)
				}
			}
		}
		if count == want && len(nameless) == 0 {
			require.Positive(p.t, count, state)
			return
		}
	}
	p.t.Fatalf("%s: of %d that can be pressed a screen reader finds %d, of which %v have no name", state, want, count, nameless)
}

// roomy checks that what is pressed with gloves on is 15 mm high: 57 CSS pixels
// at 96 to the inch.
func (p *tab) roomy(state string) {
	p.t.Helper()
	p.rested()
	small, err := chromedp.Run(p.ctx, chromedp.Evaluate[[]string](`[...document.querySelectorAll('button, a[href], input')]
		.filter((e) => e.offsetParent !== null && e.getBoundingClientRect().height < 56.5)
		.map((e) => e.getBoundingClientRect().height + " " + e.outerHTML.slice(0, 100))`))
	require.NoError(p.t, err)
	require.Empty(p.t, small, state)
}

// narrow checks that nothing hangs out at the side.
func (p *tab) narrow(state string) {
	p.t.Helper()
	p.rested()
	wide, err := chromedp.Run(p.ctx, chromedp.Evaluate[bool]("document.documentElement.scrollWidth > document.documentElement.clientWidth"))
	require.NoError(p.t, err)
	require.False(p.t, wide, "%s has to be scrolled sideways", state)
}

// tabTo walks with the Tab key until the focus is on what the selector names.
func (p *tab) tabTo(selector string) {
	p.t.Helper()
	p.until(selector+" is there", fmt.Sprintf("(() => { const e = document.querySelector(%q); return e !== null && !e.disabled && e.offsetParent !== null; })()", selector))
	for range 60 {
		on, err := chromedp.Run(p.ctx, chromedp.Evaluate[bool](fmt.Sprintf("document.activeElement?.matches(%q) ?? false", selector)))
		require.NoError(p.t, err)
		if on {
			return
		}
		require.NoError(p.t, chromedp.Do(p.ctx, chromedp.KeyEvent("\t")))
	}
	p.t.Fatalf("%s is not reached with Tab", selector)
}

// key goes to a button with Tab and presses it with the space bar.
func (p *tab) key(selector string) {
	p.t.Helper()
	p.taken(selector, func(_, _ float64) {
		p.tabTo(selector)
		require.NoError(p.t, chromedp.Do(p.ctx, chromedp.KeyEvent(" ")))
	})
}

// letter presses a key with no button under it, until the page shows what it is for:
// just after something has moved the page passes it over.
func (p *tab) letter(key, there string) {
	p.t.Helper()
	for range 20 {
		p.open()
		require.NoError(p.t, chromedp.Do(p.ctx, chromedp.KeyEvent(key)))
		p.run("window.askedAtMS = performance.now()")
		p.until("what "+key+" is for", there+" || performance.now() - window.askedAtMS > 5000")
		if p.evaluated("String("+there+")") == "true" {
			return
		}
	}
	p.t.Fatalf("twenty presses of %s did nothing", key)
}

// lean keeps the space bar down on a button until the page shows it.
func (p *tab) lean(selector, what, js string) {
	p.t.Helper()
	send := func(kind input.DispatchKeyEventType) {
		_, err := chromedp.Call(p.ctx, input.DispatchKeyEvent, input.DispatchKeyEventParams{Type: kind, Key: " ", Code: "Space", WindowsVirtualKeyCode: 32})
		require.NoError(p.t, err)
	}
	p.keptDown(selector, "keydown", "new KeyboardEvent('keyup', {key: ' ', bubbles: true})", what, js, func() func() {
		p.tabTo(selector)
		send(input.DispatchKeyEventTypeRawKeyDown)
		return func() { send(input.DispatchKeyEventTypeKeyUp) }
	})
}

// TestBrowserWithTheKeyboardAlone mixes a whole batch without a mouse: choose,
// start, cup on, hold with its letter, restart, a hardener that runs, level up,
// the painter for the rest. In every state each control has a name for a screen
// reader, and on a phone nothing hangs out at the side.
func TestBrowserWithTheKeyboardAlone(t *testing.T) {
	t.Parallel()
	d := startDemo(t, t.TempDir(), simulator.Options{Seed: 17, Skill: simulator.Steady()})
	one := openTab(t, browser(t), d.address, 1024, 600)
	phone := openTab(t, one.ctx, d.address, 390, 844)
	check := func(state, js string) {
		t.Helper()
		for _, p := range []*tab{one, phone} {
			p.until(state, js)
			p.named(state)
			p.narrow(state)
			p.roomy(state)
		}
	}
	check("the recipes", "document.querySelectorAll('.card').length >= 6")
	one.key(".card")
	one.until("a plan", "document.querySelectorAll('.plan tbody tr').length > 1")
	one.named("how much")
	one.roomy("how much")
	one.key("[data-amount]") // the smallest of the quick amounts
	one.key(".start")
	check("the cup", "document.body.innerText.includes('empty cup')")
	one.key("[data-demo='cup']")
	check("the pour", "document.querySelector('.work-title')?.innerText.includes('Ballast')")
	d.pausesAt(1) // the hardener is poured by hand, however late the hand
	one.key("[data-demo='pour']")
	const hardener = "document.querySelector('.work-title')?.innerText.includes('hardener')"
	one.until("paint runs, or has run while nobody looked", "document.querySelector('.number-flow')?.offsetParent && parseFloat(document.querySelector('.number-digits').innerText) > 0 || "+hardener)
	one.letter("h", isHeld)
	check("the hold", isHeld)
	one.insist(space, "[data-do='restart']", "it goes on", "!"+isHeld)
	one.until("the hardener", hardener)
	one.lean("[data-demo='tip-14']", "it ran past", pastBy(3))
	check("the choice", "document.querySelector(\"[data-do='level-up']\")?.offsetParent")
	one.confirms(space, "[data-do='abort']", ".confirm .no", "", func() {
		one.named("are you sure")
		one.roomy("are you sure")
	})
	one.insist(space, "[data-do='level-up']", "the top-up", "document.querySelector('.work-title')?.innerText.includes('Ballast')")
	one.key("[data-demo='pour']")
	check("the end", "document.body.innerText.includes('Ready: every layer is on its line')")
	for _, place := range []string{"book", "scale", "bench"} {
		one.tabTo("[data-place='" + place + "']")
		require.NoError(t, chromedp.Do(one.ctx, chromedp.KeyEvent("\r")))
		one.until(place, "document.body.dataset.place === '"+place+"'")
		one.named(place)
		one.roomy(place)
	}
	summaries, err := chromedp.Run(one.ctx, chromedp.Evaluate[int]("fetch('/api/book').then((r) => r.json()).then((b) => b.batches.length)", chromedp.EvalAwaitPromise))
	require.NoError(t, err)
	require.Equal(t, 1, summaries)
}
