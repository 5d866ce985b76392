package scaletest

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"go.uber.org/goleak"
)

// Patient is a test binary that gives goroutines which end by themselves the time for
// that before leaks are looked for, by goleak.VerifyTestMain: on a loaded machine the
// half second of goleak is too short. Only what never ends is still there after all.
type Patient struct{ *testing.M }

// Run runs the tests and waits.
func (p Patient) Run() int {
	code := p.M.Run()
	_ = stillThere(2 * time.Minute)
	return code
}

// NoGoroutines waits until no goroutine is left but those of before.
func NoGoroutines(t testing.TB, before goleak.Option) {
	t.Helper()
	require.NoError(t, stillThere(patience, before))
}

// stillThere is what is left when none is, or the limit is over; each look takes
// less than half a second.
func stillThere(limit time.Duration, options ...goleak.Option) (left error) {
	late := time.Now().Add(limit)
	for left = goleak.Find(options...); left != nil && time.Now().Before(late); {
		left = goleak.Find(options...)
	}
	return left
}
