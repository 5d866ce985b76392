package main

import (
	"cmp"
	"context"
	"fmt"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/require"

	"gramcup/simulator"
)

// What a slow machine brings into a test: a weight that is late is a scale that is
// lost for a moment, what was pressed meanwhile is refused, and a question that is
// asked a second time has gone away again. The page says so, and a person presses anew.

// onOneScreen checks that nothing has to be scrolled for on the bench's small screen.
// It is looked at as it rests, and not while the page has more to say because the
// machine was late: that the scale, or the bench, was not heard.
func (p *tab) onOneScreen(state string) {
	p.t.Helper()
	p.fitsWhen(state, "!document.querySelector('.banner')?.offsetParent")
}

// fits checks the same of a screen that has such a thing to say.
func (p *tab) fits(state string) {
	p.t.Helper()
	p.fitsWhen(state, "true")
}

func (p *tab) fitsWhen(state, js string) {
	p.t.Helper()
	size := p.evaluatedSize(state, js)
	if size[0] > 1024 || size[1] > 600 {
		p.shot("failed")
		p.t.Fatalf("%s does not fit 1024 × 600: %v; it says:\n%s", state, size, p.text("body"))
	}
}

// evaluatedSize is how wide and high the page is, in the look that finds it at rest
// and js true.
func (p *tab) evaluatedSize(state, js string) (size []float64) {
	p.t.Helper()
	when := "(() => { const r = document.documentElement, met = " + js + "; return " + layoutRests + " && met ? [r.scrollWidth, r.scrollHeight] : []; })()"
	for end := time.Now().Add(patience); time.Now().Before(end); time.Sleep(50 * time.Millisecond) {
		var err error
		size, err = chromedp.Run(p.ctx, chromedp.Evaluate[[]float64](when))
		require.NoError(p.t, err)
		if len(size) == 2 {
			return size
		}
	}
	p.never(state+" rests", when)
	return nil
}

// finger is how something is pressed: with the mouse where it was aimed at, or with
// the keyboard alone.
type finger func(p *tab, selector string, x, y float64)

func mouse(p *tab, _ string, x, y float64) {
	p.t.Helper()
	require.NoError(p.t, chromedp.Do(p.ctx, chromedp.MouseClickXY(x, y)))
}

func space(p *tab, selector string, _, _ float64) {
	p.t.Helper()
	p.tabTo(selector)
	require.NoError(p.t, chromedp.Do(p.ctx, chromedp.KeyEvent(" ")))
}

// pressUnless presses, unless what the press is for, or makes it needless, is there
// before; it reports whether it has pressed.
func (p *tab) pressUnless(by finger, selector, there string) bool {
	p.t.Helper()
	look := fmt.Sprintf("({there: Boolean(%s), at: %s})", there, fmt.Sprintf(aimed, selector))
	for end := time.Now().Add(patience); time.Now().Before(end); time.Sleep(50 * time.Millisecond) {
		seen, err := chromedp.Run(p.ctx, chromedp.Evaluate[struct {
			There bool
			At    []float64
		}](look))
		require.NoError(p.t, err, selector)
		if seen.There {
			return false
		}
		if len(seen.At) != 2 {
			continue
		}
		p.run(fmt.Sprintf(watchPress, selector))
		by(p, selector, seen.At[0], seen.At[1])
		switch said := p.evaluated(whatTook); said {
		case "taken":
			p.presses++
			return true
		case "passed over", "missed":
			p.t.Logf("the press on %s was %s", selector, said)
		default:
			p.t.Fatalf("the press on %s went to %s", selector, said)
		}
	}
	p.never(selector+" can be pressed, or: "+there, look)
	return false
}

// refusals are the sentences on screen with which the bench refuses a press; each
// press wipes those of the one before.
const refusals = "[...document.querySelectorAll('.sentence[role=alert]')].filter((s) => s.getClientRects().length > 0 && s.innerText !== '').map((s) => s.innerText).join(' / ')"

// insist presses until the page shows what the press is for. What is refused, because
// the weight moved or the scale was not heard or something was noted meanwhile, is
// pressed again, as its sentence says. On the bench it stands there for 9 s only.
func (p *tab) insist(by finger, selector, what, there string) {
	p.t.Helper()
	for range 60 {
		if !p.pressUnless(by, selector, there) {
			return
		}
		p.run("window.askedAtMS = performance.now()")
		p.until(what+", or why not", "("+there+") || "+refusals+" !== '' || performance.now() - window.askedAtMS > 15000")
		if said := p.evaluated(refusals); said != "" {
			p.t.Logf("the press on %s was refused: %s", selector, said)
			time.Sleep(time.Second) // as one waits who has read it
		}
	}
	p.t.Fatalf("%s was pressed sixty times, and the page never came to: %s", selector, what)
}

// evaluated is a text that the page works out.
func (p *tab) evaluated(js string) string {
	p.t.Helper()
	s, err := chromedp.Run(p.ctx, chromedp.Evaluate[string](js))
	require.NoError(p.t, err, js)
	return s
}

// reads waits until the page works out a text that is not empty, and gives it: what is
// read in a second look may be of another state.
func (p *tab) reads(what, js string) string {
	p.t.Helper()
	for end := time.Now().Add(patience); time.Now().Before(end); time.Sleep(50 * time.Millisecond) {
		if s := p.evaluated("String((" + js + ") || '')"); s != "" {
			return s
		}
	}
	p.never(what, js)
	return ""
}

// confirms presses what asks a second time, looks at the question, and answers it, until
// the page shows what that is for; "" is for nothing, as after a no. The question goes
// away after 12 s of the page's time: on a machine that needs longer for a look it is
// asked again.
func (p *tab) confirms(by finger, ask, answer, there string, looks ...func()) {
	p.t.Helper()
	asked := fmt.Sprintf("document.querySelector(%q)?.offsetParent", answer)
	for range 20 {
		if !p.pressUnless(by, ask, cmp.Or(there, "false")) {
			return
		}
		p.run("window.askedAtMS = performance.now()")
		p.until("are you sure", asked+" || performance.now() - window.askedAtMS > 15000")
		for _, look := range looks {
			look()
		}
		if !p.pressUnless(by, answer, "!("+asked+")") {
			p.t.Logf("the question after %s was gone before it was answered", ask)
			continue
		}
		if there == "" {
			return
		}
		p.run("window.askedAtMS = performance.now()")
		p.until("what "+answer+" is for, or why not", "("+there+") || "+refusals+" !== '' || performance.now() - window.askedAtMS > 15000")
	}
	p.t.Fatalf("the question after %s was never answered, or the page never came to: %s", ask, there)
}

// pausesAt has the painter lay the jug down as soon as a component is asked for, by
// its place in the recipe: what comes then is a person's, however late he is.
func (d *liveDemo) pausesAt(component int) {
	ctx, stop := context.WithCancel(context.Background())
	d.t.Cleanup(stop)
	go func() {
		for ; ctx.Err() == nil; pause(ctx, 10*time.Millisecond) {
			d.painter.mu.Lock()
			there := d.painter.batch.Current == component
			d.painter.mu.Unlock()
			if there {
				d.painter.Pour(false)
				return
			}
		}
	}()
}

// TestBrowserAQuestionThatWentAwayIsAskedAgain checks the hand of these tests itself:
// who looks for longer than the question stays asks it again, and answers it once.
func TestBrowserAQuestionThatWentAwayIsAskedAgain(t *testing.T) {
	t.Parallel()
	d := startDemo(t, t.TempDir(), simulator.Options{Seed: 72, Skill: simulator.Steady()})
	one := openTab(t, browser(t), d.address, 1024, 600)
	one.start("80")
	one.until("the cup is asked for", "document.body.innerText.includes('empty cup')")
	looks := 0
	const ended = "document.querySelector('.ended')?.offsetParent && document.body.innerText.includes('Aborted')"
	one.confirms(mouse, "[data-do='abort']", ".confirm .yes", ended, func() {
		if looks++; looks == 1 {
			one.until("it went away", "!document.querySelector('.confirm')")
		}
	})
	require.GreaterOrEqual(t, looks, 2)
	one.until("ended", ended)
}
