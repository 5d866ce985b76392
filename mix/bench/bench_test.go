package bench_test

import (
	"errors"
	"fmt"
	"testing"
	"testing/synctest"
	"time"

	"github.com/stretchr/testify/require"

	"gramcup/mix"
	"gramcup/mix/bench"
	"gramcup/scale"
)

func TestAWholeBatch(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		r := newRig(t, nil)
		defer r.close()
		r.stands(0, time.Second)
		_, err := r.do("k1", 0, mix.VerbStart)
		require.NoError(t, err)
		r.stands(12, 2*time.Second)
		r.stands(212, 3*time.Second)
		r.stands(312, 3*time.Second)
		r.stands(0, 2*time.Second)
		b, live, _, _ := r.page.seen()
		require.Equal(t, mix.StateComplete, b.State)
		require.True(t, b.OnTheLine())
		require.Equal(t, b.Seq, live.Seq)
		require.NotNil(t, r.disk.summary)
		require.InDelta(t, 300, r.disk.summary.TotalG, 0.001)
		points, err := mix.UnpackTrace(r.disk.trace)
		require.NoError(t, err)
		require.NotEmpty(t, points)
		require.Equal(t, []scale.Request{scale.RequestTare}, r.asks.asked)
	})
}

func TestSlowDiskDelaysAnAcceptanceNeverANumber(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		r := newRig(t, nil)
		defer r.close()
		r.stands(0, time.Second)
		_, err := r.do("k1", 0, mix.VerbStart)
		require.NoError(t, err)
		r.stands(12, 2*time.Second)
		r.disk.set(time.Second, nil) // a worn memory card
		before, _, lives, _ := r.page.seen()
		r.stands(212, 1500*time.Millisecond)
		during, live, livesThen, _ := r.page.seen()
		require.Equal(t, before.Seq, during.Seq, "the acceptance is still on its way")
		require.Equal(t, before.Seq, live.Seq)
		require.Equal(t, lives+15, livesThen, "each reading was shown")
		require.Equal(t, 200*scale.Gram, live.Amount)
		r.stands(212, 2*time.Second)
		after, _, _, _ := r.page.seen()
		require.Equal(t, 1, after.Current, "then it came")
	})
}

func TestABrokenDiskChangesNothingAndIsTriedAgain(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		r := newRig(t, nil)
		defer r.close()
		r.stands(0, time.Second)
		_, err := r.do("k1", 0, mix.VerbStart)
		require.NoError(t, err)
		r.stands(12, 2*time.Second)
		r.disk.set(0, errors.New("no space left on device"))
		r.stands(212, 4*time.Second)
		b, live, _, health := r.page.seen()
		require.Equal(t, 0, b.Current)
		require.Equal(t, 200*scale.Gram, live.Amount, "the weight is shown all the same")
		require.Contains(t, health.Book, "no space left on device")
		_, err = r.do("k2", b.Seq, mix.VerbHold)
		var refusal *mix.Refusal
		require.ErrorAs(t, err, &refusal)
		require.Equal(t, mix.RefusedFrozen, refusal.Code)
		r.disk.set(0, nil)
		r.stands(212, 3*time.Second)
		b, _, _, health = r.page.seen()
		require.Equal(t, 1, b.Current, "the same decision was tried again")
		require.Empty(t, health.Book)
	})
}

func TestOfTwoPressesOneWins(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		r := newRig(t, nil)
		defer r.close()
		r.stands(0, time.Second)
		_, err := r.do("k1", 0, mix.VerbStart)
		require.NoError(t, err)
		r.stands(12, 2*time.Second)
		r.disk.set(100*time.Millisecond, nil)
		b, _, _, _ := r.page.seen()
		errs := make(chan error, 2)
		for _, key := range []string{"one", "two"} {
			go func() {
				_, err := r.do(key, b.Seq, mix.VerbHold)
				errs <- err
			}()
		}
		first, second := <-errs, <-errs
		if first != nil {
			first, second = second, first
		}
		require.NoError(t, first)
		var refusal *mix.Refusal
		require.ErrorAs(t, second, &refusal)
		require.Equal(t, mix.RefusedStale, refusal.Code)
	})
}

func TestARepeatedKeyIsHarmless(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		r := newRig(t, nil)
		defer r.close()
		r.stands(0, time.Second)
		b, err := r.do("k1", 0, mix.VerbStart)
		require.NoError(t, err)
		again, err := r.do("k1", 0, mix.VerbStart)
		require.NoError(t, err)
		require.Equal(t, b, again)
		require.Len(t, r.disk.saved(), 1)
	})
}

func TestAnUnfinishedBatchComesBack(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		var saved []mix.Recorded
		func() {
			r := newRig(t, nil)
			defer r.close()
			r.stands(0, time.Second)
			_, err := r.do("k1", 0, mix.VerbStart)
			require.NoError(t, err)
			r.stands(12, 2*time.Second)
			r.stands(212, 3*time.Second)
			r.stands(250, time.Second)
			saved = r.disk.saved()
		}()
		r := newRig(t, saved)
		defer r.close()
		b, _, _, _ := r.page.seen()
		require.Equal(t, mix.StateHeld, b.State)
		require.Equal(t, mix.HoldPowerCut, b.Hold)
		require.Equal(t, 200*scale.Gram, b.Content())
		r.tare, r.mode = 12*scale.Gram, scale.ModeNet // the scale itself kept its power
		r.stands(250, 2*time.Second)
		r.stands(312, 3*time.Second)
		r.stands(0, 2*time.Second)
		b, _, _, _ = r.page.seen()
		require.Equal(t, mix.StateComplete, b.State)
		require.True(t, b.OnTheLine())
	})
}

func TestScaleLostInMidPour(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		r := newRig(t, nil)
		defer r.close()
		r.stands(0, time.Second)
		_, err := r.do("k1", 0, mix.VerbStart)
		require.NoError(t, err)
		r.stands(12, 2*time.Second)
		r.stands(112, 2*time.Second)
		r.bench.Lost(time.Now(), "unplugged")
		synctest.Wait()
		b, live, _, health := r.page.seen()
		require.Equal(t, mix.StateHeld, b.State)
		require.False(t, live.Valid)
		require.Equal(t, mix.TroubleLost, live.Trouble)
		require.Equal(t, bench.ScaleLost, health.Scale)
		time.Sleep(10 * time.Second)
		r.bench.Found(time.Now(), "a scale")
		r.stands(150, 2*time.Second)
		b, _, _, health = r.page.seen()
		require.Equal(t, mix.StateRunning, b.State)
		require.Equal(t, bench.ScaleFound, health.Scale)
		r.stands(212, 3*time.Second)
		b, _, _, _ = r.page.seen()
		require.Equal(t, 200*scale.Gram, b.Content())
	})
}

func TestAScaleThatCanNotTare(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		r := newRig(t, nil)
		r.asks.err = fmt.Errorf("the scale has no such command: %w", errors.ErrUnsupported)
		r.stands(0, time.Second)
		_, err := r.do("k1", 0, mix.VerbStart)
		require.NoError(t, err)
		r.stands(12, 2*time.Second)
		b, _, _, _ := r.page.seen()
		require.Equal(t, mix.PhasePour, b.Phase)
		require.True(t, b.Software)
		require.Equal(t, 12*scale.Gram, b.Reference)
		r.close()
		require.Empty(t, r.log.String(), "what is usual for a scale is no warning")
	})
}

func TestAScaleThatDoesNotAnswerIsLogged(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		r := newRig(t, nil)
		r.asks.err = errors.New("the scale has not taken the last commands yet")
		r.stands(0, time.Second)
		_, err := r.do("k1", 0, mix.VerbStart)
		require.NoError(t, err)
		r.stands(12, 2*time.Second)
		r.close()
		require.Contains(t, r.log.String(), "request=tare")
	})
}

// TestAnAppendThatFailedButArrived is a disk that says no and has written all
// the same: the bench finds it out and does not do it twice.
func TestAnAppendThatFailedButArrived(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		r := newRig(t, nil)
		defer r.close()
		r.stands(0, time.Second)
		_, err := r.do("k1", 0, mix.VerbStart)
		require.NoError(t, err)
		r.stands(12, 2*time.Second)
		r.disk.set(0, errArrived)
		r.stands(212, 1400*time.Millisecond)
		_, _, _, health := r.page.seen()
		require.NotEmpty(t, health.Book)
		r.disk.set(0, nil)
		r.stands(212, 4*time.Second)
		b, _, _, health := r.page.seen()
		require.Empty(t, health.Book)
		require.Equal(t, 1, b.Current)
		require.Equal(t, b, mix.Fold(r.disk.saved()), "gapless and once only")
		accepted := 0
		for _, e := range r.disk.saved() {
			if _, ok := e.Event.(mix.Accepted); ok {
				accepted++
			}
		}
		require.Equal(t, 1, accepted)
	})
}

// wordy is an error with a short form, as the book's are.
type wordy struct{ error }

func (wordy) Short() string { return "the disk is full, free some space" }

// TestTheBannerIsShort: what a painter reads from two metres is not the chain
// of errors that the log gets.
func TestTheBannerIsShort(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		r := newRig(t, nil)
		defer r.close()
		r.stands(0, time.Second)
		r.disk.set(0, wordy{errors.New("append to /a/long/path: database or disk is full (13)")})
		_, err := r.do("k1", 0, mix.VerbStart)
		require.Error(t, err)
		_, _, _, health := r.page.seen()
		require.Equal(t, "The book can not be written, so nothing is accepted now: the disk is full, free some space", health.Book)
	})
}

// TestAStepIsRememberedWhileTheUnitIsLeftOut: some lines name no unit while the
// weight moves; a batch may be started all the same.
func TestAStepIsRememberedWhileTheUnitIsLeftOut(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		r := newRig(t, nil)
		defer r.close()
		r.stands(0, time.Second)
		r.bench.Offer(time.Now(), scale.Reading{Number: scale.Decimal{Coefficient: 31, Places: 1, Lead: 1}, HasNumber: true, Motion: scale.MotionMoving})
		synctest.Wait()
		b, err := r.do("k1", 0, mix.VerbStart)
		require.NoError(t, err)
		require.Equal(t, 100*scale.Milligram, b.Division)
	})
}

func TestThePageIsToldWhyNothingIsHeard(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		r := newRig(t, nil)
		defer r.close()
		reason := func() string {
			synctest.Wait()
			_, _, _, h := r.page.seen()
			return h.Reason
		}
		r.bench.Trouble(time.Now(), "too late: it is heard")
		require.Empty(t, reason())

		r.bench.Lost(time.Now(), "the port is gone")
		require.Equal(t, "the port is gone", reason())
		r.bench.Trouble(time.Now(), "the lines look like letters")
		require.Equal(t, "the lines look like letters", reason(), "another one is plugged in")
		_, _, _, h := r.page.seen()
		require.Equal(t, bench.ScaleLost, h.Scale)

		r.bench.KeptOut(time.Now(), "Another scale answers.", true)
		r.bench.Trouble(time.Now(), "it is another one")
		require.Equal(t, "Another scale answers.", reason(), "that can be acted on")

		r.bench.Found(time.Now(), "a scale")
		require.Empty(t, reason())
	})
}
