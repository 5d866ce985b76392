package simulator

import (
	"time"

	"gramcup/scale"
)

// Look tells the hand what the page shows now. It stays until the next Look.
func (b *Bench) Look(s Screen) {
	b.mu.Lock()
	defer b.mu.Unlock()
	b.hand.look(s)
}

// Wants is the button that the hand wants pressed, handed out once.
func (b *Bench) Wants() Press {
	b.mu.Lock()
	defer b.mu.Unlock()
	p := b.hand.want
	b.hand.want = PressNone
	return p
}

// PlaceCup puts a new empty cup of so many grams on the pan. A cup that was
// there goes away with what is in it.
func (b *Bench) PlaceCup(massG float64) {
	b.mu.Lock()
	defer b.mu.Unlock()
	c := b.spareCup
	c.MassG = massG
	b.placeCup(c)
}

func (b *Bench) placeCup(c Cup) {
	if b.cup != nil {
		b.takenG += b.cup.totalG() - b.cup.MassG
	}
	b.cup, b.cupOn = newCup(c, len(b.jugs)), true
}

// LiftCup takes the cup off the pan and keeps it for PutBackCup.
func (b *Bench) LiftCup() {
	b.mu.Lock()
	defer b.mu.Unlock()
	b.liftCup()
}

func (b *Bench) liftCup() { b.cupOn = false }

// PutBackCup puts the lifted cup back with what is in it. Without a cup it
// does nothing.
func (b *Bench) PutBackCup() {
	b.mu.Lock()
	defer b.mu.Unlock()
	b.putBackCup()
}

func (b *Bench) putBackCup() { b.cupOn = b.cup != nil }

// Pour lets so many grams of a component run at a steady flow in grams a
// second, without the hand. It returns at once; Tick does the pouring. A
// component that is not there and amounts that are not above zero are ignored.
func (b *Bench) Pour(component int, grams, flowGS float64) {
	b.mu.Lock()
	defer b.mu.Unlock()
	if b.has(component) && grams > 0 && flowGS > 0 {
		b.jugs[component].pour(grams, flowGS)
	}
}

// Add puts so many grams of a component into the cup at once, out of its jug,
// as a test does. Without a cup they lie on the pan. The same is ignored as
// in Pour, and there is never more than the jug has.
func (b *Bench) Add(component int, grams float64) {
	b.mu.Lock()
	defer b.mu.Unlock()
	if !b.has(component) || grams <= 0 {
		return
	}
	grams = min(grams, b.jugs[component].ContentG)
	b.jugs[component].ContentG -= grams
	b.land(component, grams)
}

func (b *Bench) has(component int) bool { return component >= 0 && component < len(b.jugs) }

// TakeOut takes so many grams of the mixture out of the cup.
func (b *Bench) TakeOut(grams float64) {
	b.mu.Lock()
	defer b.mu.Unlock()
	if b.cup != nil && grams > 0 {
		b.takenG += b.cup.scoop(grams)
	}
}

// WipePan takes away what was spilt beside the cup.
func (b *Bench) WipePan() {
	b.mu.Lock()
	defer b.mu.Unlock()
	b.takenG += b.spiltG
	b.spiltG = 0
}

// PressZero and PressTare are the keys on the scale itself.
func (b *Bench) PressZero() {
	b.mu.Lock()
	defer b.mu.Unlock()
	b.cell.zero()
}

// PressTare presses the tare key on the scale. It is refused while moving.
func (b *Bench) PressTare() {
	b.mu.Lock()
	defer b.mu.Unlock()
	b.cell.tare()
}

// Inject starts a fault now, for so long; 0 is as long as is usual for it.
func (b *Bench) Inject(f Fault, length time.Duration) {
	b.mu.Lock()
	defer b.mu.Unlock()
	b.inject(f, length)
}

// Schedule adds faults to the plan. One whose time has passed starts with the
// next Tick.
func (b *Bench) Schedule(s ...Scheduled) {
	b.mu.Lock()
	defer b.mu.Unlock()
	b.faults.plan = append(b.faults.plan, s...)
}

func (b *Bench) inject(f Fault, length time.Duration) {
	if f >= faultCount {
		return
	}
	b.faults.begin(f, b.now, length)
	switch f {
	case FaultBump:
		b.cell.knock()
	case FaultUnplugged:
		b.hangUp(ErrUnplugged)
	}
}

// Repair ends every fault and forgets the plan.
func (b *Bench) Repair() {
	b.mu.Lock()
	defer b.mu.Unlock()
	b.faults.until = [faultCount]time.Duration{}
	b.faults.plan = nil
}

// Reading is what the display shows now, whether or not it is sent.
func (b *Bench) Reading() scale.Reading {
	b.mu.Lock()
	defer b.mu.Unlock()
	return b.cell.reading(b.options.Unit)
}

// CupOn reports whether a cup stands on the pan.
func (b *Bench) CupOn() bool {
	b.mu.Lock()
	defer b.mu.Unlock()
	return b.cupOn
}

// True is what is really in the cup, in grams by component, wherever the cup
// is. It is for judging results, and no scale knows it.
func (b *Bench) True() []float64 {
	b.mu.Lock()
	defer b.mu.Unlock()
	out := make([]float64, len(b.jugs))
	if b.cup != nil {
		copy(out, b.cup.contentG)
	}
	return out
}

// Ledger says where all the liquid is, in grams. The sum never changes.
type Ledger struct {
	Jugs  float64 // in the jugs and on their lips
	Air   float64 // on its way down
	Cup   float64 // in the cup
	Spilt float64 // on the pan beside the cup
	Taken float64 // gone from the bench
}

// Sum is all the liquid there is, in grams.
func (l Ledger) Sum() float64 { return l.Jugs + l.Air + l.Cup + l.Spilt + l.Taken }

// Ledger counts all the liquid.
func (b *Bench) Ledger() Ledger {
	b.mu.Lock()
	defer b.mu.Unlock()
	l := Ledger{Spilt: b.spiltG, Taken: b.takenG}
	for _, j := range b.jugs {
		l.Jugs += j.ownG()
		l.Air += j.airG()
	}
	if b.cup != nil {
		l.Cup = b.cup.totalG() - b.cup.MassG
	}
	return l
}
