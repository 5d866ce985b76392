//go:build linux

package port

import (
	"context"
	"errors"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"golang.org/x/sys/unix"

	"gramcup/scale"
	"gramcup/simulator"
)

// Every shape goes the whole way: a simulated bench, a real pseudo-terminal, the
// serial library, a Port. The bench lives ten times as fast as the world.

const (
	benchStep = 100 * time.Millisecond
	worldStep = 10 * time.Millisecond
)

// rig is one bench with the Port that reads it.
type rig struct {
	bench *simulator.Bench
	link  string
	port  *Port

	mu            sync.Mutex
	last          scale.Reading
	readings      int
	found, lost   int
	bad           error
	identity, why string
}

func (r *rig) Reading(_ time.Time, x scale.Reading) {
	r.note(func() { r.last = x; r.readings++ })
}
func (r *rig) Answer(time.Time, scale.Reading) {}
func (r *rig) BadFrame(_ time.Time, err error) { r.note(func() { r.bad = err }) }
func (r *rig) Found(_ time.Time, identity string) {
	r.note(func() { r.found++; r.identity = identity })
}
func (r *rig) Lost(_ time.Time, why string) { r.note(func() { r.lost++; r.why = why }) }
func (r *rig) note(f func())                { r.mu.Lock(); defer r.mu.Unlock(); f() }

// told is why the scale was lost last.
func (r *rig) told() (why string) {
	r.note(func() { why = r.why })
	return why
}

func (r *rig) see() (found, lost, n int, bad error) {
	r.mu.Lock()
	defer r.mu.Unlock()
	return r.found, r.lost, r.readings, r.bad
}

// plug puts the bench behind a fresh pseudo-terminal. The function returned
// pulls the plug.
func (r *rig) plug(ctx context.Context) (pull func() error, err error) {
	line, err := newPatientLine(r.link)
	if err != nil {
		return nil, err
	}
	ctx, cancel := context.WithCancel(ctx)
	done := make(chan error, 1)
	go func() { done <- r.bench.Serve(ctx, line) }()
	return func() error {
		cancel()
		return errors.Join(<-done, line.Close())
	}, nil
}

// patientLine is a pseudo-terminal that waits for its reader, so that on a loaded
// machine only whole frames are lost, inside the bench. It outlives its users as
// that of the simulator does, which throws away what nobody reads in time, were it
// in the middle of a frame.
type patientLine struct {
	*pty
	link string
	held *os.File // the computer's end
	gone sync.Once
}

func newPatientLine(link string) (*patientLine, error) {
	line, err := openPTY()
	if err != nil {
		return nil, err
	}
	held, err := os.OpenFile(line.Node, os.O_RDWR|unix.O_NOCTTY|unix.O_NONBLOCK, 0)
	if err != nil {
		return nil, errors.Join(err, line.Close())
	}
	l := &patientLine{pty: line, link: link, held: held}
	// The name comes last: whoever opens it keeps others out.
	if err := errors.Join(os.Symlink(line.Node, link+".next"), os.Rename(link+".next", link)); err != nil {
		return nil, errors.Join(err, l.Close())
	}
	return l, nil
}

// Close may be called twice, like that of the simulator. The name goes first: the
// number of the pseudo-terminal is soon that of another one.
func (l *patientLine) Close() (err error) {
	l.gone.Do(func() { err = errors.Join(os.Remove(l.link), l.pty.Close(), l.held.Close()) })
	return err
}

// until waits for a weight in grams that is shown by readings that came from
// now on, and for the bench to stand still: it takes no command before.
func (r *rig) until(what string, grams float64) error {
	return r.untilOr(what, grams, func() bool { return false })
}

// untilOr is until, unless something else comes before.
func (r *rig) untilOr(what string, grams float64, other func() bool) error {
	_, _, before, _ := r.see()
	end := time.Now().Add(patience)
	for time.Now().Before(end) {
		if other() {
			return errAgain
		}
		r.mu.Lock()
		w, ok := r.last.Weight()
		fresh := r.readings > before+1
		r.mu.Unlock()
		if ok && fresh && math.Abs(w.Grams()-grams) < 0.45 && r.bench.Reading().Motion == scale.MotionStill {
			return nil
		}
		time.Sleep(time.Millisecond)
	}
	r.mu.Lock()
	defer r.mu.Unlock()
	return fmt.Errorf("%s: %.1f g never came; the last of %d readings is %v %v, bad: %v, %+v", what, grams, r.readings, r.last.Number, r.last.Unit, r.bad, r.port.Stats())
}

// ask gives a command to the scale where the shape has it, and waits for what is
// to come of it. A command that can not leave within a second is given up, as it
// must be; where the machine was away for that long it is given again.
func (r *rig) ask(codec scale.Codec, request scale.Request, what string, grams float64) (has bool, err error) {
	if _, has = codec.Request(nil, request); !has {
		return false, nil
	}
	givenUp := func() uint64 { s := r.port.Stats(); return s.CommandsDropped + s.WritesAbandoned }
	for before := givenUp(); ; {
		if err := r.port.Ask(request); err != nil {
			return true, err
		}
		again := func() bool { return givenUp() > before }
		err := r.untilOr(what, grams, again)
		if !again() || !errors.Is(err, errAgain) {
			return true, err
		}
		before = givenUp()
	}
}

var errAgain = errors.New("the command was given up")

// journey is a small job on one shape; the error says where it failed.
func journey(ctx context.Context, codec scale.Codec, asked bool, folder string) (err error) {
	r := &rig{
		bench: simulator.New(simulator.Options{Seed: 3, Codec: codec, OnRequest: asked}),
		link:  filepath.Join(folder, fmt.Sprintf("%s-%v", codec.Name(), asked)),
	}
	open, identity, err := Open("serial:" + r.link + "?baud=9600&format=8n1")
	if err != nil {
		return err
	}
	r.port = New(Config{
		Open: open, Identity: identity, Codec: codec, Stream: true,
		SilenceReopen: -1, // on a loaded machine the bench may be kept waiting for longer than a scale is
		BackoffMin:    time.Millisecond, BackoffMax: 5 * time.Millisecond, ResetWait: time.Millisecond,
	}, r)
	pull, err := r.plug(ctx)
	if err != nil {
		return err
	}
	ctx, cancel := context.WithCancel(ctx)
	var all sync.WaitGroup
	defer all.Wait()
	defer cancel()
	all.Go(func() { _ = r.port.Run(ctx) })
	all.Go(func() {
		tick := time.NewTicker(worldStep)
		defer tick.Stop()
		for ctx.Err() == nil {
			<-tick.C
			r.bench.Tick(benchStep)
		}
	})
	if err := r.work(codec, asked); err != nil {
		return errors.Join(err, pull())
	}
	if err := pull(); err != nil {
		return err
	}
	for end := time.Now().Add(patience); ; time.Sleep(time.Millisecond) {
		if _, lost, _, _ := r.see(); lost == 1 {
			break
		}
		if time.Now().After(end) {
			return errors.New("the plug was pulled and nobody was told")
		}
	}
	if pull, err = r.plug(ctx); err != nil {
		return err
	}
	err = r.until("plugged in again", r.shown())
	if found, lost, _, _ := r.see(); err == nil && (found != 2 || lost != 1 || r.identity != r.link) {
		err = fmt.Errorf("found %d times as %s, lost %d times (%s)", found, r.identity, lost, r.told())
	}
	return errors.Join(err, pull())
}

// shown is what stands on the display, in grams.
func (r *rig) shown() float64 {
	w, _ := r.bench.Reading().Weight()
	return w.Grams()
}

// work weighs, and uses the commands that the shape has.
func (r *rig) work(codec scale.Codec, asked bool) error {
	if err := r.until("empty", 0); err != nil {
		return err
	}
	r.bench.Add(0, 5) // without a cup it lies on the pan
	if err := r.until("something on the pan", 5); err != nil {
		return err
	}
	has, err := r.ask(codec, scale.RequestZero, "zeroed", 0)
	if !has {
		r.bench.PressZero()
		err = r.until("zeroed", 0)
	}
	if err != nil {
		return err
	}
	r.bench.PlaceCup(412.6)
	if err := r.until("the cup", 412.6); err != nil {
		return err
	}
	if _, net := codec.(scale.Labelled); !net { // that prints gross, or net, whatever is tared
		if _, err := r.ask(codec, scale.RequestTare, "tared", 0); err != nil {
			return err
		}
	}
	_, weight := codec.Request(nil, scale.RequestWeight)
	_, stream := codec.Request(nil, scale.RequestStream)
	polls := asked && weight && !stream // the others are soon left alone
	for end := time.Now().Add(patience); r.port.Stats().Polling != polls; time.Sleep(time.Millisecond) {
		if time.Now().After(end) {
			return fmt.Errorf("polling is %v", !polls)
		}
	}
	if _, lost, _, bad := r.see(); bad != nil || lost > 0 {
		return fmt.Errorf("refused %v, lost %d times (%s)", bad, lost, r.told())
	}
	return nil
}

func TestEveryShapeOnAPseudoTerminal(t *testing.T) {
	folder := t.TempDir()
	var all sync.WaitGroup
	var mu sync.Mutex
	failed := map[string]error{}
	few := make(chan struct{}, 6) // more at once starve each other under the race detector
	began, journeys := time.Now(), 0
	run := func(codec scale.Codec, asked bool) {
		journeys++
		all.Go(func() {
			few <- struct{}{}
			defer func() { <-few }()
			if err := journey(t.Context(), codec, asked, folder); err != nil {
				mu.Lock()
				defer mu.Unlock()
				failed[fmt.Sprintf("%s, asked: %v", codec.Name(), asked)] = err
			}
		})
	}
	for _, codec := range append(scale.Codecs(), scale.Variants()...) {
		_, weight := codec.Request(nil, scale.RequestWeight)
		_, stream := codec.Request(nil, scale.RequestStream)
		run(codec, false)
		if weight || stream {
			run(codec, true)
		}
	}
	all.Wait()
	for name, err := range failed {
		assert.NoError(t, err, name)
	}
	t.Logf("%d journeys in %v", journeys, time.Since(began).Round(100*time.Millisecond))
}
