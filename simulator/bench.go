package simulator

import (
	"math/rand/v2"
	"sync"
	"time"

	"gramcup/scale"
)

// Options say what stands on the bench. The zero value of each field has a
// usable meaning; without a Codec the scale has no line and sends nothing.
type Options struct {
	Seed       uint64
	Preset     Preset        // the zero value is DecentBench
	Codec      scale.Codec   // the shape of its lines
	Unit       scale.Unit    // what it shows; zero is what its lines are set to, else grams
	FrameEvery time.Duration // between two frames and two updates of the display; 0 is 100 ms
	OnRequest  bool          // silent until asked; else it sends from the start
	Cup        Cup           // the cup that the hand puts on; zero is 180 g without a brim
	Jugs       []Jug         // one for each component; none is three usual ones
	Skill      Skill         // the zero value is Practised
	Blunders   []Blunder
	Faults     []Scheduled
}

const (
	defaultFrameEvery = 100 * time.Millisecond
	defaultCupG       = 180.0
	defaultJugs       = 3
)

func (o Options) filled() Options {
	if o.Preset.MaxG <= 0 {
		o.Preset = DecentBench()
	}
	if o.Unit == scale.UnitNone {
		o.Unit = unitOf(o.Codec)
	}
	if o.FrameEvery <= 0 {
		o.FrameEvery = defaultFrameEvery
	}
	if o.Cup.MassG <= 0 {
		o.Cup.MassG = defaultCupG
	}
	if len(o.Jugs) == 0 {
		o.Jugs = make([]Jug, defaultJugs)
	}
	if o.Skill.CloseS <= 0 {
		o.Skill = Practised()
	}
	return o
}

// Bench is the whole bench. All its methods may be called from several
// goroutines; one lock guards everything in it.
type Bench struct {
	mu   sync.Mutex
	news *sync.Cond // frames came or the line changed

	options Options
	now     time.Duration
	carry   time.Duration // time given to Tick that is shorter than a Step
	cell    *cell
	jugs    []*jug
	hand    *hand
	faults  *faults
	line    *line
	wire    *Wire // the host's end, nil while nobody is connected

	spareCup Cup
	cup      *cup // nil until one was put on for the first time
	cupOn    bool
	spiltG   float64 // on the pan beside the cup
	takenG   float64 // gone from the bench: old cups' contents, spoonfuls, wiped off
	powered  bool
	updateAt time.Duration
}

// New sets up a bench that is warm, at rest, at zero, with an empty pan.
func New(o Options) *Bench {
	o = o.filled()
	// Each part has its own stream of chance, so that more draws in one do
	// not change the others.
	part := func(k uint64) *rand.Rand { return rand.New(rand.NewPCG(o.Seed, k)) }
	b := &Bench{
		options: o, powered: true, spareCup: o.Cup, updateAt: o.FrameEvery,
		cell:   newCell(o.Preset, part(1)),
		hand:   newHand(o.Skill, o.Blunders, part(2)),
		faults: &faults{rng: part(3), plan: append([]Scheduled(nil), o.Faults...)},
		line:   newLine(o),
	}
	for _, j := range o.Jugs {
		b.jugs = append(b.jugs, newJug(j))
	}
	b.news = sync.NewCond(&b.mu)
	return b
}

// Tick moves the bench on by dt, in whole Steps; what is left over counts for
// the next call. Frames that fall due wait in the line for Drain or the Wire.
func (b *Bench) Tick(dt time.Duration) {
	b.mu.Lock()
	defer b.mu.Unlock()
	b.carry += dt
	for b.carry >= Step {
		b.carry -= Step
		b.step()
	}
	b.news.Broadcast()
}

// Now is the time since New that Tick has added up to, in whole Steps.
func (b *Bench) Now() time.Duration {
	b.mu.Lock()
	defer b.mu.Unlock()
	return b.now
}

func (b *Bench) step() {
	b.now += Step
	for _, s := range b.faults.due(b.now) {
		b.inject(s.Fault, s.For)
	}
	b.power()
	pushG := b.hand.step(b)
	for i, j := range b.jugs {
		landedG, jetG := j.step()
		b.land(i, landedG)
		pushG += jetG
	}
	pushG += b.faults.push(b.options.Preset, b.now)
	b.cell.step(b.panG(), pushG)
	if b.now >= b.updateAt {
		b.updateAt += b.options.FrameEvery
		b.cell.refresh()
		b.line.due = true
	}
	b.line.step(b)
}

// power follows the fault that takes the power away.
func (b *Bench) power() {
	off := b.faults.on(FaultPowerCycle, b.now)
	if b.powered && off {
		b.line.reset()
	}
	if !b.powered && !off {
		b.cell.powerOn()
	}
	b.powered = !off
}

// land is where a stream ends: in the cup, over its brim, or on the pan.
func (b *Bench) land(component int, grams float64) {
	switch {
	case grams == 0:
	case b.cupOn:
		b.spiltG += b.cup.take(component, grams, b.jugs)
	default:
		b.spiltG += grams
	}
}

// panG is what stands and lies on the pan, in grams.
func (b *Bench) panG() float64 {
	g := b.spiltG
	if b.cupOn {
		g += b.cup.totalG()
	}
	return g
}

// talks reports whether the scale is in a state to send or hear anything.
func (b *Bench) talks() bool {
	return b.powered && b.cell.waking == 0 && !b.faults.on(FaultSilent, b.now) && !b.faults.on(FaultUnplugged, b.now)
}
