package main

import (
	"fmt"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/require"

	"gramcup/simulator"
)

// unheardFits takes the scale away under a walk, and checks that what is said of it
// pushes nothing off the bench's small screen; then the scale is there again.
func (p *tab) unheardFits(d *liveDemo, walk, state string) {
	p.t.Helper()
	const said = "[...document.querySelectorAll('.check-waits')].some((w) => w.offsetParent && w.innerText !== '')"
	d.sim.Inject(simulator.FaultSilent, time.Hour) // until it was seen, however slow the eye
	p.until(state+": it is not heard", "document.querySelector('.header').innerText.includes('scale lost') && "+said)
	p.shot("unheard-" + state)
	p.fits(state + ", not heard")
	d.sim.Repair()
	p.until(state+": it is heard again", "document.querySelector('.header').innerText.includes('scale live') && document.querySelector('"+walk+"')?.offsetParent && !("+said+")")
	p.waitsFits(walk, state)
}

// waitsFits checks that a sentence of two lines on what is in the way leaves everything
// on the screen. It is put there by hand, and looked at before the page draws anew.
func (p *tab) waitsFits(walk, state string) {
	p.t.Helper()
	p.rested()
	height, err := chromedp.Run(p.ctx, chromedp.Evaluate[float64](fmt.Sprintf(`(() => {
		const waits = document.querySelector('%s .check-waits'), how = document.querySelector('%s .check-how'), before = [waits.textContent, waits.hidden, how.textContent];
		[waits.textContent, waits.hidden, how.textContent] = ['Something else stands on the pan: take it away, and put the cup on alone, as it was.', false, ''];
		const height = document.querySelector('.banner').offsetParent ? 0 : document.documentElement.scrollHeight;
		[waits.textContent, waits.hidden, how.textContent] = before;
		return height;
	})()`, walk, walk)))
	require.NoError(p.t, err)
	require.LessOrEqual(p.t, height, 600.0, "%s with a sentence of two lines", state)
}

// TestBrowserAWalkFitsWithoutItsScale looks at the guided walks while their scale is
// silent: each says so, and nothing has to be scrolled for.
func TestBrowserAWalkFitsWithoutItsScale(t *testing.T) {
	t.Parallel()
	d := startDemo(t, t.TempDir(), simulator.Options{Seed: 73, Skill: simulator.Steady()})
	one := openTab(t, browser(t), d.address+"#shelf", 1024, 600)
	one.beginsDensity()
	one.unheardFits(d, ".measure-walk", "density-cup")
	one.press("[data-demo='cup']")
	one.measureStep("water")
	one.unheardFits(d, ".measure-walk", "density-water")
	one.press("[data-demo='fill-water']")
	one.noted()
	one.press("[data-demo='lift']")
	one.measureStep("dry")
	one.unheardFits(d, ".measure-walk", "density-dry")
	one.confirms(mouse, "[data-measured='cancel']", "[data-measured='no'] ~ [data-measured='cancel']", "[...document.querySelectorAll('.measure-walk')].every((w) => !w.offsetParent)")

	one.run("location.hash = '#scale'")
	one.beginsCheck()
	one.unheardFits(d, ".check-walk", "check-on")
}
