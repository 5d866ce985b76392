package scale

// Status is what the scale says about its number, in the words that point of
// sale and weighing standards share.
type Status uint8

// The states of a reading. Only StatusOK and StatusZero carry a usable weight.
const (
	StatusOK               Status = iota // a weight
	StatusZero                           // a weight, at the centre of zero
	StatusOver                           // above the capacity
	StatusUnder                          // below the range
	StatusZeroError                      // a zero command failed
	StatusInitialZeroError               // the zero at power-on failed
	StatusTareError                      // a tare command failed
	StatusNotReady                       // alive, but shows no weight now
	StatusCount                          // a number of pieces or a percentage, not a weight
	StatusUnknownCommand                 // an answer: the scale does not know the command
	StatusDamagedCommand                 // an answer: the command arrived damaged
	StatusInfo                           // an answer about the scale itself, no weight
)

var statusNames = [...]string{
	StatusOK: "ok", StatusZero: "zero", StatusOver: "over", StatusUnder: "under",
	StatusZeroError: "zero-error", StatusInitialZeroError: "initial-zero-error",
	StatusTareError: "tare-error", StatusNotReady: "not-ready", StatusCount: "count",
	StatusUnknownCommand: "unknown-command", StatusDamagedCommand: "damaged-command",
	StatusInfo: "info",
}

// String is the status as the command line and the page name it.
func (s Status) String() string {
	if int(s) < len(statusNames) {
		return statusNames[s]
	}
	return "unknown"
}

// Mode tells which weight the number is.
type Mode uint8

// The modes. ModeTare is the stored tare, never a live weight.
const (
	ModeUnknown Mode = iota
	ModeGross
	ModeNet
	ModeTare
)

// String is "gross", "net", "tare", or "" where the line does not say.
func (m Mode) String() string {
	return [...]string{"", "gross", "net", "tare"}[m&3]
}

// Motion tells whether the scale calls its weight still.
type Motion uint8

// The motions. MotionUnknown means that the line has no such mark, and
// stability has to be computed.
const (
	MotionUnknown Motion = iota
	MotionStill
	MotionMoving
)

// Reading is one decoded line. It holds no pointers and is free to copy.
type Reading struct {
	Number         Decimal
	HasNumber      bool // false for dashes, overload without digits, answers
	Unit           Unit
	Mode           Mode
	Motion         Motion
	Status         Status
	HighResolution bool // the number has a digit more than the display

	// A reading is copied several times on its way, soon after its fields were
	// written one by one. With a size of two times 16 bytes the copies do not
	// overlap, and do not wait for each other: a sixth of the cost of a frame.
	// For the same reason the Decode of some codecs is no more than one call, which
	// fills the Reading in its place: the compiler then puts it in place of its own
	// call through the interface, and two copies fewer are made.
	_ uint64
}

// Weight is the live weight of the reading. ok is false for everything that
// must never be used as one: over and under range, errors, counts, a stored
// tare, a unit that is not a mass.
func (r Reading) Weight() (m Mass, ok bool) {
	if !r.HasNumber || r.Mode == ModeTare || r.Status > StatusZero {
		return 0, false
	}
	if m, ok = r.Number.metric(r.Unit); ok || !r.Unit.IsMass() {
		return m, ok
	}
	m, err := r.Number.anyMass(r.Unit)
	return m, err == nil
}

// Step is the display step that the decimals of the number suggest: 0.1 g for
// "412.6" g. A scale that counts by 2 or 5 shows a finer one than it has.
func (r Reading) Step() Mass {
	m, err := Decimal{Coefficient: 1, Places: r.Number.Places}.Mass(r.Unit)
	if err != nil {
		return 0
	}
	return m
}
