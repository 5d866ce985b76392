package main

import (
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"github.com/stretchr/testify/require"

	"gramcup/mix"
	"gramcup/mix/book"
	"gramcup/scale"
	"gramcup/scale/checkup"
	"gramcup/scale/port"
	"gramcup/ui"
)

// checkOf is a kept check whose three weighings lie as far apart as given.
func checkOf(identity string, shownG ...float64) checkup.Record {
	r := checkup.Record{Format: 1, Scale: identity, Division: checkup.Grams(scale.Gram / 10)}
	for _, g := range shownG {
		r.Readings = append(r.Readings, checkup.Reading{Place: checkup.PlaceMiddle, Shown: checkup.Grams(scale.MassFromGrams(g))})
	}
	return r
}

// Three batches: before any check, after one was kept in which the placements
// scattered although the rests are quiet, and after a restart. What was achieved is
// told by what the check had measured: s = 2 g, by hand from 1998, 2000 and 2002 g,
// and × 4.53/2 for its two degrees of freedom 4.5 g. A check of another scale counts
// for nothing.
func TestAchievedIsToldByTheScaleCheck(t *testing.T) {
	folder := t.TempDir()
	synctest.Test(t, func(t *testing.T) {
		d := startDaemon(t, folder, simulated(1))
		w := d.watch()
		time.Sleep(2 * time.Second)
		d.painter.Pour(true)
		first := w.until(t, "a batch before any check", ended)
		require.NotContains(t, strings.Join(first.Achieved, " "), "scale check")

		checks := checkBook{d.book, d.bench}
		_, err := checks.KeepCheck(d.bench.Stamp(time.Now()), checkOf("simulated scale", 1998, 2000, 2002))
		require.NoError(t, err)
		second := w.until(t, "a batch after the check", func(v ui.View) bool { return ended(v) && v.Batch != first.Batch })
		const says = "taken to scatter by 4.5 g from the scale check of "
		require.Contains(t, second.Achieved[len(second.Achieved)-1], says)
		started := must(d.book.Events(second.Batch))[0].Event.(mix.Started)
		require.Equal(t, 2*scale.Gram, started.Repeats.Scatter)
		require.Less(t, started.Noise, scale.Gram/10, "its rests are quiet")
		sure := func(batch string) float64 {
			b := mix.Fold(must(d.book.Events(batch)))
			c, err := b.Achieved(b.Accuracy())
			require.NoError(t, err)
			return c.Ratio[1].ScaleRelative
		}
		require.Greater(t, sure(second.Batch), 10*sure(first.Batch), "and it is told to be so much less sure")
		w.leave()
		d.close()

		d = startDaemon(t, folder, simulated(1))
		defer d.close()
		w = d.watch()
		defer w.leave()
		time.Sleep(2 * time.Second)
		_, err = d.book.KeepCheck(d.bench.Stamp(time.Now()), checkOf("another scale", 1990, 2000, 2010))
		require.NoError(t, err)
		d.painter.Pour(true)
		third := w.until(t, "a batch after a restart", func(v ui.View) bool {
			return ended(v) && v.Batch != first.Batch && v.Batch != second.Batch
		})
		require.Contains(t, third.Achieved[len(third.Achieved)-1], says)
	})
}

// The command takes the check from the book as the page does: 2 g × 4.53/2 is 4.53 g,
// and 2·4.53/0.03 = 302 g of hardener on 10.6 g in 60 ml.
func TestPlanTakesTheScaleCheckOfTheBench(t *testing.T) {
	folder := t.TempDir()
	b, err := book.Open(folder)
	require.NoError(t, err)
	at := time.Date(2026, 5, 3, 12, 0, 0, 0, time.Local)
	require.NoError(t, b.Append([]mix.Recorded{{Batch: "b1", Seq: 1, At: mix.Stamp{Boot: "boot", WallMS: at.UnixMilli()}, Event: mix.Started{
		Recipe: book.Sample()[0], Amount: mix.Amount{Kind: mix.AmountVolume, ML: 60}, Division: scale.Gram, Noise: 300 * scale.Milligram, Stills: 6,
		Repeats: scale.Repeats{Scatter: 2 * scale.Gram, N: 3, AtMS: at.AddDate(0, 0, -1).UnixMilli()},
	}}}, nil, nil))
	require.NoError(t, b.Close())
	_, out, errs := gramcup(t, "", line("plan "+slate+" --volume-ml 60 --data "+folder)...)
	require.Empty(t, errs)
	require.Contains(t, out, "Scale: in the batch of 3 May 2026 a scale of 1 g, taken to scatter by 4.5 g from the scale check of 2 May 2026, which put a weight on 3 times (the book in "+folder+").")
	require.Contains(t, out, "1800 ml would do.")
}

// A check that was kept after the last batch counts at once, as at the bench itself:
// 2 g × 4.53/2 is 4.53 g. One of another scale counts for nothing, and one of a scale
// of another step takes the place of what the batch had measured.
func TestPlanTakesACheckAfterTheLastBatch(t *testing.T) {
	plan := "plan " + slate + " --volume-ml 60 --data "
	at := time.Date(2026, 5, 4, 9, 0, 0, 0, time.Local)
	keep := func(folder, identity string, division scale.Mass, shownG ...float64) {
		b, err := book.Open(folder)
		require.NoError(t, err)
		r := checkOf(identity, shownG...)
		r.Division = checkup.Grams(division)
		_, err = b.KeepCheck(mix.Stamp{Boot: "boot", Mono: at.Sub(time.Unix(0, 0)), WallMS: at.UnixMilli()}, r)
		require.NoError(t, err)
		require.NoError(t, b.Close())
		at = at.AddDate(0, 0, 1)
	}
	says := func(folder, said, does string) {
		t.Helper()
		status, out, errs := gramcup(t, "", line(plan+folder)...)
		require.Zero(t, status, errs)
		require.Contains(t, out, said+" (the book in "+folder+").")
		require.Contains(t, out, does)
	}
	folder := bookOfABench(t, 300*scale.Milligram, 6)
	know(t, folder, port.Known{Identity: "/dev/ttyUSB0", Shape: "sma", Unit: "g", Places: []int{0}}, at)
	keep(folder, "/dev/ttyUSB7", scale.Gram, 1998, 2000, 2002)
	says(folder, "Scale: measured on 3 May 2026, 1 g that scatters by less than its step", "160 ml would do.")
	keep(folder, "/dev/ttyUSB0", scale.Gram, 1998, 2000, 2002)
	says(folder, "Scale: a scale of 1 g, taken to scatter by 4.5 g from the scale check of 5 May 2026, which put a weight on 3 times", "1800 ml would do.")
	keep(folder, "/dev/ttyUSB0", scale.Gram, 2000, 2000, 2000)
	says(folder, "Scale: measured on 3 May 2026, 1 g that scatters by less than its step", "160 ml would do.")
	know(t, folder, port.Known{Identity: "/dev/ttyUSB0", Shape: "sma", Unit: "g", Places: []int{1}}, at)
	keep(folder, "/dev/ttyUSB0", scale.Gram/10, 1998, 2000, 2002)
	says(folder, "Scale: a scale of 0.1 g, taken to scatter by 4.5 g from the scale check of 7 May 2026, which put a weight on 3 times", "1800 ml would do.")

	folder = t.TempDir() // and no batch at all
	b, err := book.Open(folder)
	require.NoError(t, err)
	require.NoError(t, b.Close())
	know(t, folder, port.Known{Identity: "/dev/ttyUSB0", Shape: "sma", Unit: "g", Places: []int{0}}, at)
	keep(folder, "/dev/ttyUSB0", scale.Gram, 1998, 2000, 2002)
	says(folder, "Scale: a scale of 1 g, taken to scatter by 4.5 g from the scale check of 8 May 2026, which put a weight on 3 times", "1800 ml would do.")
	_, out, _ := gramcup(t, "", line(plan+folder+" --repeatability-g 0.3")...)
	require.Contains(t, out, "Scale: of 1 g in the scale check of 8 May 2026; what it scatters by was given here.")
}
