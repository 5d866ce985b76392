package bench_test

import (
	"bytes"
	"context"
	"errors"
	"io"
	"log/slog"
	"sync"
	"testing"
	"testing/synctest"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"gramcup/mix"
	"gramcup/mix/bench"
	"gramcup/scale"
)

// disk is a journal in memory that can be slow or broken.
type disk struct {
	mu      sync.Mutex
	events  []mix.Recorded
	trace   []byte
	summary *mix.Summary
	slow    time.Duration
	broken  error
}

func (d *disk) Append(events []mix.Recorded, trace []byte, summary *mix.Summary) error {
	d.mu.Lock()
	slow, broken := d.slow, d.broken
	d.mu.Unlock()
	time.Sleep(slow)
	if broken != nil && broken != errArrived {
		return broken
	}
	d.mu.Lock()
	defer d.mu.Unlock()
	d.events = append(d.events, events...)
	d.trace = append(d.trace, trace...)
	if summary != nil {
		d.summary = summary
	}
	return broken
}

// errArrived is an error after everything was written.
var errArrived = errors.New("the disk did not answer in time")

// Recall is what is really there.
func (d *disk) Recall(batch string) ([]mix.Recorded, error) {
	d.mu.Lock()
	broken := d.broken
	d.mu.Unlock()
	if broken != nil {
		return nil, broken
	}
	return last(d.saved(), batch), nil
}

func (d *disk) set(slow time.Duration, broken error) {
	d.mu.Lock()
	d.slow, d.broken = slow, broken
	d.mu.Unlock()
}

func (d *disk) saved() []mix.Recorded {
	d.mu.Lock()
	defer d.mu.Unlock()
	return append([]mix.Recorded(nil), d.events...)
}

// page is an audience that checks, with everything it is shown, that nothing
// is shown before it is on disk.
type page struct {
	t      *testing.T
	disk   *disk
	mu     sync.Mutex
	batch  mix.Batch
	lives  int
	live   mix.Live
	health bench.Health
}

func (p *page) Batch(b mix.Batch, _ []mix.Recorded) {
	p.mu.Lock()
	defer p.mu.Unlock()
	if b.ID != "" {
		saved := p.disk.saved()
		assert.Equal(p.t, mix.Fold(last(saved, b.ID)), b, "what is shown is what is on disk")
	}
	p.batch = b
}

func (p *page) Live(l mix.Live) {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.lives++
	p.live = l
}

func (p *page) Health(h bench.Health) {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.health = h
}

func (p *page) seen() (mix.Batch, mix.Live, int, bench.Health) {
	p.mu.Lock()
	defer p.mu.Unlock()
	return p.batch, p.live, p.lives, p.health
}

func last(events []mix.Recorded, batch string) (out []mix.Recorded) {
	for _, e := range events {
		if e.Batch == batch {
			out = append(out, e)
		}
	}
	return out
}

// scaleAsks is the scale's side of a request: it obeys a tare, or it can not.
type scaleAsks struct {
	mu    sync.Mutex
	asked []scale.Request
	err   error
	onAsk func(scale.Request)
}

func (s *scaleAsks) Ask(r scale.Request) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.asked = append(s.asked, r)
	if s.onAsk != nil && s.err == nil {
		s.onAsk(r)
	}
	return s.err
}

// rig is a running bench inside a bubble of simulated time.
type rig struct {
	log   bytes.Buffer // to be read after close
	t     *testing.T
	bench *bench.Bench
	disk  *disk
	page  *page
	asks  *scaleAsks
	pan   scale.Mass // what stands on the scale
	tare  scale.Mass
	mode  scale.Mode
	done  chan error
	stop  context.CancelFunc
}

func newRig(t *testing.T, unfinished []mix.Recorded) *rig {
	r := &rig{t: t, disk: &disk{}, asks: &scaleAsks{}, mode: scale.ModeGross, done: make(chan error, 1)}
	r.disk.events = append(r.disk.events, unfinished...)
	r.page = &page{t: t, disk: r.disk}
	r.asks.onAsk = func(q scale.Request) {
		if q == scale.RequestTare {
			r.tare, r.mode = r.pan, scale.ModeNet
		}
	}
	r.bench = bench.New(bench.Config{
		Journal: r.disk, Audience: r.page, Asker: r.asks, Log: slog.New(slog.NewTextHandler(io.MultiWriter(t.Output(), &r.log), nil)),
		Boot: "boot", Began: time.Now(),
	}, unfinished)
	ctx, stop := context.WithCancel(t.Context())
	r.stop = stop
	go func() { r.done <- r.bench.Run(ctx) }()
	synctest.Wait()
	r.bench.Found(time.Now(), "a scale")
	return r
}

func (r *rig) close() {
	r.stop()
	require.NoError(r.t, <-r.done)
}

// stands lets the load stand on the scale for a while, at ten readings a second.
func (r *rig) stands(g float64, d time.Duration) {
	r.pan = scale.MassFromGrams(g)
	for end := time.Now().Add(d); time.Now().Before(end); {
		time.Sleep(100 * time.Millisecond)
		r.offer(scale.MotionStill)
		synctest.Wait()
	}
}

func (r *rig) offer(motion scale.Motion) {
	m := (r.pan - r.tare).RoundTo(100 * scale.Milligram)
	n := scale.Decimal{Coefficient: uint64(m.Abs() / (100 * scale.Milligram)), Places: 1, Lead: 1, Negative: m < 0}
	r.bench.Offer(time.Now(), scale.Reading{Number: n, HasNumber: true, Unit: scale.UnitGram, Mode: r.mode, Motion: motion})
}

func (r *rig) do(key string, version uint64, verb mix.Verb) (mix.Batch, error) {
	shown, _, _, _ := r.page.seen()
	c := mix.Command{Key: key, Batch: shown.ID, Version: version, Do: verb}
	if verb == mix.VerbStart {
		c.Order = &mix.Order{ID: "b-" + key, Recipe: recipe(), Amount: mix.Amount{Kind: mix.AmountMass, Grams: 300}}
	}
	return r.bench.Do(r.t.Context(), c)
}

func recipe() mix.Recipe {
	d := mix.Density{GPerML: 1, ReferenceC: 20, Source: "invented"}
	return mix.Recipe{ID: "r", Name: "two to one", Basis: mix.ByVolume, Components: []mix.Component{
		{Name: "base", Role: mix.RoleBase, Parts: 2, Density: d, Tolerance: 0.02},
		{Name: "hardener", Role: mix.RoleHardener, Parts: 1, Density: d, Tolerance: 0.03},
	}}
}
