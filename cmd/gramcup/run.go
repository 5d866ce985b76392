package main

import (
	"context"
	"crypto/rand"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"net"
	"os"
	"runtime"
	"time"

	"github.com/prometheus/client_golang/prometheus"
	"golang.org/x/sync/errgroup"

	"gramcup/mix"
	"gramcup/mix/bench"
	"gramcup/mix/book"
	"gramcup/scale"
	"gramcup/scale/checkup"
	"gramcup/scale/port"
	"gramcup/ui"
)

// station is everything that a running bench is made of. This file is the only
// one that knows every part.
type station struct {
	Open     port.Opener // the wire to the scale
	Identity string      // its name for people
	Settings string      // of a serial line, for people; "" for any other
	Codec    scale.Codec
	Stream   bool       // ask the scale for a stream
	Recorder io.Writer  // what came over the wire, as a capture; nil for none
	Division scale.Mass // 0 takes what the scale's decimals suggest
	// CheckEvery is the time between two checks of the scale.
	CheckEvery checkup.Every
	Data       string   // the folder of the book
	Listen     string   // where the page is served
	Name       string   // of this bench, shown on every page
	Hosts      []string // further names of this machine
	Log        *slog.Logger
	// Practise, if set, is told of the running bench and gives the simulated
	// painter; nil at a real bench.
	Practise func(desk bench.Desk, shelf shopBook) (ui.Demo, bench.Audience, func(context.Context) error)
	// Ready is called with the address of the page once it answers.
	Ready func(address string)
}

// cautions stand on every page; the product sheet and local rules come first.
func cautions() []string {
	return []string{
		"Hardener contains isocyanate: air-fed breathing apparatus when spraying, gloves and eye protection when mixing.",
		"Solvent vapour is flammable and a scale or a screen can ignite it: ventilate the bench and keep both out of the hazardous zone.",
		"Do not close a cup of mixed two-pack paint: it can heat up and build pressure. Past its pot life, discard it.",
		"The product sheet, the safety data sheet and local rules come first. Figures here are worked out from what was entered.",
	}
}

// run starts the parts in order and stops them in reverse: first the page
// refuses new work, then the scale falls silent, then the bench finishes the
// append in hand, and last the book is closed.
func (s station) run(ctx context.Context) (err error) {
	b, err := book.Open(s.Data)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, b.Close()) }()
	if err := b.FillSample(); err != nil {
		return fmt.Errorf("put the sample shelf into the book: %w", err)
	}
	unfinished, _, err := b.Unfinished()
	if err != nil {
		return fmt.Errorf("read the unfinished batch: %w", err)
	}
	listener, err := listen(s.Listen)
	if err != nil {
		return err
	}
	parts, err := s.assemble(b, unfinished)
	if err != nil {
		return errors.Join(err, listener.Close())
	}
	return parts.live(ctx, listener, s.Ready)
}

// listen opens the page's socket, and refuses what other machines can reach.
func listen(address string) (net.Listener, error) {
	if err := ui.CheckListen(address); err != nil {
		return nil, err
	}
	l, err := net.Listen("tcp", address)
	if err != nil {
		return nil, fmt.Errorf("the page can not be served on %s: %w; is another gramcup running? choose another with --listen", address, err)
	}
	return l, nil
}

// parts are the running things, in the order in which they start.
type parts struct {
	bench   *bench.Bench
	room    roomWatch
	port    *port.Port
	server  *ui.Server
	memory  *scaleMemory
	walks   *ui.Walks
	painter func(context.Context) error
}

func (s station) assemble(b *book.Book, unfinished []mix.Recorded) (*parts, error) {
	registry, began := prometheus.NewRegistry(), time.Now()
	p := &parts{memory: newScaleMemory(b, s.Log.With("part", "scale"))}
	division := func() scale.Mass { return s.Division }
	hub := ui.NewHub(ui.HubConfig{
		Station: s.Name, Version: version(), Demo: s.Practise != nil, Cautions: cautions(), Log: s.Log,
		Division: division,
	})
	metrics, err := ui.NewMetrics(registry, ui.MetricsConfig{
		Version: version(), Clients: hub.Clients, Manner: hub.Manner,
		ScaleStats: func() (good, bad, reconnects uint64, age time.Duration) {
			st := p.port.Stats()
			last := st.LastFrame
			if last.IsZero() { // an alert on the age must fire for a scale that was never heard
				last = began
			}
			return st.GoodFrames, st.BadFrames, max(st.Found, 1) - 1, time.Since(last)
		},
	})
	if err != nil {
		return nil, fmt.Errorf("set up the metrics: %w", err)
	}
	asker, walks := &lateAsker{}, ui.NewWalks(division)
	edit := ui.NewShelfDesk(shelfBook{b})
	audience := &laterAudiences{ui.Audiences{hub, metrics, walks}}
	boot := newID("boot")
	p.bench = bench.New(bench.Config{
		Journal: metrics.Timed(journal{b}), Audience: audience, Asker: asker, Log: s.Log.With("part", "bench"),
		Boot: boot, Began: began, Division: s.Division,
	}, unfinished)
	p.room = roomWatch{book: b, bench: p.bench}
	p.port = port.New(port.Config{
		Open: s.Open, Identity: s.Identity, Codec: s.Codec, Stream: s.Stream, Recorder: s.Recorder,
		Log: s.Log.With("part", "scale"), Known: p.memory.recall(), Remember: p.memory.remember,
	}, sharedSink{sink{p.bench}, walks, checkBook{b, p.bench}})
	asker.to = p.port
	desk := walks.Guard(p.bench)
	var demo ui.Demo
	if s.Practise != nil {
		var painterAudience bench.Audience
		demo, painterAudience, p.painter = s.Practise(desk, b)
		audience.Audiences = append(audience.Audiences, painterAudience)
	}
	p.walks = walks
	p.server = ui.New(ui.Config{
		Walks: walks, Desk: desk, Shelf: b, History: b, Settings: b, Hub: hub, Gatherer: registry, Hosts: s.Hosts,
		Division: division, NewBatchID: func() string { return newID("batch") },
		Take: p.port.Take, Demo: demo, Log: s.Log.With("part", "page"), Scale: scaleDesk{port: p.port, station: s},
		Edit: edit, Grey: ui.NewGreyDesk(greyBook{b}, edit), Check: s.checkDesk(b, p, walks), Measure: measureDesk(edit, hub, walks),
		Cups: cupDesk(b, hub, walks),
	})
	return p, walks.Keep(walkBook{b}, s.Log.With("part", "walks"))
}

// live runs the parts until ctx ends or one of them fails.
func (p *parts) live(ctx context.Context, listener net.Listener, ready func(string)) error {
	group, ctx := errgroup.WithContext(ctx)
	// The bench must outlive the page and the scale, so that a command that
	// was taken is also answered.
	benchCtx, stopBench := context.WithCancel(context.WithoutCancel(ctx))
	defer stopBench()
	group.Go(func() error { return p.bench.Run(benchCtx) })
	others, othersCtx := errgroup.WithContext(ctx)
	others.Go(func() error { return p.room.run(othersCtx) })
	others.Go(func() error { return p.server.Serve(othersCtx, listener) })
	others.Go(func() error { return asAsked(p.port.Run(othersCtx)) })
	others.Go(func() error { return p.memory.run(othersCtx) })
	others.Go(func() error { return p.walks.Run(othersCtx) })
	if p.painter != nil {
		others.Go(func() error { return asAsked(p.painter(othersCtx)) })
	}
	if ready != nil {
		ready("http://" + listener.Addr().String() + "/")
	}
	group.Go(func() error {
		defer stopBench()
		err := others.Wait()
		return errors.Join(err, p.walks.Flush())
	})
	return group.Wait()
}

// asAsked forgives the end that was asked for.
func asAsked(err error) error {
	if errors.Is(err, context.Canceled) {
		return nil
	}
	return err
}

// laterAudiences may still grow until the bench runs: the painter needs the
// bench to exist before it can listen to it.
type laterAudiences struct{ ui.Audiences }

// lateAsker stands for the port until it is made: bench and port need each
// other.
type lateAsker struct{ to bench.Asker }

func (a *lateAsker) Ask(r scale.Request) error {
	if a.to == nil {
		return port.ErrLost
	}
	return a.to.Ask(r)
}

// journal is the book as the bench wants it: its errors have a short form for
// the page, and the log gets them whole.
type journal struct{ *book.Book }

// told is an error of the book with its few words.
type told struct{ error }

// Short is what the banner says.
func (t told) Short() string { return book.Short(t.error) }

// Unwrap is the whole error.
func (t told) Unwrap() error { return t.error }

// Append keeps events, see bench.Journal.
func (j journal) Append(events []mix.Recorded, trace []byte, summary *mix.Summary) error {
	if err := j.Book.Append(events, trace, summary); err != nil {
		return told{err}
	}
	return nil
}

// Recall reopens the book after a failure, which checks the whole file, and
// gives what it really holds of the batch.
func (j journal) Recall(batch string) ([]mix.Recorded, error) {
	if err := j.Reopen(); err != nil {
		return nil, told{err}
	}
	events, err := j.Events(batch)
	if err != nil {
		return nil, told{err}
	}
	return events, nil
}

// sink hands what the port reads to the bench.
type sink struct{ *bench.Bench }

// The port's next step is a blocking read of the device, which keeps its
// processor for a while; giving way first lets the bench and the page's writer
// run at once on that processor instead of on one that has to be woken.
func (s sink) Reading(at time.Time, r scale.Reading) {
	s.Offer(at, r)
	runtime.Gosched()
}

// Answer and BadFrame are counted by the port; the bench needs neither.
func (s sink) Answer(time.Time, scale.Reading) {}
func (s sink) BadFrame(time.Time, error)       {}

// oneProcessor keeps the daemon's Go code on one processor at a time, unless the
// environment says otherwise. A bench has ten frames a second and nothing to
// compute; what a frame costs on its way is waking threads, and with one
// processor port, bench and page follow each other on one thread (measured
// beside a bare relay: 1.2 × instead of 1.45 × its median). A disk that stalls
// in the kernel gives the processor back.
func oneProcessor() {
	if os.Getenv("GOMAXPROCS") == "" {
		runtime.GOMAXPROCS(1)
	}
}

// newID is a name that no other batch or run has: a clock may be wrong, so it
// is drawn.
func newID(kind string) string {
	var b [8]byte
	_, _ = rand.Read(b[:]) // never fails: crypto/rand ends the program instead
	return kind + "-" + hex.EncodeToString(b[:])
}
