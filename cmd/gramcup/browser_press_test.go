package main

import (
	"fmt"
	"testing"
	"time"

	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/require"

	"gramcup/simulator"
)

// patience is how long something is waited for. A batch that the painter pours takes
// more than a minute in itself, and a loaded machine several times as long.
const patience = 4 * time.Minute

// aimed gives the middle of what is to be pressed once a finger would go there: it
// can be pressed, lies open, has not moved for a moment, and the page does not pass
// presses over just now. What is covered or off the screen is brought to the middle,
// as a person does. Time is the page's own.
const aimed = `(() => {
	const selector = %q, e = document.querySelector(selector), now = performance.now();
	if (e === null || e.disabled || e.offsetParent === null) { window.aim = undefined; return []; }
	const r = e.getBoundingClientRect(), x = r.x + r.width / 2, y = r.y + r.height / 2;
	if (!e.contains(document.elementFromPoint(x, y))) { e.scrollIntoView({block: 'center', behavior: 'instant'}); window.aim = undefined; return []; }
	const moved = window.aim?.selector !== selector || Math.abs(window.aim.x - x) > 4 || Math.abs(window.aim.y - y) > 4;
	if (moved) window.aim = {selector, x, y, sinceMS: now};
	window.aim.lookedMS = now;
	return now - window.aim.sinceMS > 250 && now > Number(document.documentElement.dataset.quietUntil ?? 0) ? [x, y] : [];
})()`

// watchPress notes which control the next press goes to. A press that comes so long
// after the look that the page takes presses again, of what came up meanwhile, is none
// of a finger but of a process that was held up: it is kept from what it would hit.
const watchPress = `(() => {
	const e = document.querySelector(%q);
	const took = window.took = {hit: false, other: '', passedOver: document.documentElement.dataset.passedOver};
	const see = (event) => {
		took.hit = e.contains(event.target);
		if (!took.hit && performance.now() - (window.aim?.lookedMS ?? 0) > 400) {
			event.stopImmediatePropagation();
			event.preventDefault();
		} else if (!took.hit) took.other = event.target.closest?.('button, a[href], input, select, textarea, summary')?.outerHTML.slice(0, 200) ?? '';
	};
	window.removeEventListener('click', window.seePress, true);
	window.seePress = see;
	window.addEventListener('click', see, {capture: true, once: true});
})()`

// whatTook says what became of the press: "taken", "passed over" by the page, as a
// press that could not be meant, "missed" everything, or what else was hit.
const whatTook = `(() => {
	const took = window.took;
	if (took === undefined) return 'taken'; // and the page was loaded anew by it
	if (document.documentElement.dataset.passedOver !== took.passedOver) return 'passed over';
	return took.hit ? 'taken' : took.other === '' ? 'missed' : took.other;
})()`

// press clicks what a person would, and sees that it was taken. Where the page
// passed the press over, or the thing moved away from under it, nothing was
// pressed, and it is aimed at anew; a press that another control took is a failure.
func (p *tab) press(selector string) {
	p.t.Helper()
	p.taken(selector, func(x, y float64) {
		require.NoError(p.t, chromedp.Do(p.ctx, chromedp.MouseClickXY(x, y)))
	})
}

// taken repeats aiming and pressing until the control has taken one press.
func (p *tab) taken(selector string, press func(x, y float64)) {
	p.t.Helper()
	p.pressUnless(func(_ *tab, _ string, x, y float64) { press(x, y) }, selector, "false")
}

// aim waits until something can be pressed, and says where.
func (p *tab) aim(selector string) (x, y float64) {
	p.t.Helper()
	var at []float64
	for end := time.Now().Add(patience); time.Now().Before(end); time.Sleep(50 * time.Millisecond) {
		var err error
		at, err = chromedp.Run(p.ctx, chromedp.Evaluate[[]float64](fmt.Sprintf(aimed, selector)))
		require.NoError(p.t, err, selector)
		if len(at) == 2 {
			return at[0], at[1]
		}
	}
	p.never(selector+" can be pressed", fmt.Sprintf(aimed, selector))
	return 0, 0
}

// never ends a test with what the page shows instead.
func (p *tab) never(what, js string) {
	p.t.Helper()
	text, _ := chromedp.Run(p.ctx, chromedp.Evaluate[string]("document.body.innerText"))
	p.shot("failed")
	p.t.Fatalf("the page never came to: %s\n%s\nIt says:\n%s", what, js, text)
}

// open waits until the page takes presses: not just after something has moved.
func (p *tab) open() {
	p.t.Helper()
	p.until("the page takes presses", "performance.now() > Number(document.documentElement.dataset.quietUntil ?? 0)")
}

// layoutRests is true once the layout has not changed for a moment of the page's own
// time, over looks that follow each other.
const layoutRests = `(() => {
	const r = document.documentElement, now = performance.now();
	const controls = [...document.querySelectorAll('button, a[href], input, select, textarea')].filter((e) => e.offsetParent !== null);
	const looks = [r.scrollWidth, r.scrollHeight, controls.length, controls.reduce((sum, e) => sum + e.getBoundingClientRect().height, 0)].join();
	if (window.layout?.looks !== looks) window.layout = {looks, sinceMS: now};
	return now - window.layout.sinceMS > 300;
})()`

// rested waits for that: what is measured after it is the state, and not the way there.
func (p *tab) rested() {
	p.t.Helper()
	p.until("the layout stands still", layoutRests)
}

// says waits until something on the page says a sentence: what the daemon answers
// comes when it comes.
func (p *tab) says(selector, sentence string) {
	p.t.Helper()
	p.until(selector+" says: "+sentence, fmt.Sprintf("document.querySelector(%q)?.innerText.includes(%q)", selector, sentence))
}

// hold presses a button with the mouse and keeps it down until the page shows
// what the eye waits for. The finger is lifted in the page itself, in the frame
// that shows it, and not after a way through the browser's protocol.
func (p *tab) hold(selector, what, js string) {
	p.t.Helper()
	p.keptDown(selector, "pointerdown", "new PointerEvent('pointerup', {bubbles: true})", what, js, func() func() {
		x, y := p.aim(selector)
		send := func(kind input.DispatchMouseEventType) {
			require.NoError(p.t, chromedp.Do(p.ctx, chromedp.MouseEvent(kind, x, y, chromedp.ButtonLeft)))
		}
		send(input.DispatchMouseEventTypeMousePressed)
		return func() { send(input.DispatchMouseEventTypeMouseReleased) }
	})
}

// keptDown presses by press, which gives what lifts the finger again, once the page
// itself has let go. Where the button was not hit, went from under the finger, or the
// simulated bench did not hear of it in time, it is pressed anew: else nothing would
// ever pour.
func (p *tab) keptDown(selector, down, event, what, js string, press func() func()) {
	p.t.Helper()
	for range 20 {
		p.letGo(selector, down, event, js)
		lift := press()
		p.run("window.leant.sinceMS = performance.now()")
		p.until(what, "window.leant.letGo || window.leant.lost || !window.leant.down && performance.now() - window.leant.sinceMS > 3000")
		lift()
		if p.evaluated("window.leant.letGo ? 'let go' : 'lost'") == "let go" {
			return
		}
		p.t.Logf("%s did not stay down", selector)
	}
	p.t.Fatalf("%s never stayed down until: %s", selector, what)
}

// letGo has the page itself end what is held down, by an event, once js is true. It
// watches from the press on: what a slow machine takes to be asked is not poured.
func (p *tab) letGo(selector, down, event, js string) {
	p.t.Helper()
	p.run(fmt.Sprintf(`(() => {
		const button = document.querySelector(%q);
		const mine = window.leant = {down: false, letGo: false, lost: false, sinceMS: performance.now()};
		const look = () => {
			if (window.leant !== mine || mine.lost) return;
			mine.letGo = Boolean(%s);
			if (mine.letGo) button.dispatchEvent(%s);
			else if (document.querySelector('.demo-said').innerText !== '') mine.lost = true;
			else window.requestAnimationFrame(look);
		};
		button.addEventListener(%q, () => { mine.down = true; window.requestAnimationFrame(look); }, {once: true});
		for (const name of ['pointerleave', 'pointercancel', 'blur']) button.addEventListener(name, () => { mine.lost = mine.down && !mine.letGo; });
	})()`, selector, js, event, down))
}

// TestBrowserPressIsSeen checks the finger of these tests itself: a press that the
// page passes over is not taken for one, and is made once in the end; one whose
// button has gone from under it is aimed anew.
func TestBrowserPressIsSeen(t *testing.T) {
	t.Parallel()
	d := startDemo(t, t.TempDir(), simulator.Options{Seed: 71, Skill: simulator.Steady()})
	one := openTab(t, browser(t), d.address, 1024, 600)
	one.press(".card")
	// At once, as no finger should: what has just come up is not pressed.
	one.aim(".amount .back")
	tries := 0
	one.taken(".amount .back", func(x, y float64) {
		if tries++; tries == 1 { // something moves between the look and the press
			one.run("document.querySelector('.amount-head').style.translate = '0 -200px'")
			defer one.run("document.querySelector('.amount-head').style.removeProperty('translate')")
		}
		require.NoError(t, chromedp.Do(one.ctx, chromedp.MouseClickXY(x, y)))
	})
	require.GreaterOrEqual(t, tries, 2, "the first was no press")
	one.until("it was pressed", "document.querySelector('.card')?.offsetParent && !document.querySelector('.amount').offsetParent")

	one.start("80")
	one.until("the cup is asked for", "document.body.innerText.includes('empty cup')")
	tries = 0
	one.taken("[data-do='abort']", func(x, y float64) {
		if tries++; tries == 1 { // the place changes and comes back: the finger is too early
			one.run("location.hash = '#book'")
			one.until("the book", "document.body.dataset.place === 'book'")
			one.run("location.hash = '#bench'; window.dispatchEvent(new HashChangeEvent('hashchange')); document.querySelector(\"[data-do='abort']\").click()")
			return
		}
		require.NoError(t, chromedp.Do(one.ctx, chromedp.MouseClickXY(x, y)))
	})
	require.GreaterOrEqual(t, tries, 2, "the first was passed over by the page")
	one.until("are you sure", "document.querySelector('.confirm')")
}
