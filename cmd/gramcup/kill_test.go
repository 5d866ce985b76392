package main

import (
	"bufio"
	"context"
	"encoding/json"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"gramcup/mix"
	"gramcup/mix/book"
	"gramcup/scale"
	"gramcup/simulator"
	"gramcup/ui"
)

// The program under test is this test binary itself, run again with this
// variable set: then it is gramcup and nothing else.
const asProgram = "GRAMCUP_TEST_AS_PROGRAM"

func TestMain(m *testing.M) {
	if os.Getenv(asProgram) != "" {
		main()
		return
	}
	os.Exit(withoutABench(m))
}

// withoutABench keeps the tests away from the book of whoever runs them.
func withoutABench(m *testing.M) int {
	state, err := os.MkdirTemp("", "gramcup-test-state-")
	if err != nil {
		panic(err)
	}
	defer func() { _ = os.RemoveAll(state) }()
	if err := os.Setenv("XDG_STATE_HOME", state); err != nil {
		panic(err)
	}
	return m.Run()
}

// program is gramcup as a process of its own.
type program struct {
	cmd     *exec.Cmd
	address string
}

func startProgram(t testing.TB, args ...string) *program {
	t.Helper()
	p := &program{cmd: exec.Command(os.Args[0], args...)}
	p.cmd.Env = append(os.Environ(), asProgram+"=1")
	p.cmd.Stderr = t.Output()
	out, err := p.cmd.StdoutPipe()
	require.NoError(t, err)
	require.NoError(t, p.cmd.Start())
	t.Cleanup(func() { _ = p.cmd.Process.Kill(); _ = p.cmd.Wait() })
	lines := bufio.NewScanner(out)
	for lines.Scan() {
		if _, address, ok := strings.Cut(lines.Text(), "open at "); ok {
			p.address = address
			return p
		}
	}
	require.NoError(t, lines.Err())
	t.Fatal("the program ended without saying where its page is")
	return nil
}

// kill is kill -9: no handler runs, nothing is flushed.
func (p *program) kill(t *testing.T) {
	t.Helper()
	require.NoError(t, p.cmd.Process.Kill())
	_ = p.cmd.Wait() // says that it was killed
}

// plugged puts the simulated scale on a fresh pseudo-terminal under a name
// that stays, as a by-id link does, and gives the way to pull the plug.
func plugged(t *testing.T, sim *simulator.Bench, link string) (pull func()) {
	t.Helper()
	pty, err := simulator.OpenPty(link)
	require.NoError(t, err)
	ctx, cancel := context.WithCancel(context.Background())
	var served sync.WaitGroup
	served.Go(func() { _ = sim.Serve(ctx, pty) })
	return func() {
		cancel()
		served.Wait()
	}
}

// lateTipG is what a hand may tip after an amount was taken, which then counts for
// the next one. Where the page comes late the hand tips on what it saw before; what
// is booked falsely is tens of grams. In simulated time it is held to half a gram
// (TestUnpluggedForTenSecondsInMidPour).
const lateTipG = 3

// readsPage is a simulated hand that sees nothing but a page over a websocket:
// it reads the number and the cue, and presses what a person would.
func readsPage(ctx context.Context, t *testing.T, sim *simulator.Bench, w *page) {
	var weight ui.Weight
	for ctx.Err() == nil {
		typ, body, err := w.read()
		if err != nil {
			sim.Look(simulator.Screen{}) // whoever sees nothing stops
			if !w.comesBack(ctx) {
				return
			}
			continue
		}
		if typ == "weight" {
			_ = json.Unmarshal(body, &weight)
		}
		sim.Look(pageScreen(&w.view, &weight))
		want := sim.Wants()
		switch phase := mix.Phase(w.view.Phase); {
		case w.view.State != string(mix.StateRunning):
		case want == simulator.PressStirred && phase == mix.PhaseStir:
			w.post(t, ui.CommandBody{Do: string(mix.VerbStirred)})
		case want == simulator.PressCupOn && phase == mix.PhaseCup:
			w.post(t, ui.CommandBody{Do: string(mix.VerbCupOn)})
		case phase == mix.PhaseDecide: // on a machine that is late the hand is late as well
			w.post(t, ui.CommandBody{Do: string(mix.VerbLevelUp)})
		}
		if mix.State(w.view.State).Ended() {
			return
		}
	}
}

func pageScreen(v *ui.View, w *ui.Weight) simulator.Screen {
	s := simulator.Screen{Component: v.Current, ToGoG: w.ToGoG, Slow: w.Cue == string(mix.CueEase), Stop: w.Cue == string(mix.CueStop)}
	switch {
	case v.State != string(mix.StateRunning) || w.Seq != v.Seq || !w.Valid:
		s.Ask = simulator.AskWait
	case v.Phase == string(mix.PhaseCup):
		s.Ask = simulator.AskCup
	case v.Phase == string(mix.PhasePour):
		s.Ask = simulator.AskPour
	case v.Phase == string(mix.PhaseStir):
		s.Ask = simulator.AskStir
	default:
		s.Ask = simulator.AskWait
	}
	return s
}

// TestKillInMidPour is the promise of the bench on real things: a process, a
// pseudo-terminal through the serial library, a database on disk, a page over
// HTTP; kill -9 in the middle of a pour; and the same batch comes back.
func TestKillInMidPour(t *testing.T) {
	t.Parallel() // it waits for a hand most of the time
	folder := t.TempDir()
	link := filepath.Join(folder, "scale")
	sim := simulated(6)
	ctx, cancel := context.WithCancel(context.Background())
	var parts sync.WaitGroup
	parts.Go(func() { sim.Run(ctx) })
	defer func() { cancel(); parts.Wait() }()
	pull := plugged(t, sim, link)
	args := []string{"serve", "--scale", link, "--data", filepath.Join(folder, "book"), "--listen", "127.0.0.1:0"}

	p := startProgram(t, args...)
	w := dialPage(t, p.address)
	waitWeight(t, w)
	a := w.post(t, ui.CommandBody{Do: string(mix.VerbStart), Start: &ui.StartBody{RecipeID: firstRecipe(t, w), Kind: "volume", ML: 60}})
	require.True(t, a.OK, a.Sentence)
	hand, stopHand := context.WithCancel(ctx)
	var hands sync.WaitGroup
	pouring := make(chan struct{})
	hands.Go(func() {
		go func() {
			for late := time.Now().Add(patience); hand.Err() == nil && time.Now().Before(late) && sim.True()[0] <= 20; {
				time.Sleep(20 * time.Millisecond)
			}
			close(pouring)
		}()
		readsPage(hand, t, sim, w)
	})
	<-pouring
	p.kill(t)
	stopHand()
	hands.Wait()
	inCup := sim.True()[0]
	require.Greater(t, inCup, 20.0, "the kill came in mid-pour")
	pull()
	defer plugged(t, sim, link)()

	p = startProgram(t, args...)
	back := dialPage(t, p.address)
	for back.view.Batch != a.View.Batch {
		back.next(t)
	}
	t.Logf("killed with %.1f g in the cup; the page says: %s. %s", inCup, back.view.Headline, back.view.Detail)
	readsPage(ctx, t, sim, back)
	require.Equal(t, "complete", back.view.State)
	require.True(t, back.view.OnTheLine, "%+v", back.view.Components)
	require.NoError(t, p.cmd.Process.Signal(os.Interrupt))
	require.NoError(t, p.cmd.Wait(), "Ctrl-C is an orderly end")

	b, err := book.Open(filepath.Join(folder, "book"))
	require.NoError(t, err)
	defer func() { require.NoError(t, b.Close()) }()
	batch := mix.Fold(must(b.Events(a.View.Batch)))
	for i, l := range batch.Layers[:batch.N()] {
		require.InDelta(t, sim.True()[i], l.Poured.Grams(), lateTipG, "nothing was lost: layer %d", i+1)
	}
}

func waitWeight(t testing.TB, w *page) {
	t.Helper()
	for body := ""; !strings.Contains(body, `"valid":true`); {
		_, message := w.next(t)
		body = string(message)
	}
}

// TestRealSerialLine pours a batch with every frame of a simulated scale coming
// through the real serial library: the standard's shape, one without commands,
// and one that leaves the unit out while the weight moves.
func TestRealSerialLine(t *testing.T) {
	t.Parallel()
	// They wait for a hand nearly all the time, so they run at once, and not as
	// many at a time as there are processors.
	var all sync.WaitGroup
	defer all.Wait()
	for _, codec := range []scale.Codec{scale.SMA{}, scale.CSV{}, scale.Signed{}} {
		all.Go(func() {
			t.Run(codec.Name(), func(t *testing.T) {
				folder := t.TempDir()
				link := filepath.Join(folder, "scale")
				sim := simulator.New(simulator.Options{Seed: 9, Codec: codec, Skill: simulator.Steady(),
					Cup: simulator.Cup{MassG: simulatedCupG}, Jugs: make([]simulator.Jug, mix.MaxComponents)})
				ctx, cancel := context.WithCancel(context.Background())
				var parts sync.WaitGroup
				parts.Go(func() { sim.Run(ctx) })
				defer func() { cancel(); parts.Wait() }()
				defer plugged(t, sim, link)()
				p := startProgram(t, "serve", "--scale", link, "--line", codec.Name(), "--data", filepath.Join(folder, "book"), "--listen", "127.0.0.1:0")
				w := dialPage(t, p.address)
				waitWeight(t, w)
				a := w.post(t, ui.CommandBody{Do: string(mix.VerbStart), Start: &ui.StartBody{RecipeID: firstRecipe(t, w), Kind: "volume", ML: 50}})
				require.True(t, a.OK, a.Sentence)
				readsPage(ctx, t, sim, w)
				require.Equal(t, "complete", w.view.State)
				require.True(t, w.view.OnTheLine, "%+v", w.view.Components)
			})
		})
	}
}
