package simulator

import (
	"math"
	"math/rand/v2"
	"time"
)

// Step is the length of one step of the physics: a hundred a second.
const Step = 10 * time.Millisecond

const stepS = 0.01

// Figures of bench scale firmware. Sources: OIML R 76-1 4.5.1 (range of zero
// setting 4 % of Max, initial zero 20 % of Max), 4.5.7 (tracking at most half
// a division a second); indicator manuals (motion band one division within
// one second, centre of zero a quarter, blank above Max + 9 e); the lower end
// at -20 d is common practice, no source.
const (
	motionBandD    = 1.0
	motionSteps    = 101 // one second, both ends included
	centreOfZeroD  = 0.25
	overD          = 9.0
	underD         = 20.0
	trackingBandD  = 0.5
	trackingDPerS  = 0.5
	zeroRangePart  = 0.02 // each side, 4 % in all
	powerZeroPart  = 0.20
	powerOnSteps   = 150 // a self test of one and a half seconds
	cutOutInARow   = 2
	lightLoadHz    = 25.0 // natural frequency of pan and cell, from memory
	dampingRatio   = 0.2  // from memory: 0.1 to 0.3
	loadLowersHzBy = 2.0  // mass of a full load in masses of the pan
)

// cell is load on a pan turned into what the scale knows: the mechanics, the
// converter and the firmware behind it.
type cell struct {
	preset Preset
	rng    *rand.Rand

	deflectionG, speedGS float64 // of the pan, as grams and grams a second
	creepG, driftG       float64
	phase                float64 // part of the next conversion that has passed
	average              average
	recent               [motionSteps]float64 // filtered weight of the last second
	recentAt             int

	zeroG, tareG     float64
	homeG            float64 // zero as it was taken at power-on: the range counts from it
	tared            bool
	moving           bool
	shownG           float64 // gross when the display was last written, not rounded
	zeroError        bool
	tareError        bool
	initialZeroError bool
	waking           int // steps of the self test that are left
}

func newCell(p Preset, rng *rand.Rand) *cell {
	c := &cell{preset: p, rng: rng}
	c.average.size(p.Average)
	c.average.fill(0)
	return c
}

// step moves the cell on by one Step under a load and a push that is not a
// load (a draught). It takes part in no decision: that is refresh.
func (c *cell) step(loadG, pushG float64) {
	c.swing(loadG + pushG)
	c.creepG += (c.preset.CreepPart*loadG - c.creepG) * stepS / c.preset.CreepS
	c.driftG += c.rng.NormFloat64() * c.preset.DriftDPerMin * c.preset.DivisionG * math.Sqrt(stepS/60)
	c.phase += c.preset.ConversionsPerS * stepS
	if c.phase >= 1 {
		c.phase--
		c.average.push(c.convert(), c.preset.CutOutD*c.preset.DivisionG)
	}
	c.track()
	c.recent[c.recentAt] = c.average.value() - c.zeroG
	c.recentAt = (c.recentAt + 1) % motionSteps
	c.wake()
}

// swing is the pan as a damped spring, solved exactly over the step: a plain
// Euler step would ring by itself at 25 Hz.
func (c *cell) swing(loadG float64) {
	part := math.Max(0, loadG/c.preset.MaxG)
	w := 2 * math.Pi * lightLoadHz / math.Sqrt(1+loadLowersHzBy*part)
	decay := dampingRatio * w
	wd := w * math.Sqrt(1-dampingRatio*dampingRatio)
	y, v := c.deflectionG-loadG, c.speedGS
	sin, cos := math.Sincos(wd * stepS)
	e := math.Exp(-decay * stepS)
	c.deflectionG = loadG + e*(y*cos+(v+decay*y)/wd*sin)
	c.speedGS = e * (v*cos - (w*w*y+decay*v)/wd*sin)
}

// convert is one conversion, with its own noise.
func (c *cell) convert() float64 {
	noise := c.rng.NormFloat64() * c.preset.NoiseD * c.preset.DivisionG
	return c.deflectionG + c.creepG + c.driftG + noise
}

func (c *cell) grossG() float64 { return c.average.value() - c.zeroG }

// track follows a slow drift of zero, never faster than half a division a
// second and only near zero and at rest.
func (c *cell) track() {
	d := c.preset.DivisionG
	g := c.grossG()
	if c.preset.NoTracking || c.moving || c.waking > 0 || math.Abs(g) > trackingBandD*d {
		return
	}
	most := trackingDPerS * d * stepS
	c.moveZero(clamp(g*stepS, -most, most))
}

// moveZero shifts zero within the range that the firmware allows, and the
// memory of the last second with it, so that setting zero is no motion.
func (c *cell) moveZero(byG float64) {
	limit := zeroRangePart * c.preset.MaxG
	to := clamp(c.zeroG+byG, c.homeG-limit, c.homeG+limit)
	c.shiftZero(to - c.zeroG)
}

func (c *cell) shiftZero(byG float64) {
	c.zeroG += byG
	for i := range c.recent {
		c.recent[i] -= byG
	}
}

// refresh writes the display: the value, and what the firmware makes of it.
func (c *cell) refresh() {
	low, high := c.recent[0], c.recent[0]
	for _, g := range c.recent[1:] {
		low, high = min(low, g), max(high, g)
	}
	c.moving = high-low > motionBandD*c.preset.DivisionG
	c.shownG = c.grossG()
	if c.zeroError && c.mayZero() {
		c.zeroError = false
	}
	if c.initialZeroError && !c.moving && math.Abs(c.shownG) <= powerZeroPart*c.preset.MaxG {
		c.takeHome()
		c.shownG, c.initialZeroError = 0, false
	}
}

// mayZero reports whether a zero command would be obeyed.
func (c *cell) mayZero() bool {
	limit := zeroRangePart * c.preset.MaxG
	return !c.moving && !c.tared && !c.initialZeroError && math.Abs(c.average.value()-c.homeG) <= limit
}

// zero is the zero key. It is refused while moving, while a tare is set and
// outside the range; the refusal shows until its cause is gone.
func (c *cell) zero() {
	if !c.mayZero() {
		c.zeroError = true
		return
	}
	c.moveZero(c.grossG())
	c.zeroError, c.shownG = false, c.grossG()
}

// tare is the tare key. It is refused while moving, with nothing on the pan
// and outside the range; the refusal shows once.
func (c *cell) tare() {
	g := c.grossG()
	if c.moving || c.initialZeroError || c.over() || g < c.preset.DivisionG/2 {
		c.tareError = true
		return
	}
	c.tareG, c.tared, c.shownG = g, true, g
}

func (c *cell) clearTare() { c.tareG, c.tared = 0, false }

func (c *cell) over() bool {
	return c.shownG > c.preset.MaxG+overD*c.preset.DivisionG
}

func (c *cell) under() bool { return c.shownG < -underD*c.preset.DivisionG }

// powerOn starts the firmware: the tare is forgotten, and when the self test
// is over a new zero is taken, where the scale does so.
func (c *cell) powerOn() {
	c.clearTare()
	c.zeroError, c.tareError, c.initialZeroError = false, false, false
	c.average.empty()
	c.moving = true
	c.waking = powerOnSteps
}

func (c *cell) wake() {
	if c.waking == 0 {
		return
	}
	c.waking--
	if c.waking > 0 || c.preset.KeepsZero {
		return
	}
	c.initialZeroError = math.Abs(c.average.value()) > powerZeroPart*c.preset.MaxG
	if !c.initialZeroError {
		c.takeHome()
	}
}

// takeHome takes the zero of power-on.
func (c *cell) takeHome() {
	c.shiftZero(c.grossG())
	c.homeG = c.zeroG
}

func clamp(x, low, high float64) float64 { return math.Max(low, math.Min(high, x)) }

// knock is a blow against the bench: the pan swings, nothing is added.
func (c *cell) knock() {
	c.speedGS += bumpG * 2 * math.Pi * lightLoadHz
}
