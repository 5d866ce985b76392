package bench

import (
	"time"

	"gramcup/mix"
)

// recorder collects the trace between two appends, so that it rides to the
// disk with the next event and costs no write of its own.
type recorder struct {
	points []mix.TracePoint
	packed int // how many points the job in hand has taken
	last   mix.TracePoint
}

const (
	// maxPoints bounds what is kept if nothing is decided for long: then every
	// other point goes.
	maxPoints = 8000
	// A point is kept when the weight changed by a division, or after a
	// second; never closer than pointSpan.
	pointSpan = 50 * time.Millisecond
	pointIdle = time.Second
)

// note keeps a point while a batch is in the cup. Before the cup is tared
// there is nothing of the batch to see.
func (t *recorder) note(b *mix.Batch, l *mix.Live) {
	if !l.Valid || b.ID == "" || b.State.Ended() || b.Phase == mix.PhaseCup || b.Phase == mix.PhaseTare {
		return
	}
	p := mix.TracePoint{WallMS: l.At.WallMS, Net: l.Net}
	gap := time.Duration(p.WallMS-t.last.WallMS) * time.Millisecond
	changed := (p.Net - t.last.Net).Abs() >= b.Division
	if t.last.WallMS != 0 && gap >= 0 && (gap < pointSpan || !changed && gap < pointIdle) {
		return
	}
	if len(t.points) >= maxPoints && t.packed == 0 {
		half := t.points[:0]
		for i := 0; i < len(t.points); i += 2 {
			half = append(half, t.points[i])
		}
		t.points = half
	}
	if len(t.points) < 2*maxPoints {
		t.points = append(t.points, p)
	}
	t.last = p
}

// pack gives the piece for the job in hand.
func (t *recorder) pack() []byte {
	t.packed = len(t.points)
	return mix.PackTrace(nil, t.points)
}

// saved forgets what is on disk now; what came meanwhile stays.
func (t *recorder) saved() {
	t.points = append(t.points[:0], t.points[t.packed:]...)
	t.packed = 0
}

// keep holds on to everything, because the append failed.
func (t *recorder) keep() { t.packed = 0 }

// reset begins a new trace.
func (t *recorder) reset() { *t = recorder{points: t.points[:0]} }
