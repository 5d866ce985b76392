package mix

import "gramcup/scale"

// Cue is what the hand should do now.
type Cue string

// The cues: hands off, pour, ease off, stop.
const (
	CueWait Cue = "wait"
	CuePour Cue = "pour"
	CueEase Cue = "ease"
	CueStop Cue = "stop"
)

// Trouble says why there is no live weight, "" when there is one.
type Trouble string

// The troubles.
const (
	TroubleNone      Trouble = ""
	TroubleLost      Trouble = "lost"      // no frames
	TroubleOver      Trouble = "over"      // more than the scale can weigh
	TroubleUnder     Trouble = "under"     // below its range
	TroubleZero      Trouble = "zero"      // it was asked for a new zero and could not take it
	TroubleFirstZero Trouble = "firstZero" // it found no zero when it was switched on
	TroubleTare      Trouble = "tare"      // it could not take its tare; said once
	TroubleCount     Trouble = "count"     // it counts pieces or per cent
	TroubleNoValue   Trouble = "noValue"   // it answers, but not with a weight
)

// Live is the volatile side of what is shown: true now, never saved. It names
// the Seq of the batch that it was worked out against.
type Live struct {
	At        Stamp // of the reading it was worked out from
	Seq       uint64
	Valid     bool // there is a weight
	Trouble   Trouble
	Still     bool
	Shown     scale.Mass // what the scale displays
	Net       scale.Mass // what the cup holds
	Amount    scale.Mass // of the current component
	ToGo      scale.Mass // to its line, negative when past
	FlowGS    float64    // grams a second, smoothed
	Predicted scale.Mass // the amount where the pour would end if stopped now
	Line      Line
	Cue       Cue
	Manner    scale.Manner // how the scale behaves, as far as it is known
}

// Choice is something a person can do now, with what would follow from it.
type Choice struct {
	Do    Verb
	Label string
	// Consequences spell out what follows, one short sentence each.
	Consequences []string
	// Grave marks a choice that ends or spoils the batch.
	Grave bool
	// Add gives, for a level-up, the mass to add to each component.
	Add [MaxComponents]scale.Mass
}

// Ready is what Step answers: what should now be saved, asked of the scale,
// shown, and when to be called again if nothing happens.
type Ready struct {
	Events  []Event  // durable, in order; save them before anything else
	Effect  Effect   // to run after that
	Live    Live     // to show now
	WakeAt  Stamp    // zero for never
	Refused *Refusal // a command that did nothing
	Repeat  bool     // a command that had already taken effect
}
