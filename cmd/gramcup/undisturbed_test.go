package main

import (
	"testing"
	"time"
)

// undisturbed does something that hangs on how this process, which plays the scale,
// keeps up with another one that listens to it. Where this process was away for
// longer than that bears, as on a machine that gave its processor to others, what
// came of it tells nothing, and it is done again. What is judged is not looked at.
func undisturbed(t *testing.T, bears time.Duration, do func()) {
	t.Helper()
	for end := time.Now().Add(patience); ; {
		stop := watchAway()
		do()
		longest := stop()
		if longest < bears || time.Now().After(end) {
			return
		}
		t.Logf("this process was away for %v: once more", longest.Round(time.Millisecond))
	}
}

// watchAway measures the longest time for which nothing here could run.
func watchAway() (stop func() time.Duration) {
	ended, longest := make(chan struct{}), make(chan time.Duration)
	go func() {
		worst, last := time.Duration(0), time.Now()
		for tick := time.NewTicker(10 * time.Millisecond); ; {
			over := false
			select {
			case <-tick.C:
			case <-ended:
				over = true
			}
			now := time.Now()
			worst, last = max(worst, now.Sub(last)), now
			if over {
				tick.Stop()
				longest <- worst
				return
			}
		}
	}()
	return func() time.Duration { close(ended); return <-longest }
}
