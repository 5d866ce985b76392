package main

import (
	"fmt"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/require"

	"gramcup/simulator"
)

// seen checks that a person sees things whole without scrolling: within the
// screen, and not under the foot of the page.
func (p *tab) seen(state string, selectors ...string) {
	p.t.Helper()
	for _, s := range selectors {
		p.until(fmt.Sprintf("%s: %s is seen without scrolling", state, s), fmt.Sprintf(`(() => {
			const foot = document.querySelector('.footer').getBoundingClientRect();
			const all = [...document.querySelectorAll(%q)].filter((e) => e.offsetParent !== null);
			return window.scrollY === 0 && all.length > 0 && all.every((e) => {
				const b = e.getBoundingClientRect();
				return b.width > 0 && b.top >= 0 && b.left >= 0 && b.right <= innerWidth && b.bottom <= Math.min(innerHeight, foot.top);
			});
		})()`, s))
	}
}

// TestBrowserDecidesWithoutScrolling holds the four things that an amount is
// decided on within a screen of 1024 × 600: the amount, how sure the ratio would
// be, the VOC against its limit, and where each density comes from. Also where a
// batch is too small, which has more to say.
func TestBrowserDecidesWithoutScrolling(t *testing.T) {
	t.Parallel()
	d := startDemo(t, t.TempDir(), simulator.Options{Seed: 51, Skill: simulator.Steady()})
	one := openTab(t, browser(t), d.address, 1024, 600)
	decided := []string{".sure-first", "[data-fact='voc']", ".plan .provenance", ".start"}
	for _, recipe := range []string{"slate-surfacer", "lantern-flexible", "harbour-white"} {
		one.press(fmt.Sprintf("[data-recipe=%q]", recipe))
		one.press("[data-kind='volume']")
		one.figureAmount("300")
		one.until("a plan", "document.querySelector('.sure-first')?.offsetParent && document.querySelector('.plan-total')?.innerText.includes('300')")
		one.seen(recipe+" by volume", append(decided, ".amount-input")...)
		one.shot("amount-1-" + recipe)
		one.figureAmount("10")
		one.until("what would do", "document.querySelector('.sure-way')?.offsetParent && document.querySelector('.sure-way').innerText.includes('next cup')")
		one.seen(recipe+", too little", append(decided, ".amount-input", ".sure-way")...)
		one.shot("amount-2-too-little-" + recipe)
		requireNames(t, one)
		one.press("[data-kind='mass']")
		one.until("a plan", "document.querySelector('.sure').dataset.enough === 'yes'")
		one.seen(recipe+" by weight", append(decided, ".amount-input")...)
		one.press(".back")
	}
	one.press("[data-recipe='slate-surfacer']")
	one.press("[data-kind='area']")
	one.until("its litres", "document.querySelector('.plan-fits')?.innerText.includes('wet film')")
	one.seen("by area", append(decided, "[data-figure='area_m2']", "[data-figure='dry_um']")...)
	one.shot("amount-3-area")
	one.press(".sure-why")
	one.until("the rest opens on a touch", "document.querySelector('.sure-rest')?.offsetParent")
	phone := openTab(t, one.ctx, d.address+"#bench/slate-surfacer", 390, 844)
	phone.until("a plan", "document.querySelectorAll('.plan tbody tr').length === 3")
	phone.shot("amount-4-phone")
	requireNames(t, phone)
}

// TestBrowserRemembersHowItWasPutOn starts a batch for an area with coats, film
// and transfer of its own; the bench remembers them for that recipe, also after
// a restart and on a screen that never saw it, and they can be changed.
func TestBrowserRemembersHowItWasPutOn(t *testing.T) {
	t.Parallel()
	folder := t.TempDir()
	d := startDemo(t, folder, simulator.Options{Seed: 52, Skill: simulator.Steady()})
	chrome := browser(t)
	one := openTab(t, chrome, d.address, 1024, 600)
	one.press("[data-recipe='slate-surfacer']")
	one.press("[data-kind='area']")
	one.until("the usual film", "document.querySelector(\"[data-figure='coats']\")?.value === '2'")
	one.figure("area_m2", "0.4")
	one.figure("coats", "3")
	one.figure("dry_um", "45")
	one.figure("transfer", "50")
	one.until("it is worked out", "!document.querySelector('.start').disabled && document.querySelector('.assumed-line').innerText.includes('50')")
	one.press(".start")
	one.until("the cup is asked for", "document.body.innerText.includes('empty cup')")
	one.confirms(mouse, "[data-do='abort']", ".confirm .yes", "document.querySelector('.ended')?.offsetParent")
	one.until("ended", "document.querySelector('.ended')?.offsetParent")
	d.stop()

	d = startDemo(t, folder, simulator.Options{Seed: 52, Skill: simulator.Steady()})
	two := openTab(t, one.ctx, d.address, 1024, 600)
	two.run("localStorage.clear()")
	require.NoError(t, chromedp.Do(two.ctx, chromedp.Navigate(d.address)))
	two.press("[data-recipe='slate-surfacer']")
	two.press("[data-kind='area']")
	two.until("three coats", "document.querySelector(\"[data-figure='coats']\")?.value === '3'")
	two.until("it says what it assumes", "/^Assumed as last time, \\d+ \\w{3} \\d{4}: 3 coats of 45\\sµm\\.$/.test(document.querySelector('.area-rough').innerText)")
	two.says(".assumed-line", "50")
	two.shot("amount-5-remembered")
	two.figure("coats", "2")
	two.until("it is no longer as last time", "!document.querySelector('.area-rough').offsetParent")
	two.press(".back")
	two.press("[data-recipe='lantern-clear']")
	two.press("[data-kind='area']")
	two.until("another recipe has its own", "document.querySelector(\"[data-figure='coats']\")?.value === '2' && document.querySelector(\"[data-figure='dry_um']\")?.value === '28'")
}

// byHand puts the finger into a field, wipes it and types key by key, and leaves
// the finger there.
func (p *tab) byHand(selector, text string) {
	p.t.Helper()
	p.until(selector+" is there", fmt.Sprintf("document.querySelector(%q)?.offsetParent", selector))
	p.run(fmt.Sprintf("document.querySelector(%q).focus(); document.querySelector(%q).select()", selector, selector))
	for _, letter := range text {
		require.NoError(p.t, chromedp.Do(p.ctx, chromedp.KeyEvent(string(letter))))
	}
}

// TestBrowserKeepsWhatIsTyped types figures that are none into the fields of an
// amount, with the finger left there while answers arrive: each stays as it was
// typed, a sentence says what would be right, and nothing can be started.
func TestBrowserKeepsWhatIsTyped(t *testing.T) {
	t.Parallel()
	d := startDemo(t, t.TempDir(), simulator.Options{Seed: 53, Skill: simulator.Steady()})
	one := openTab(t, browser(t), d.address, 1024, 600)
	one.press("[data-recipe='slate-surfacer']")
	one.press("[data-kind='area']")
	one.until("its litres", "document.querySelector('.plan-fits')?.innerText.includes('wet film') && !document.querySelector('.start').disabled")
	one.settled() // what comes of the shop's settings turns figures too
	one.press(".assumed-line")
	refused := func(figure, text, sentence string) {
		t.Helper()
		field := fmt.Sprintf("[data-figure=%q]", figure)
		one.slowFetch("/api/plan", 100)
		one.byHand(field, text)
		// What of it could have been a figure is answered after the rest was typed.
		one.until(text+" stays", fmt.Sprintf(`(() => {
			const i = document.querySelector(%q);
			const said = i.closest('.turn').querySelector('.turn-said');
			return i === document.activeElement && i.value === %q && i.ariaInvalid === 'true' && said.offsetParent && said.innerText.replace(/\s/g, ' ') === %q
				&& document.querySelector('.amount .start').disabled && document.querySelector('.plan-warn').innerText.includes('Not taken') && document.querySelectorAll('.plan tbody tr').length === 0;
		})()`, field, text, sentence))
		one.settled()
		one.run("document.activeElement.blur()")
		require.Equal(t, text, one.value(field), "also when the finger has left")
	}
	refused("transfer", "150", "Not taken: 5 to 100 % would be right.")
	one.shot("typed-1-refused")
	requireNames(t, one)
	one.byHand("[data-figure='transfer']", "50")
	one.until("taken", "!document.querySelector('.amount .start').disabled && document.querySelector('.assumed-line').innerText.includes('50')")
	refused("transfer", "0", "Not taken: 5 to 100 % would be right.")
	one.reach("[data-step='transfer+']")
	one.until("turned from where it was", "document.querySelector(\"[data-figure='transfer']\").value === '55' && !document.querySelector('.amount .start').disabled")
	refused("area_m2", "abc", "Not taken: 0.01 to 500 m² would be right.")
	one.byHand("[data-figure='area_m2']", "2,2")
	one.until("taken, and left as it is typed", "!document.querySelector('.amount .start').disabled && document.querySelector(\"[data-figure='area_m2']\").value === '2,2'")
	refused("coats", "2.5", "Not taken: a whole number, 1 to 20 would be right.")

	one.run("scrollTo(0, 0)")
	one.press("[data-kind='volume']")
	one.until("another way has its own figure", "!document.querySelector('.amount .start').disabled")
	one.byHand(".amount-input", "0")
	one.until("no amount", "document.querySelector('.plan-warn').innerText.includes('“0” is not taken') && document.querySelector('.amount .start').disabled")
	one.run("document.activeElement.blur()")
	require.Equal(t, "0", one.value(".amount-input"))
	one.shot("typed-2-amount")

	one.byHand(".amount-input", "300")
	one.until("a plan", "!document.querySelector('.amount .start').disabled")
	one.press("[data-fact='shop']")
	one.byHand("[data-figure='shop_c']", "150")
	one.until("no shop has 150 °C", "document.querySelector(\"[data-figure='shop_c']\").value === '150' && [...document.querySelectorAll('.shop-row .turn-said')].some((s) => s.offsetParent && s.innerText.includes('0 to 50'))")
}

// countAsked counts in every page what it has asked for and not yet heard.
const countAsked = `(() => {
	const plain = window.fetch;
	window.underWay = 0;
	window.fetch = async (...args) => {
		window.underWay++;
		window.askedMS = performance.now();
		try {
			return await plain(...args);
		} finally {
			window.underWay--;
			window.askedMS = performance.now();
		}
	};
})()`

// settled waits until the page has asked for nothing for half a second of its own
// time, and waits for no answer.
func (p *tab) settled() {
	p.t.Helper()
	p.until("the page is quiet", "window.underWay === 0 && performance.now() - (window.askedMS ?? 0) > 500")
}

// TestBrowserSaysWhatDoesNotFit asks for three litres of four components in a
// usual cup: that it does not fit is on the screen beside the start, the amount
// is read whole, and nothing on a card runs out of it.
func TestBrowserSaysWhatDoesNotFit(t *testing.T) {
	t.Parallel()
	d := startDemo(t, t.TempDir(), simulator.Options{Seed: 55, Skill: simulator.Steady()})
	one := openTab(t, browser(t), d.address, 1024, 600)
	one.press("[data-recipe='ballast-filler']")
	one.press("[data-kind='volume']")
	whole := "[...document.querySelectorAll('.decide')].filter((d) => d.offsetParent).length === 3 && [...document.querySelectorAll('.decide')].every((d) => d.scrollWidth <= d.clientWidth)"
	one.until("no card runs out of itself", "document.querySelector(\"[data-fact='index']\")?.innerText.includes('not known') && "+whole)
	one.shot("fits-1-cards")
	one.figureAmount("3000")
	one.until("only the cup is a warning", "document.querySelector('.plan-warn').innerText.startsWith('Does not fit this cup') && !document.querySelector('.plan-fits').innerText.includes('Does not fit')")
	one.until("it is read whole", "(() => { const i = document.querySelector('.amount-input'); return i.value === '3000' && i.scrollWidth <= i.clientWidth; })()")
	one.press(".back")

	one.press("[data-place='shelf']")
	one.press("[data-shelf='add']")
	one.enter("[data-field='name']", "Quay four")
	one.enter("[data-field='ratio']", "4:1:1:1")
	one.enter("[data-field='density-2']", "5")
	one.press("[data-shelf='put']")
	one.until("why it is refused is said", "document.querySelector('.shelf-form > .sentence')?.innerText.includes('density')")
	one.seen("a refused product", ".shelf-form > .sentence", "[data-shelf='put']")
	for i, density := range []string{"1.40", "1.06", "0.87", "0.90"} {
		one.enter(fmt.Sprintf("[data-field='density-%d']", i), density)
	}
	one.reach("[data-shelf='more']")
	one.press("[data-tab='mix']")
	one.enter(".shelf-form [data-figure='cup']", "650 ml")
	one.reach("[data-shelf='put']")
	one.until("on the shelf", "document.querySelector('.shelf-place > .undo')?.innerText.includes('Quay four is on the shelf')")
	one.reach(".mix-it")
	one.until("four", "document.querySelectorAll('.plan tbody tr').length === 4")
	one.figureAmount("3000")
	one.until("too much", "document.querySelector('.plan-warn')?.innerText.startsWith('Does not fit this cup')")
	one.seen("four components", ".plan-warn", ".amount-go .start", ".amount-input")
	one.shot("fits-2-four")
}
