package bench

import (
	"context"

	"gramcup/mix"
	"gramcup/scale"
)

// Journal keeps events. Append returns only when they are on disk: all of them
// or none. trace is the piece of the weight trace since the last append, as
// AppendTrace packs it, and may be empty. summary is set with the event that
// ends the batch.
//
// An append that failed may have reached the disk all the same. Recall looks:
// it makes the journal fit for use again and gives the events of the batch
// that really are there, none if there is no such batch.
type Journal interface {
	Append(events []mix.Recorded, trace []byte, summary *mix.Summary) error
	Recall(batch string) ([]mix.Recorded, error)
}

// Audience is told what is now true. It must not block: it is called from the
// bench's own goroutine. Batch and Live are values and free to keep.
type Audience interface {
	// Batch comes after every change of the batch that is on disk, with the
	// events that made it.
	Batch(b mix.Batch, events []mix.Recorded)
	// Live comes with every reading.
	Live(l mix.Live)
	// Health comes when the state of the parts changes.
	Health(h Health)
}

// Asker asks the scale for something. It must not block for long.
type Asker interface {
	Ask(r scale.Request) error
}

// Health is what a person must know about the parts. Absence of a problem is
// health.
type Health struct {
	Scale    ScaleState
	Identity string    // of the scale, "" before it was ever found
	Since    mix.Stamp // of the scale's state
	Reason   string    // why it is lost, "" while it is found
	KeptOut  string    // why a scale that answers is not let in, a sentence; "" when there is none
	Stranger bool      // and it is another one, which a person may take on
	Book     string    // why the book can not be written, "" while it can
}

// ScaleState tells whether the scale is heard.
type ScaleState string

// The states of the scale.
const (
	ScaleNever ScaleState = "never" // not heard since the start
	ScaleFound ScaleState = "found"
	ScaleLost  ScaleState = "lost"
)

// Desk is what the page and the command line may do with the bench.
type Desk interface {
	// Do hands a command over and waits for the answer: the batch after it,
	// or a *mix.Refusal. ctx limits the wait.
	Do(ctx context.Context, c mix.Command) (mix.Batch, error)
}
