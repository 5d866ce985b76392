package mix_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"gramcup/mix"
	"gramcup/scale"
)

// walker does to a bench whatever comes to anybody's mind. The rig holds every
// step against the rules; the walker only sees to it that everything happens.
type walker struct {
	*rig
	rt      *rapid.T
	cup     scale.Mass
	paint   scale.Mass
	off     bool // the cup is in somebody's hand
	lastKey string
}

// TestRandomWalks: whatever happens in whatever order, a batch is its events,
// breaks none of its rules, accepts nothing that moves or is off the line
// without a person's word, and never changes once it has ended.
func TestRandomWalks(t *testing.T) {
	met := map[string]int{}
	missing := func() (none []string) {
		for _, must := range []string{"started", "cup-placed", "zeroed", "rested", "accepted", "went-past", "leveled-up", "reopened",
			"held", "came-back", "restarted", "completed", "stopped", "aborted"} {
			if met[must] == 0 {
				none = append(none, must)
			}
		}
		return none
	}
	// A hundred walks level up four times or twelve, and one time in some thousands
	// not at all: then they walk on.
	for rounds := 0; rounds == 0 || rounds < 20 && len(missing()) > 0; rounds++ {
		rapid.Check(t, func(rt *rapid.T) {
			w := &walker{rig: newRig(rt), rt: rt, cup: 12 * scale.Gram}
			w.met = met // one for all walks, to see that they go everywhere
			w.flags = rapid.Bool().Draw(rt, "flags")
			w.marked = rapid.IntRange(0, 3).Draw(rt, "marked") > 0
			w.every = rapid.SampledFrom([]time.Duration{40, 100, 400}).Draw(rt, "every") * time.Millisecond
			for range rapid.IntRange(20, 120).Draw(rt, "steps") {
				w.step()
			}
		})
	}
	t.Logf("met %v", met)
	require.Empty(t, missing(), "the walks must meet everything")
}

func (w *walker) step() {
	if w.b.ID == "" || w.b.State.Ended() {
		w.begin()
		return
	}
	switch rapid.IntRange(0, 19).Draw(w.rt, "step") {
	case 0, 1, 2, 3, 4, 5:
		w.pourSome()
	case 6, 7, 8:
		w.stand(time.Duration(rapid.IntRange(100, 5000).Draw(w.rt, "ms")) * time.Millisecond)
	case 9, 10, 11, 12:
		w.choose()
	case 13:
		w.anyCommand()
	case 14:
		w.lift()
	case 15:
		w.lost()
		if rapid.Bool().Draw(w.rt, "power of the scale too") {
			w.forget()
		}
		w.paint += grams(rapid.SampledFrom([]float64{0, 0, 3, 40}).Draw(w.rt, "poured unseen"))
		w.put()
		w.found()
	case 16:
		w.powerCut()
		w.paint += grams(rapid.SampledFrom([]float64{0, 0, 3, 40}).Draw(w.rt, "poured unseen"))
		w.put()
	case 17:
		w.junk()
	case 18:
		w.knock()
	case 19:
		w.deaf = rapid.Bool().Draw(w.rt, "deaf")
		w.mute = rapid.Bool().Draw(w.rt, "mute")
	}
}

func (w *walker) put() {
	w.load = w.cup + w.paint
	if w.off {
		w.load = 0
	}
}

func (w *walker) begin() {
	w.zero, w.mode = 0, scale.ModeGross
	w.paint, w.off = 0, false
	recipe, amount := drawRecipe(w.rt), drawAmount(w.rt)
	if rapid.IntRange(0, 4).Draw(w.rt, "by eye") == 0 {
		amount = mix.Amount{Kind: mix.AmountAsPoured}
	}
	w.load = 0
	w.stand(time.Second)
	w.start(recipe, amount)
	w.put()
	w.stand(time.Duration(rapid.IntRange(500, 5000).Draw(w.rt, "cup ms")) * time.Millisecond)
}

// pourSome pours to the line, near it, or anything.
func (w *walker) pourSome() {
	if w.off {
		w.lift()
	}
	m := w.live.ToGo
	switch rapid.IntRange(0, 3).Draw(w.rt, "how far") {
	case 0:
		m = grams(rapid.Float64Range(0, 120).Draw(w.rt, "grams"))
	case 1:
		m += grams(m.Grams() * rapid.Float64Range(-0.1, 0.2).Draw(w.rt, "error"))
	}
	m = min(max(m, 0), 5*scale.Kilogram)
	w.paint += m
	w.pour(m, time.Duration(rapid.IntRange(0, 8000).Draw(w.rt, "pour ms"))*time.Millisecond)
	w.put()
	if rapid.Bool().Draw(w.rt, "and wait") {
		w.stand(4 * time.Second)
	}
}

// choose presses something that is offered.
func (w *walker) choose() {
	offered := mix.Choices(&w.b)
	c := rapid.SampledFrom(offered).Draw(w.rt, "choice")
	if c.Grave && rapid.IntRange(0, 3).Draw(w.rt, "really") > 0 {
		return
	}
	w.lastKey = w.key()
	w.command(c.Do, w.b.Seq, w.lastKey, nil)
}

// anyCommand presses what may make no sense, late, early or twice.
func (w *walker) anyCommand() {
	verb := rapid.SampledFrom(mix.Verbs()).Draw(w.rt, "verb")
	version := w.b.Seq + rapid.SampledFrom([]uint64{0, 0, 0, 1, ^uint64(0)}).Draw(w.rt, "version off by")
	key := w.key()
	if rapid.IntRange(0, 2).Draw(w.rt, "again") == 0 && w.lastKey != "" {
		key = w.lastKey
	}
	var order *mix.Order
	if rapid.Bool().Draw(w.rt, "with an order") {
		order = &mix.Order{ID: "stray", Recipe: drawRecipe(w.rt), Amount: drawAmount(w.rt), Division: division}
	}
	before := w.b
	ready := w.command(verb, version, key, order)
	if version != before.Seq && !ready.Repeat {
		require.NotNil(w.rt, ready.Refused)
		require.Equal(w.rt, mix.RefusedStale, ready.Refused.Code)
	}
	if ready.Refused != nil {
		require.NotEmpty(w.rt, ready.Refused.Sentence)
		w.met["refused "+string(ready.Refused.Code)]++
	}
}

// lift takes the cup away or brings it, or another, back.
func (w *walker) lift() {
	w.off = !w.off
	if !w.off && rapid.IntRange(0, 3).Draw(w.rt, "another weight") == 0 {
		w.paint = max(0, w.paint+grams(rapid.Float64Range(-30, 30).Draw(w.rt, "difference")))
	}
	w.put()
	w.reading(true)
	w.stand(time.Duration(rapid.IntRange(0, 2000).Draw(w.rt, "ms")) * time.Millisecond)
}

// junk is what a scale says besides weights; none of it may change a batch.
func (w *walker) junk() {
	before := w.b
	w.wake = mix.Stamp{} // the timer may still judge the weight before the junk
	for range rapid.IntRange(1, 5).Draw(w.rt, "how many") {
		r := rapid.SampledFrom(junkReadings()).Draw(w.rt, "junk")
		if r.Mode == scale.ModeTare && r.Status == scale.StatusOK {
			r.HasNumber = false // a tare between two weights is passed over
		}
		w.weighed(r)
	}
	require.Equal(w.rt, before, w.b, "no weight, no change")
	require.False(w.rt, w.live.Valid)
}

// junkReadings are readings that carry no usable weight, each with a number
// where there can be one.
func junkReadings() []scale.Reading {
	number := scale.Decimal{Coefficient: 2000, Places: 1, Lead: 3}
	with := func(s scale.Status) scale.Reading {
		return scale.Reading{HasNumber: true, Number: number, Unit: scale.UnitGram, Status: s, Motion: scale.MotionStill, Mode: scale.ModeNet}
	}
	junk := []scale.Reading{{}, {HasNumber: true, Number: number, Motion: scale.MotionStill},
		{HasNumber: true, Number: number, Unit: scale.UnitPieces, Motion: scale.MotionStill},
		{HasNumber: true, Number: number, Unit: scale.UnitPercent, Motion: scale.MotionStill},
		{HasNumber: true, Number: number, Unit: scale.UnitGram, Motion: scale.MotionStill, Mode: scale.ModeTare},
		{HasNumber: true, Number: scale.Decimal{Coefficient: 1e18 - 1, Lead: 18}, Unit: scale.UnitTonne, Motion: scale.MotionStill},
		{Unit: scale.UnitGram, Motion: scale.MotionStill}}
	for s := scale.StatusOver; s <= scale.StatusInfo; s++ {
		junk = append(junk, with(s))
	}
	return junk
}

// knock is a blow to the bench: wild readings, nothing in the cup.
func (w *walker) knock() {
	load := w.load
	for range rapid.IntRange(1, 4).Draw(w.rt, "blows") {
		w.load = load + grams(rapid.Float64Range(-400, 400).Draw(w.rt, "blow"))
		w.reading(true)
	}
	w.load = load
	w.reading(true)
}
