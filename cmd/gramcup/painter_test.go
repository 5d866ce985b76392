package main

import (
	"context"
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"

	"gramcup/mix"
	"gramcup/mix/bench"
)

// A bench that is busy, or has no weight for a moment, is no reason for the painter to
// lay the jug down: nobody would take it up again.
func TestThePainterStopsOnlyWhereHeIsRefused(t *testing.T) {
	for _, c := range []struct {
		err   error
		pours bool
	}{
		{nil, true},
		{context.DeadlineExceeded, true},
		{bench.ErrBusy, true},
		{&mix.Refusal{Code: mix.RefusedStale}, true},
		{&mix.Refusal{Code: mix.RefusedMoving}, true},
		{&mix.Refusal{Code: mix.RefusedNoScale}, true},
		{fmt.Errorf("the command: %w", &mix.Refusal{Code: mix.RefusedNoScale}), true},
		{&mix.Refusal{Code: mix.RefusedNotNow}, false},
		{&mix.Refusal{Code: mix.RefusedOrder}, false},
		{&mix.Refusal{Code: mix.RefusedFrozen}, false},
		{context.Canceled, false},
	} {
		p := &painter{pours: true}
		p.pressed(c.err)
		assert.Equal(t, c.pours, p.pours, "%v", c.err)
	}
}
