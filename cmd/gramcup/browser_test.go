package main

import (
	"context"
	"fmt"
	"log/slog"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
	"time"

	devtools "github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/require"

	"gramcup/mix"
	"gramcup/mix/bench"
	"gramcup/scale"
	"gramcup/simulator"
	"gramcup/ui"
)

// liveDemo is the demo as a person would start it, on a port of its own.
type liveDemo struct {
	t       *testing.T
	sim     *simulator.Bench
	painter *painter
	address string
	folder  string
	began   time.Time
	stop    func()
}

// startDemo runs a whole station on a simulated scale in the time of the world.
func startDemo(t *testing.T, folder string, options simulator.Options) *liveDemo {
	t.Helper()
	codec := scale.SMA{}
	options.Codec, options.Cup, options.Jugs = codec, simulator.Cup{MassG: simulatedCupG}, make([]simulator.Jug, mix.MaxComponents)
	d := &liveDemo{t: t, sim: simulator.New(options), folder: folder, began: time.Now()}
	ready := make(chan string, 1)
	s := station{
		Open:     dialer(d.sim),
		Identity: "simulated scale", Codec: codec, Stream: true, Data: folder, Listen: "127.0.0.1:0",
		Name: "Practice bench by the booth, Kestrel Lane Coachworks", Log: slog.New(slog.NewTextHandler(t.Output(), nil)),
		Ready: func(address string) { ready <- address },
		Practise: func(desk bench.Desk, shelf shopBook) (ui.Demo, bench.Audience, func(context.Context) error) {
			d.painter = newPainter(d.sim, desk, shelf)
			return d.painter, d.painter, d.painter.run
		},
	}
	ctx, cancel := context.WithCancel(context.Background())
	simDone, done := make(chan struct{}), make(chan error, 1)
	go func() { defer close(simDone); d.sim.Run(ctx) }()
	go func() { done <- s.run(ctx) }()
	select {
	case d.address = <-ready:
	case err := <-done:
		require.NoError(t, err, "the station did not start")
	case <-time.After(patience):
		t.Fatalf("the station did not start within %v", patience)
	}
	go d.oneAtATime(ctx)
	stopped := false
	d.stop = func() {
		if stopped {
			return
		}
		stopped = true
		cancel()
		require.NoError(t, <-done)
		<-simDone
	}
	t.Cleanup(d.stop)
	return d
}

// oneAtATime lets the painter rest after each batch. He would go on to the next a
// second later, and what a slow machine then looks at is another batch.
func (d *liveDemo) oneAtATime(ctx context.Context) {
	for last := ""; ctx.Err() == nil; pause(ctx, 10*time.Millisecond) {
		p := d.painter
		p.mu.Lock()
		id, ended := p.batch.ID, p.batch.State.Ended()
		p.mu.Unlock()
		if ended && id != last {
			last = id
			p.Pour(false)
		}
	}
}

// browser is a real Chromium. Where there is none the test fails under CI and
// says how to get it. Its folder is made and taken away by the library, which waits
// for the processes that still write there; a test's own folder would not.
func browser(t *testing.T) context.Context {
	t.Helper()
	path, err := exec.LookPath("chromium")
	if err != nil {
		require.Empty(t, os.Getenv("CI"), "Chromium is missing: apt-get install chromium")
		t.Fatal("Chromium is missing: apt-get install chromium")
	}
	alloc, cancel := chromedp.NewExecAllocator(context.Background(),
		append(chromedp.DefaultExecAllocatorOptions[:],
			chromedp.ExecPath(path), chromedp.NoSandbox, chromedp.WSURLReadTimeout(patience),
			chromedp.Flag("disable-quic", true), chromedp.Flag("disable-background-networking", true),
			chromedp.Flag("disable-component-update", true), chromedp.Flag("disable-sync", true),
			chromedp.Flag("disable-gpu", true))...)
	t.Cleanup(cancel)
	return alloc
}

// tab is one page in it.
type tab struct {
	t                *testing.T
	ctx              context.Context
	presses, letters int // that were taken, and typed
}

func openTab(t *testing.T, parent context.Context, address string, width, height int64) *tab {
	t.Helper()
	ctx, cancel := chromedp.NewContext(parent)
	t.Cleanup(cancel)
	p := &tab{t: t, ctx: ctx}
	_, err := chromedp.Call(ctx, devtools.AddScriptToEvaluateOnNewDocument, devtools.AddScriptToEvaluateOnNewDocumentParams{Source: countAsked})
	require.NoError(t, err)
	require.NoError(t, chromedp.Do(ctx, chromedp.EmulateViewport(width, height), chromedp.Navigate(address)))
	return p
}

// until waits for a condition of the page; a noisy machine gets its time. One that reads
// something that is not there yet is not met yet.
func (p *tab) until(what, js string) {
	p.t.Helper()
	for end := time.Now().Add(patience); time.Now().Before(end); time.Sleep(50 * time.Millisecond) {
		ok, err := chromedp.Run(p.ctx, chromedp.Evaluate[bool]("(() => { try { return Boolean("+js+"); } catch { return false; } })()"))
		require.NoError(p.t, err, js)
		if ok {
			return
		}
	}
	p.never(what, js)
}

// text is what a person reads there.
func (p *tab) text(selector string) string {
	p.t.Helper()
	s, err := chromedp.Run(p.ctx, chromedp.Evaluate[string](fmt.Sprintf("(document.querySelector(%q)?.innerText ?? '')", selector)))
	require.NoError(p.t, err)
	return s
}

// poses waits for a picture that shows more, where pictures are kept.
func (p *tab) poses(wait time.Duration) {
	if os.Getenv("GRAMCUP_SHOTS") != "" {
		time.Sleep(wait)
	}
}

// shot keeps a picture where GRAMCUP_SHOTS says, and nowhere else.
func (p *tab) shot(name string) {
	p.t.Helper()
	folder := os.Getenv("GRAMCUP_SHOTS")
	if folder == "" {
		return
	}
	png, err := chromedp.Run(p.ctx, chromedp.CaptureScreenshot())
	require.NoError(p.t, err)
	require.NoError(p.t, os.MkdirAll(folder, 0o755))
	require.NoError(p.t, os.WriteFile(filepath.Join(folder, name+".png"), png, 0o644))
}

// start chooses the first recipe and an amount on the page.
func (p *tab) start(amount string) {
	p.t.Helper()
	p.until("the scale is heard: without its step no batch begins", "document.querySelector('.alive-text').innerText === 'scale live'")
	p.press(".card")
	p.until("a plan is shown", "document.querySelectorAll('.plan tbody tr').length > 1")
	p.figureAmount(amount)
	p.press(".start")
}

func TestBrowserPoursAWholeBatch(t *testing.T) {
	t.Parallel()
	d := startDemo(t, t.TempDir(), simulator.Options{Seed: 3, Skill: simulator.Steady()})
	chrome := browser(t)
	one := openTab(t, chrome, d.address, 1024, 600)
	one.until("recipes", "document.querySelectorAll('.card').length >= 6")
	one.shot("1-choose")
	one.start("150")
	one.until("the cup is asked for", "document.body.innerText.includes('empty cup')")
	one.shot("3-cup")
	phone := openTab(t, one.ctx, d.address, 390, 844)
	phone.until("the phone shows the same", "document.body.innerText.includes('empty cup')")
	phone.shot("3-cup-phone")
	d.painter.Pour(true)
	one.until("the pour", "document.body.innerText.includes('to the line')")
	one.poses(2500 * time.Millisecond)
	one.shot("4-pour")
	phone.shot("4-pour-phone")
	one.until("the hardener", "document.body.innerText.includes('hardener')")
	one.poses(1500 * time.Millisecond)
	one.shot("5-pour-hardener")
	one.until("the end", "document.body.innerText.includes('Ready: every layer is on its line')")
	one.shot("8-ended")
	phone.until("the phone too", "document.body.innerText.includes('Ready: every layer is on its line')")
	phone.shot("8-ended-phone")
	for _, place := range []string{"book", "scale"} {
		require.NoError(t, chromedp.Do(one.ctx, chromedp.Evaluate[chromedp.Void]("location.hash = '#"+place+"'")))
		one.rested()
		one.shot("9-" + place)
	}
}
