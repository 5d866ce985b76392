package ui

import (
	"time"

	"github.com/prometheus/client_golang/prometheus"

	"gramcup/mix"
	"gramcup/mix/bench"
	"gramcup/scale"
)

// MetricsConfig is what the gauges are read from when they are scraped.
type MetricsConfig struct {
	Version string     // of the program
	Clients func() int // pages that are connected, Hub.Clients
	// ScaleStats are the frames understood and not, the reconnects since the
	// start, and the time since the last good frame, or since the start if
	// there was none.
	ScaleStats func() (good, bad, reconnects uint64, age time.Duration)
	Manner     func() scale.Manner // how the scale behaves, Hub.Manner
}

// Metrics counts what happens at the bench, as one more bench.Audience. No
// batch, person or product is a label: the book has those.
type Metrics struct {
	batches     *prometheus.CounterVec
	errorGrams  *prometheus.HistogramVec
	errorRatio  *prometheus.HistogramVec
	levelUps    prometheus.Counter
	pourSeconds prometheus.Histogram
	append      prometheus.Histogram
	pourBegan   mix.Stamp // zero while no pour is timed; known to the bench's goroutine alone
}

var _ bench.Audience = (*Metrics)(nil)

// NewMetrics makes the metrics and registers them. It fails if r has some of
// the names already.
func NewMetrics(r prometheus.Registerer, c MetricsConfig) (*Metrics, error) {
	grams := []float64{-20, -10, -5, -2, -1, -0.5, -0.2, -0.1, 0, 0.1, 0.2, 0.5, 1, 2, 5, 10, 20}
	ratio := []float64{-0.1, -0.05, -0.03, -0.02, -0.01, -0.005, 0, 0.005, 0.01, 0.02, 0.03, 0.05, 0.1}
	m := &Metrics{
		batches: prometheus.NewCounterVec(prometheus.CounterOpts{
			Name: "gramcup_batches_total", Help: "Batches that ended, by how they ended."}, []string{"outcome"}),
		errorGrams: prometheus.NewHistogramVec(prometheus.HistogramOpts{
			Name: "gramcup_pour_error_grams", Help: "Poured less wanted for each component when it was accepted; negative is short.", Buckets: grams}, []string{"role"}),
		errorRatio: prometheus.NewHistogramVec(prometheus.HistogramOpts{
			Name: "gramcup_pour_error_ratio", Help: "Poured less wanted as a fraction of what was wanted; negative is short.", Buckets: ratio}, []string{"role"}),
		levelUps: prometheus.NewCounter(prometheus.CounterOpts{
			Name: "gramcup_level_ups_total", Help: "Pours past their line that were rescued by raising the others."}),
		pourSeconds: prometheus.NewHistogram(prometheus.HistogramOpts{
			Name: "gramcup_pour_duration_seconds", Help: "Time from the tare or the acceptance before to the acceptance, for pours that were never held.",
			Buckets: []float64{2, 5, 10, 15, 20, 30, 45, 60, 90, 120, 300}}),
		append: prometheus.NewHistogram(prometheus.HistogramOpts{
			Name: "gramcup_book_append_seconds", Help: "Time to get the events of one decision onto the disk.",
			Buckets: []float64{0.0005, 0.001, 0.002, 0.005, 0.01, 0.02, 0.05, 0.1, 0.2, 0.5, 1, 2}}),
	}
	for _, s := range []mix.State{mix.StateComplete, mix.StateStopped, mix.StateAborted} {
		m.batches.WithLabelValues(string(s)) // so that a rate can be formed from the start
	}
	all := []prometheus.Collector{m.batches, m.errorGrams, m.errorRatio, m.levelUps, m.pourSeconds, m.append, newSnapshot(c)}
	for _, one := range all {
		if err := r.Register(one); err != nil {
			return nil, err
		}
	}
	return m, nil
}

// Batch counts what the events say.
func (m *Metrics) Batch(b mix.Batch, events []mix.Recorded) {
	for _, r := range events {
		m.count(&b, r)
	}
}

// Live is volatile, and nothing to count.
func (m *Metrics) Live(mix.Live) {}

// Health is read from the snapshot when it is scraped.
func (m *Metrics) Health(bench.Health) {}

// count looks at one event; b is the batch after all events of its decision.
func (m *Metrics) count(b *mix.Batch, r mix.Recorded) {
	switch e := r.Event.(type) {
	case mix.Started, mix.HeldUp, mix.Reopened:
		m.pourBegan = mix.Stamp{}
	case mix.Zeroed:
		m.pourBegan = r.At
	case mix.Accepted:
		if !e.Settles { // what settles the plan has no line to miss
			m.poured(b, e.Component, e.Amount, b.Layers[e.Component].Target.Grams())
		}
		m.timed(r.At)
	case mix.LeveledUp:
		m.levelUps.Inc()
		m.poured(b, e.Component, e.Amount, b.Plan.Targets[e.Component].MassG/e.Factor)
		m.timed(r.At)
	case mix.Completed, mix.StoppedEarly, mix.AbortedNow:
		m.batches.WithLabelValues(string(b.State)).Inc()
	}
}

func (m *Metrics) poured(b *mix.Batch, component int, amount scale.Mass, wantedG float64) {
	if wantedG <= 0 {
		return
	}
	role, errorG := string(b.Recipe.Components[component].Role), micro(amount.Grams()-wantedG)
	m.errorGrams.WithLabelValues(role).Observe(errorG)
	m.errorRatio.WithLabelValues(role).Observe(micro(errorG / wantedG))
}

func (m *Metrics) timed(at mix.Stamp) {
	if !m.pourBegan.IsZero() {
		m.pourSeconds.Observe(at.Since(m.pourBegan).Seconds())
	}
	m.pourBegan = at
}

// Timed is a journal that measures how long the other one takes.
func (m *Metrics) Timed(j bench.Journal) bench.Journal { return timedJournal{j, m.append} }

type timedJournal struct {
	next bench.Journal
	took prometheus.Observer
}

// Recall is not timed: it comes only after a failure.
func (t timedJournal) Recall(batch string) ([]mix.Recorded, error) { return t.next.Recall(batch) }

func (t timedJournal) Append(events []mix.Recorded, trace []byte, summary *mix.Summary) error {
	began := time.Now()
	err := t.next.Append(events, trace, summary)
	t.took.Observe(time.Since(began).Seconds())
	return err
}

// snapshot makes the metrics that others count or hold.
type snapshot struct {
	config                                  MetricsConfig
	frames, reconnects, age, clients, build *prometheus.Desc
	period, noise, settle, lag              *prometheus.Desc
}

func newSnapshot(c MetricsConfig) *snapshot {
	desc := func(name, help string, labels ...string) *prometheus.Desc {
		return prometheus.NewDesc(name, help, labels, nil)
	}
	return &snapshot{
		config:     c,
		frames:     desc("gramcup_frames_total", "Frames from the scale, by whether they were understood.", "result"),
		reconnects: desc("gramcup_scale_reconnects_total", "Times that the scale was found again after it was lost."),
		age:        desc("gramcup_scale_frame_age_seconds", "Time since the last frame that was understood, since the start if there was none."),
		clients:    desc("gramcup_clients", "Pages that are connected."),
		period:     desc("gramcup_scale_reading_period_seconds", "Usual time between two readings of the scale; missing until it is known."),
		noise:      desc("gramcup_scale_noise_grams", "Standard deviation of the readings of a load at rest, 0 if they never change; missing until it is known."),
		settle:     desc("gramcup_scale_settle_seconds", "Usual time from a new load until the scale stands still; missing until it is known."),
		lag:        desc("gramcup_scale_lag_seconds", "How far the display runs behind a steady pour; missing until it is known."),
		build:      desc("gramcup_build_info", "Always 1; the label tells the version of the program.", "version"),
	}
}

// Describe names the metrics of the snapshot.
func (s *snapshot) Describe(out chan<- *prometheus.Desc) {
	for _, d := range []*prometheus.Desc{s.frames, s.reconnects, s.age, s.clients, s.build, s.period, s.noise, s.settle, s.lag} {
		out <- d
	}
}

// Collect reads the snapshot.
func (s *snapshot) Collect(out chan<- prometheus.Metric) {
	put := func(d *prometheus.Desc, kind prometheus.ValueType, value float64, labels ...string) {
		out <- prometheus.MustNewConstMetric(d, kind, value, labels...)
	}
	put(s.build, prometheus.GaugeValue, 1, s.config.Version)
	if s.config.Clients != nil {
		put(s.clients, prometheus.GaugeValue, float64(s.config.Clients()))
	}
	if s.config.ScaleStats != nil {
		good, bad, reconnects, age := s.config.ScaleStats()
		put(s.frames, prometheus.CounterValue, float64(good), "good")
		put(s.frames, prometheus.CounterValue, float64(bad), "bad")
		put(s.reconnects, prometheus.CounterValue, float64(reconnects))
		put(s.age, prometheus.GaugeValue, age.Seconds())
	}
	if s.config.Manner == nil {
		return
	}
	// A figure that is not known is left out: 0 seconds would be a claim.
	m := s.config.Manner()
	for _, g := range []struct {
		desc  *prometheus.Desc
		value float64
		known bool
	}{
		{s.period, m.Period.Seconds(), m.Period > 0}, {s.noise, m.Noise.Grams(), m.Stills > 0},
		{s.settle, m.Settle.Seconds(), m.Settle > 0}, {s.lag, m.Lag.Seconds(), m.Lag > 0},
	} {
		if g.known {
			put(g.desc, prometheus.GaugeValue, g.value)
		}
	}
}

// Audiences tells several the same, in order. The first hears first: put the
// hub there.
type Audiences []bench.Audience

var _ bench.Audience = Audiences(nil)

// Batch tells each of them.
func (a Audiences) Batch(b mix.Batch, events []mix.Recorded) {
	for _, one := range a {
		one.Batch(b, events)
	}
}

// Live tells each of them.
func (a Audiences) Live(l mix.Live) {
	for _, one := range a {
		one.Live(l)
	}
}

// Health tells each of them.
func (a Audiences) Health(h bench.Health) {
	for _, one := range a {
		one.Health(h)
	}
}
