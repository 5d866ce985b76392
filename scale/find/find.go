package find

import (
	"time"

	"gramcup/scale"
)

// Wire is one line to what may be a scale. Time passes only inside Listen.
type Wire interface {
	// Set changes speed and framing. What was not read yet is dropped.
	Set(Setting) error
	// Write sends bytes. Only harmless asks are ever written.
	Write([]byte) error
	// Listen waits for d and gives what came.
	Listen(d time.Duration) ([]byte, error)
}

// Options say how far Find may go. The zero value is usable.
type Options struct {
	Quiet    bool          // never write
	Most     time.Duration // of listening in all; 0 is DefaultMost
	Progress func(Step)    // what is being done now, for people: at each setting and whenever bytes came; may be nil
}

// DefaultMost is how long Find listens in all if nobody says.
const DefaultMost = 10 * time.Second

// Step is what Find does now.
type Step struct {
	Setting Setting       // how the line is set
	Asking  bool          // a weight was asked for; false: only listening
	Heard   int           // bytes that came at this setting
	Spent   time.Duration // of listening so far
	Most    time.Duration // of listening in all
	Text    string        // the same for a person: "listening at 9600 8N1"
}

// Certainty is how sure an answer is.
type Certainty string

// The certainties.
const (
	Sure    Certainty = "sure"
	Likely  Certainty = "likely"
	NotSure Certainty = "not sure"
)

// Trouble is what stands in the way of an answer.
type Trouble string

// The troubles.
const (
	TroubleNone    Trouble = ""
	TroubleSilent  Trouble = "silent"  // nothing came, asked or not
	TroubleNoise   Trouble = "noise"   // bytes came, at no speed did they make sense
	TroubleParity  Trouble = "parity"  // 7 bits with parity, in no shape that is known
	TroubleBinary  Trouble = "binary"  // scale.BinaryFrames
	TroubleUnknown Trouble = "unknown" // text, in no shape that is known
)

// Candidate is one way to read what came.
type Candidate struct {
	Codec scale.Codec
	Line  string // its name
	Lines int    // whole lines that it read
}

// Report is what was found out.
type Report struct {
	Found   bool        // a scale is there, and Codec and Setting read it; false too when it is NotSure
	Sure    Certainty   // of Codec and Setting
	Codec   scale.Codec // the best candidate; nil where there is none
	Line    string      // its name, for line =
	Setting Setting     // how the line has to be set; also the best guess where nothing was found

	Unit     scale.Unit // as the scale says it; UnitNone where none was said yet
	TellUnit bool       // lines of this shape say no unit: a person has to
	Division scale.Mass // the display step, as far as the lines show it; 0 without a unit
	Asked    bool       // it had to be asked; false: it sends by itself

	Sample  []string    // a few lines as they came, escaped, with their reading
	Why     []string    // reasons, a sentence each
	Settles string      // what would settle what is open; "" if nothing is
	Others  []Candidate // what else would fit
	Trouble Trouble

	Spent time.Duration // how long was listened
}
