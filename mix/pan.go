package mix

import (
	"time"

	"gramcup/scale"
)

// Pan is the volatile memory of the last second or so of the scale: it tells
// whether the weight stands still, how fast it rises, and what stood there
// before it went away. Nothing in it is saved; after a start it fills again.
type Pan struct {
	Repeats    scale.Repeats // from the check of this scale that was kept last
	At         Stamp
	Valid      bool
	Trouble    Trouble
	Shown      scale.Mass // the last usable weight
	before     scale.Mass // the one before it
	Mode       scale.Mode
	Still      bool
	stillSince time.Duration
	anchor     scale.Mass // where the stillness began
	confirmed  bool       // a second reading agreed with it
	lastStill  scale.Mass // shown weight when it last stood still
	stillAt    time.Duration
	top        scale.Mass // highest shown weight since then
	lowSince   time.Duration
	low        bool          // below what the cup must weigh, since lowSince
	noTare     bool          // the scale could not be asked for a tare
	readAt     Stamp         // of the last reading
	restAt     time.Duration // when a resting content was last noted
	slots      [panSlots]slot
	first, n   int
	meter      scale.Meter // how the scale behaves
	mark       scale.Mark  // what its mark of motion is worth
	hand       hand        // how the hand that pours does
	identity   string      // of the scale that both were learned on
	unit       scale.Unit  // of the last still weight, and its decimals
	places     uint8
}

// slot is a stretch of at least slotSpan: the lowest and highest weight in it
// and the last. Slots bound the memory however fast a scale sends.
type slot struct {
	at             time.Duration
	last, min, max scale.Mass
}

const (
	panSlots = 64 // two and a half seconds, for the window of a noisy scale
	slotSpan = 40 * time.Millisecond
	// stillWindow and its band follow the rule that indicators use for their
	// own motion flag: within one division for one second. It is used where the
	// line carries no flag.
	stillWindow = time.Second
	// plausible is how far a weight may go between two readings and still be
	// believed at once: a wide pour gives 40 g a second, so more than this at
	// one reading a second is a cup or a torn frame, and waits for a second.
	plausible = 50 * scale.Gram
	// flowWindow is the stretch over which the flow is worked out.
	flowWindow = 700 * time.Millisecond
)

// take notes one reading, on the scale that b was started on.
func (p *Pan) take(b *Batch, in *Weighed) {
	division := b.division()
	if in.Reading.Mode == scale.ModeTare && in.Reading.HasNumber && p.Valid && in.At.Since(p.readAt) <= wakeLimit {
		return // a line of a print: it says nothing about what stands there now
	}
	p.At, p.readAt = in.At, in.At
	shown, ok := p.weight(&in.Reading)
	if !ok {
		p.Valid, p.Still, p.n = false, false, 0
		p.Trouble = troubleOf(in.Reading.Status)
		p.meter.Break()
		return
	}
	if !p.Valid {
		p.before = shown
	} else {
		p.before = p.Shown
	}
	if p.Valid && p.Mode != in.Reading.Mode && p.Mode != scale.ModeUnknown && in.Reading.Mode != scale.ModeUnknown {
		p.meter.Break() // tared, or the tare is gone: no change of load
	}
	p.Valid, p.Trouble = true, TroubleNone
	p.Shown, p.Mode = shown, in.Reading.Mode
	p.push(in.At.Mono, shown)
	p.mark.Note(in.At.Mono, in.Reading.Motion, p.meter.Rested())
	still := in.Reading.Motion == scale.MotionStill
	if in.Reading.Motion == scale.MotionUnknown || p.mark.Doubted {
		still = p.withinBand(in.At.Mono, p.band(division), p.window(division))
	}
	p.judge(still, shown, division)
	if b.Division == 0 { // no batch told the step yet: the decimals do
		division = in.Reading.Step()
	}
	if b.State == StateRunning && b.Phase == PhaseStir {
		p.meter.Disturbed()
	}
	p.meter.Note(in.At.Mono, shown, still, division)
}

// weight is the live weight of a reading. Some lines leave out the unit while
// the weight moves: then the number is in the unit of the last still weight, as
// long as it has the same decimals. It can guide a hand and nothing more, because
// only what stands still is accepted, and that carries its unit.
func (p *Pan) weight(r *scale.Reading) (scale.Mass, bool) {
	if r.Unit == scale.UnitNone && r.Motion == scale.MotionMoving && p.unit != scale.UnitNone && r.Number.Places == p.places {
		guided := *r
		guided.Unit = p.unit
		return guided.Weight()
	}
	m, ok := r.Weight()
	if ok && r.Motion == scale.MotionStill {
		p.unit, p.places = r.Unit, r.Number.Places
	}
	return m, ok
}

func troubleOf(s scale.Status) Trouble {
	switch s {
	case scale.StatusOver:
		return TroubleOver
	case scale.StatusUnder:
		return TroubleUnder
	case scale.StatusZeroError:
		return TroubleZero
	case scale.StatusInitialZeroError:
		return TroubleFirstZero
	case scale.StatusTareError:
		return TroubleTare
	case scale.StatusCount:
		return TroubleCount
	}
	return TroubleNoValue
}

// judge keeps the time of stillness: it starts anew whenever the weight moves
// or leaves the place where it began by more than the band. One reading far
// from the one before proves nothing: two frames torn on the wire can look like
// one good frame, and if silence follows it would seem to stand still.
func (p *Pan) judge(still bool, shown, division scale.Mass) {
	now := p.At.Mono
	if !still {
		p.Still = false
		p.top = max(p.top, p.seen())
		return
	}
	if !p.Still || (shown-p.anchor).Abs() > p.band(division) {
		p.Still, p.stillSince, p.anchor = true, now, shown
		p.confirmed = (shown - p.before).Abs() <= plausible
		if !p.confirmed {
			return
		}
	}
	p.confirmed = true
	if p.low {
		return // the cup is off: what stands still now is not its content
	}
	if p.stillAt != 0 && shown < p.lastStill-division && now-p.stillSince < lowFor {
		return // it may have been lifted between two readings
	}
	p.lastStill, p.stillAt, p.top = shown, now, shown
}

// stillFor is how long the weight has stood still.
func (p *Pan) stillFor() time.Duration {
	if !p.Valid || !p.Still || !p.confirmed {
		return 0
	}
	return p.At.Mono - p.stillSince
}

// seen is the last weight, unless it jumped up further than a pour can: then
// it is the one before.
func (p *Pan) seen() scale.Mass {
	if p.Shown > p.before+plausible {
		return p.before
	}
	return p.Shown
}

// lost forgets what the scale showed: whatever comes next starts anew.
func (p *Pan) lost(at Stamp, t Trouble) {
	p.At, p.Valid, p.Still, p.n, p.low = at, false, false, 0, false
	p.Trouble = t
	p.meter.Break()
}

// found forgets what was learned on another scale.
func (p *Pan) found(identity string) {
	if p.identity != "" && p.identity != identity {
		p.meter, p.mark, p.hand, p.unit = scale.Meter{}, scale.Mark{}, hand{}, scale.UnitNone
	}
	p.identity = identity
}

// forget drops what was remembered of an earlier cup: a new batch begins.
func (p *Pan) forget() {
	p.low, p.noTare = false, false
	p.lastStill, p.stillAt, p.top, p.restAt = 0, 0, 0, 0
}

func (p *Pan) push(at time.Duration, m scale.Mass) {
	if p.n > 0 {
		s := &p.slots[(p.first+p.n-1)%panSlots]
		if at-s.at < slotSpan {
			s.last, s.min, s.max = m, min(s.min, m), max(s.max, m)
			return
		}
	}
	if p.n == panSlots {
		p.first, p.n = (p.first+1)%panSlots, p.n-1
	}
	p.slots[(p.first+p.n)%panSlots] = slot{at: at, last: m, min: m, max: m}
	p.n++
}

func (p *Pan) slot(i int) *slot { return &p.slots[(p.first+i)%panSlots] }

// withinBand is the stillness of a scale that does not tell: the whole window
// seen, and nothing in it further apart than the band.
func (p *Pan) withinBand(now time.Duration, band scale.Mass, window time.Duration) bool {
	lo, hi := p.slot(p.n-1).min, p.slot(p.n-1).max
	for i := p.n - 1; i >= 0; i-- {
		s := p.slot(i)
		lo, hi = min(lo, s.min), max(hi, s.max)
		if hi-lo > band {
			return false
		}
		if now-s.at >= window {
			return true
		}
	}
	return false
}

// flowGS is the slope of the weight in grams a second over the last
// flowWindow, by least squares; 0 until there is enough to tell.
func (p *Pan) flowGS() float64 {
	var n, sx, sy, sxx, sxy float64
	if p.n == 0 {
		return 0
	}
	last := p.slot(p.n - 1)
	for i := p.n - 1; i >= 0; i-- {
		s := p.slot(i)
		if last.at-s.at > flowWindow {
			break
		}
		x, y := (s.at - last.at).Seconds(), (s.last - last.last).Grams()
		n, sx, sy, sxx, sxy = n+1, sx+x, sy+y, sxx+x*x, sxy+x*y
	}
	if d := n*sxx - sx*sx; n >= 3 && d > 1e-9 {
		return (n*sxy - sx*sy) / d
	}
	return 0
}
