package mix

import (
	"encoding/json"
	"fmt"

	"gramcup/scale"
)

// Event is something that happened to a batch and is true for ever. There is
// one type for each kind; all fields that Apply needs are copied into it, so
// that opening an old batch never depends on today's shelf.
type Event interface {
	// Type is the name under which the event is kept in the book.
	Type() string
}

// Recorded is an event with its place: batch, gapless sequence from 1, moment.
// Key is the idempotency key of the command that caused it, if one did.
type Recorded struct {
	Batch string
	Seq   uint64
	At    Stamp
	Key   string
	Event Event
}

// The events, in the order in which a batch meets them.
type (
	// Started opens a batch with everything that was true at that moment.
	Started struct {
		Recipe   Recipe     `json:"recipe"`
		Amount   Amount     `json:"amount"`
		Division scale.Mass `json:"division_ug"`
		// Noise is what the scale scatters by at rest, measured in so many Stills;
		// 0 stills where that was not known.
		Noise  scale.Mass `json:"noise_ug,omitempty"`
		Stills int        `json:"stills,omitempty"`
		// Repeats is what the check of the scale that was kept last had measured.
		Repeats scale.Repeats `json:"repeats,omitzero"`
	}
	// CupPlaced notes the weight of the empty cup, 0 if it was already tared.
	CupPlaced struct {
		Cup scale.Mass `json:"cup_ug"`
	}
	// Zeroed sets the displayed weight that means an empty cup. Software tells
	// that the scale did not tare and the bench subtracts by itself.
	Zeroed struct {
		Reference scale.Mass `json:"reference_ug"`
		Mode      scale.Mode `json:"mode"`
		Software  bool       `json:"software,omitempty"`
	}
	// Rested notes a content that stood still in mid-pour, so that a power cut
	// leaves a figure to compare with.
	Rested struct {
		Net scale.Mass `json:"net_ug"`
	}
	// Accepted books an amount of a component. Kept tells that a person took
	// it off the line; Settles that it fixes the plan of an as-poured batch.
	Accepted struct {
		Component int        `json:"component"`
		Amount    scale.Mass `json:"amount_ug"`
		Line      Line       `json:"line"`
		Kept      bool       `json:"kept,omitempty"`
		Settles   bool       `json:"settles,omitempty"`
	}
	// WentPast notes an amount that came to rest past the line.
	WentPast struct {
		Component int        `json:"component"`
		Amount    scale.Mass `json:"amount_ug"`
		Net       scale.Mass `json:"net_ug"`
	}
	// WentBack notes that some was taken out of a cup that holds only this
	// component, and the pour goes on.
	WentBack struct {
		Component int `json:"component"`
	}
	// LeveledUp books the poured amount and raises the plan by a factor.
	LeveledUp struct {
		Component int        `json:"component"`
		Amount    scale.Mass `json:"amount_ug"`
		Factor    float64    `json:"factor"`
	}
	// Reopened takes the last accepted layer back into pouring.
	Reopened struct {
		Component int `json:"component"`
	}
	// HeldUp puts the batch on hold. Net is the content last known, Top the
	// most it may be. Back is what the scale says instead, where that is the
	// reason; events written before it was noted have 0.
	HeldUp struct {
		Reason HoldReason `json:"reason"`
		Net    scale.Mass `json:"net_ug"`
		Top    scale.Mass `json:"top_ug"`
		Back   scale.Mass `json:"back_ug,omitempty"`
	}
	// CameBack notes that the content after a hold is not the one before.
	CameBack struct {
		Net scale.Mass `json:"net_ug"`
	}
	// Restarted ends a hold. Shift moves the reference, when a difference was
	// left out or the scale had forgotten its tare.
	Restarted struct {
		Shift scale.Mass `json:"shift_ug,omitempty"`
		Mode  scale.Mode `json:"mode,omitempty"`
	}
	// Completed ends a batch that was poured to its end.
	Completed struct{}
	// StoppedEarly ends a batch in order before its end; the content is booked.
	StoppedEarly struct {
		Net scale.Mass `json:"net_ug"`
	}
	// AbortedNow ends a batch at once; the content is waste.
	AbortedNow struct {
		Net scale.Mass `json:"net_ug"`
	}
	// Faulted notes that something happened which the rules forbid.
	Faulted struct {
		Reason string `json:"reason"`
	}
)

// The names in the book. They are never changed; a new meaning gets a new name.
func (Started) Type() string      { return "started" }
func (CupPlaced) Type() string    { return "cup-placed" }
func (Zeroed) Type() string       { return "zeroed" }
func (Rested) Type() string       { return "rested" }
func (Accepted) Type() string     { return "accepted" }
func (WentPast) Type() string     { return "went-past" }
func (WentBack) Type() string     { return "went-back" }
func (LeveledUp) Type() string    { return "leveled-up" }
func (Reopened) Type() string     { return "reopened" }
func (HeldUp) Type() string       { return "held" }
func (CameBack) Type() string     { return "came-back" }
func (Restarted) Type() string    { return "restarted" }
func (Completed) Type() string    { return "completed" }
func (StoppedEarly) Type() string { return "stopped" }
func (AbortedNow) Type() string   { return "aborted" }
func (Faulted) Type() string      { return "faulted" }

// EventVersion is the version of the bodies that EncodeEvent writes.
const EventVersion = 1

// EncodeEvent is the event's body for the book.
func EncodeEvent(e Event) ([]byte, error) { return json.Marshal(e) }

// DecodeEvent reads a body back. An unknown type or version is an error that
// says so: a newer book is never half understood.
func DecodeEvent(typ string, version int, body []byte) (Event, error) {
	if version != EventVersion {
		return nil, fmt.Errorf("event %q has version %d, this program knows %d: use the newer program that wrote it", typ, version, EventVersion)
	}
	decode, ok := eventDecoders[typ]
	if !ok {
		return nil, fmt.Errorf("event type %q is not known: use the newer program that wrote it", typ)
	}
	e, err := decode(body)
	if err != nil {
		return nil, err
	}
	if err := inRange(e); err != nil {
		return nil, err
	}
	return e, nil
}

// inRange refuses what no batch can hold: Apply trusts what it is given.
func inRange(e Event) error {
	if s, ok := e.(Started); ok && len(s.Recipe.Components) > MaxComponents {
		return fmt.Errorf("event %q has a recipe of %d components: a mix has at most %d, so the book is damaged", e.Type(), len(s.Recipe.Components), MaxComponents)
	}
	if i, ok := about(e); ok && (i < 0 || i >= MaxComponents) {
		return fmt.Errorf("event %q is about component %d: a mix has at most %d, so the book is damaged", e.Type(), i+1, MaxComponents)
	}
	return nil
}

// about is the component that an event is about, if it is about one.
func about(e Event) (component int, ok bool) {
	switch e := e.(type) {
	case Accepted:
		return e.Component, true
	case WentPast:
		return e.Component, true
	case WentBack:
		return e.Component, true
	case LeveledUp:
		return e.Component, true
	case Reopened:
		return e.Component, true
	}
	return 0, false
}

var eventDecoders = map[string]func([]byte) (Event, error){
	"started": into[Started], "cup-placed": into[CupPlaced], "zeroed": into[Zeroed],
	"rested": into[Rested], "accepted": into[Accepted], "went-past": into[WentPast],
	"went-back": into[WentBack], "leveled-up": into[LeveledUp], "reopened": into[Reopened],
	"held": into[HeldUp], "came-back": into[CameBack], "restarted": into[Restarted],
	"completed": into[Completed], "stopped": into[StoppedEarly], "aborted": into[AbortedNow],
	"faulted": into[Faulted],
}

func into[E Event](body []byte) (Event, error) {
	var e E
	if err := json.Unmarshal(body, &e); err != nil {
		return nil, fmt.Errorf("event %q: %w", e.Type(), err)
	}
	return e, nil
}
