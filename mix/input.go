package mix

import (
	"fmt"

	"gramcup/scale"
)

// Input is one thing that reaches the bench. There is one type for each kind;
// they are passed as pointers so that a reading costs no allocation.
type Input interface{ at() Stamp }

// The inputs.
type (
	// Weighed is one reading of the scale.
	Weighed struct {
		At      Stamp
		Reading scale.Reading
	}
	// ScaleLost says that the scale can not be heard any more.
	ScaleLost struct {
		At     Stamp
		Reason string
	}
	// ScaleFound says that it can be heard again.
	ScaleFound struct {
		At       Stamp
		Identity string
	}
	// Woke is the timer that a Ready asked for.
	Woke struct{ At Stamp }
	// Asked is the outcome of an effect: whether the scale could be asked.
	Asked struct {
		At     Stamp
		Effect Effect
		OK     bool
	}
	// PowerCameBack is the first input after a start of the daemon with an
	// unfinished batch in the book.
	PowerCameBack struct{ At Stamp }
	// Command is a person's wish. Batch and Version are what they looked at
	// when they decided, "" and 0 if there was none; Key makes a repeat
	// harmless.
	Command struct {
		At      Stamp
		Key     string
		Batch   string
		Version uint64
		Do      Verb
		Order   *Order // for VerbStart
	}
)

func (i *Weighed) at() Stamp       { return i.At }
func (i *ScaleLost) at() Stamp     { return i.At }
func (i *ScaleFound) at() Stamp    { return i.At }
func (i *Woke) at() Stamp          { return i.At }
func (i *Asked) at() Stamp         { return i.At }
func (i *PowerCameBack) at() Stamp { return i.At }
func (i *Command) at() Stamp       { return i.At }

// Order is what a start command asks for. ID names the new batch.
type Order struct {
	ID       string
	Recipe   Recipe
	Amount   Amount
	Division scale.Mass
}

// Verb is what a command does, in the words of ISA-88 where it has one.
type Verb string

// The verbs.
const (
	VerbStart    Verb = "start"
	VerbCupOn    Verb = "cup-on"    // the cup stands there, take it as empty
	VerbEnough   Verb = "enough"    // take this amount: settles an as-poured batch
	VerbKeep     Verb = "keep"      // take this amount though it is off the line
	VerbLevelUp  Verb = "level-up"  // raise the others until the ratio holds
	VerbReopen   Verb = "reopen"    // back to the layer that was just accepted
	VerbHold     Verb = "hold"      // wait
	VerbRestart  Verb = "restart"   // go on; what came back counts
	VerbLeaveOut Verb = "leave-out" // go on; the difference is not paint
	VerbStirred  Verb = "stirred"   // the mix is stirred, the batch is complete
	VerbStop     Verb = "stop"      // end in order, book what is in the cup
	VerbAbort    Verb = "abort"     // end now, the content is waste
	VerbZero     Verb = "zero"      // set the scale's own zero
)

// Verbs lists them all, for those who check what came over a network.
func Verbs() []Verb {
	return []Verb{VerbStart, VerbCupOn, VerbEnough, VerbKeep, VerbLevelUp, VerbReopen, VerbHold,
		VerbRestart, VerbLeaveOut, VerbStirred, VerbStop, VerbAbort, VerbZero}
}

// Effect is something the bench asks of the scale after its events are saved.
type Effect uint8

// The effects.
const (
	EffectNone Effect = iota
	EffectTare
	EffectZero
	EffectClearTare
)

// Refusal says why a command did nothing. Code is for programs, the sentence
// for people.
type Refusal struct {
	Code     RefusalCode
	Sentence string
}

// RefusalCode is a Refusal for programs.
type RefusalCode string

// The codes.
const (
	RefusedStale   RefusalCode = "stale"     // decided on an older version
	RefusedNotNow  RefusalCode = "not-now"   // makes no sense in this state
	RefusedMoving  RefusalCode = "moving"    // the weight does not stand still
	RefusedNoScale RefusalCode = "no-scale"  // there is no weight to act on
	RefusedOrder   RefusalCode = "bad-order" // the recipe or the amount is wrong
	RefusedFrozen  RefusalCode = "frozen"    // the book can not be written
)

// Error is the sentence.
func (r *Refusal) Error() string { return r.Sentence }

func refuse(code RefusalCode, format string, args ...any) *Refusal {
	return &Refusal{Code: code, Sentence: fmt.Sprintf(format, args...)}
}
