package ui

import (
	"fmt"
	"testing"
	"testing/synctest"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"gramcup/mix"
	"gramcup/scale"
)

// restarted is the daemon over what was kept, with another scale that answers and
// shows an empty pan.
func (l *lasting) restarted(identity string) *benchWalks {
	l.t.Helper()
	w := l.start()
	w.walks.Found(identity)
	w.shows(0)
	return w
}

// A scale is named from the first load that was noted on it, and once.
func TestAScaleIsNamedFromItsFirstLoad(t *testing.T) { synctest.Test(t, aScaleIsNamedFromItsFirstLoad) }

func aScaleIsNamedFromItsFirstLoad(t *testing.T) {
	const first, other = "bench scale", "another scale"
	l := newLasting(t)
	w := l.start()
	require.True(t, w.do(measureAt, "start", theHardener).OK)
	w = l.restarted(other)
	require.Empty(t, measureState1(w).Broken.Asks, "nothing was weighed")
	require.True(t, w.do(measureAt, "go-on", "").OK)
	w = l.restarted(first)
	require.Empty(t, measureState1(w).Broken.Asks)
	require.True(t, w.do(measureAt, "go-on", "").OK)
	w.shows(420)
	require.Equal(t, "water", measureState1(w).Walk.Step)

	asks := "It was weighed on the scale bench scale, and another scale answers now. Two scales never show quite the same: plug the first one in again, or go on if you accept that."
	for range 2 {
		w = l.restarted(other)
		require.Equal(t, asks, measureState1(w).Broken.Asks)
		require.True(t, w.do(measureAt, "go-on", `,"confirm":true`).OK)
		w = l.restarted(first)
		require.Empty(t, measureState1(w).Broken.Asks, "nothing was weighed on the other one")
		require.True(t, w.do(measureAt, "go-on", "").OK)
	}
	w = l.restarted(other)
	require.True(t, w.do(measureAt, "go-on", `,"confirm":true`).OK)
	w.shows(1418, 0)
	require.Equal(t, "dry", measureState1(w).Walk.Step)
	both := "It was weighed on the scales bench scale and another scale, and %s answers now. Two scales never show quite the same: %s."
	for _, now := range []string{first, other, first} {
		w = l.restarted(now)
		require.Equal(t, fmt.Sprintf(both, now, "go on if you accept that, or put it away and begin again"), measureState1(w).Broken.Asks)
		require.True(t, w.do(measureAt, "go-on", `,"confirm":true`).OK)
	}
	w = l.restarted("a third scale")
	assert.Equal(t, fmt.Sprintf(both, "a third scale", "plug one of those in again, or go on if you accept that"), measureState1(w).Broken.Asks)
	assert.Equal(t, "Noted: the empty cup, 42.0 g; 99.8 g of water to the mark.", measureState1(w).Broken.Far)

	// What is taken back takes its scale with it.
	w = l.restarted(first)
	require.True(t, w.do(measureAt, "go-on", `,"confirm":true`).OK)
	require.True(t, w.do(measureAt, "back", "").OK)
	w = l.restarted(first)
	assert.Empty(t, measureState1(w).Broken.Asks)
}

// A cup that was gone on with on another scale, without weighing there, is one of
// the first scale, and back on that it is reckoned as fine as before.
func TestAScaleOnWhichNothingWasWeighedChangesNothing(t *testing.T) {
	synctest.Test(t, aScaleOnWhichNothingWasWeighedChangesNothing)
}

func aScaleOnWhichNothingWasWeighedChangesNothing(t *testing.T) {
	l := newLasting(t)
	w := l.start()
	require.True(t, w.do(cupsAt, "start", `,"temp_c":20`).OK)
	w.shows(0, 420, 1420)
	require.True(t, w.do(cupsAt, "next", "").OK)
	w.shows(2720)
	require.True(t, w.do(cupsAt, "next", "").OK)
	fine := cupState(w).Walk.DivisionG
	w = l.start()
	w.walks.set = func() scale.Mass { return scale.Gram }
	w.walks.Found("another scale")
	w.goOn(cupsAt, `,"confirm":true`)
	require.Equal(t, 1.0, cupState(w).Walk.DivisionG)
	seat := &w.rig.server.config.Cups.seat
	assert.Equal(t, "bench scale", seat.onScale())
	w = l.start()
	w.goOn(cupsAt, "")
	assert.Equal(t, fine, cupState(w).Walk.DivisionG)
	require.True(t, w.do(cupsAt, "enough", "").OK)
	require.True(t, w.do(cupsAt, "keep", `,"name":"Blue tub"`).OK)
	assert.Equal(t, "bench scale", l.cups.list[0].Scale)
}

// A walk that was kept before each load had its scale was all on the one named.
func TestAWalkThatNamesOneScaleForAllItsLoads(t *testing.T) {
	assert.Equal(t, []string{"a", "a"}, allOn(nil, 2, "a"))
	kept := make([]string, 3, 8)
	copy(kept, []string{"a", "b", "b"})
	assert.Equal(t, []string{"a", "c"}, allOn(allOn(kept, 1, "c"), 2, "c"))
	assert.Equal(t, []string{"a", "b", "b"}, kept, "what is kept stays as it is")
	assert.Equal(t, "a, b and c", mix.AndList([]string{"a", "b", "c"}))
}

// While a scale is kept out, every walk says that and the way on: neither is
// nothing plugged in, nor is the plug to blame.
func TestAScaleThatIsKeptOutIsTheReason(t *testing.T) {
	synctest.Test(t, aScaleThatIsKeptOutIsTheReason)
}

func aScaleThatIsKeptOutIsTheReason(t *testing.T) {
	reason := "Another scale answers on this line: it speaks with 0 decimals and not 1. Put the old one back, or take this one on the Scale page."
	for path, start := range walksAndStarts {
		l := newLasting(t)
		w := l.start()
		require.True(t, w.do(path, "start", start).OK, path)
		w.shows(0, 420)
		state := func() (s struct {
			NotNow string `json:"not_now"`
			Broken *BrokenWalk
			Walk   *struct{ Waits string }
		}) {
			return get[struct {
				NotNow string `json:"not_now"`
				Broken *BrokenWalk
				Walk   *struct{ Waits string }
			}](w.rig, path)
		}
		w.walks.KeptOut(reason)
		assert.Equal(t, reason, state().Walk.Waits, path)
		w.walks.Lost()
		assert.Contains(t, state().Walk.Waits, "The scale is lost: look at its plug", path)

		w = l.start()
		w.walks.identity = "" // nothing was let in since the start
		w.walks.KeptOut(reason)
		s := state()
		require.NotNil(t, s.Broken, path)
		assert.Equal(t, reason, s.NotNow, path)
		assert.Equal(t, reason, s.Broken.NotNow, path)
		assert.Equal(t, reason, s.Broken.Waits, path)
		assert.Equal(t, reason, w.do(path, "go-on", `,"confirm":true`).Sentence, path)
		w.walks.Found("bench scale")
		w.shows(0)
		assert.Empty(t, state().Broken.NotNow, path)
		assert.True(t, w.do(path, "go-on", "").OK, path)
	}
}

// An undo that comes too late says what is true.
func TestAnUndoThatComesTooLate(t *testing.T) { synctest.Test(t, anUndoThatComesTooLate) }

func anUndoThatComesTooLate(t *testing.T) {
	l := newLasting(t)
	w := l.start()
	undo := func() string {
		a := w.do(measureAt, "undo-put-away", "")
		assert.Equal(t, "not-now", a.Code)
		return a.Sentence
	}
	assert.Equal(t, "Nothing is put away here any more: look again.", undo())
	require.True(t, w.do(measureAt, "start", theHardener).OK)
	w.shows(420)
	w = l.start()
	assert.Equal(t, "Nothing is put away here: what rests here was broken off after that.", undo())
	require.True(t, w.do(measureAt, "put-away", "").OK)
	require.True(t, w.do(measureAt, "undo-put-away", "").OK)
	assert.Equal(t, "It is back already: go on with it, or put it away again.", undo())
	w.goOn(measureAt, "")
	assert.Equal(t, "It is back already, and was gone on with.", undo())
	require.True(t, w.do(measureAt, "cancel", "").OK)
	require.True(t, w.do(measureAt, "start", theHardener).OK)
	assert.Equal(t, "What was put away is not there any more: another one was begun.", undo())
}

// What a newer version kept is said and not guessed at, and stays on disk.
func TestAWalkOfANewerFormat(t *testing.T) { synctest.Test(t, aWalkOfANewerFormat) }

func aWalkOfANewerFormat(t *testing.T) {
	l := newLasting(t)
	w := l.start()
	require.True(t, w.do(measureAt, "start", theHardener).OK)
	w.shows(420)
	measureState1(w)
	row := string(l.walks.bodies["density"])
	newer := fmt.Sprintf(`{"format":9,%s`, row[len(`{"format":1,`):])
	for _, body := range []string{newer, `{"format":9,"scale":{"name":"bench scale"},"walk":7}`} {
		l.walks.bodies["density"] = []byte(body)
		w = l.start()
		st := measureState1(w)
		assert.Nil(t, st.Broken)
		assert.Equal(t, "The measuring of a density was broken off under a newer version of gramcup, which this one can not read: it stays as it is until another density is begun here.", st.Said)
		for _, verb := range []string{"go-on", "put-away", "undo-put-away"} {
			assert.Equal(t, "not-now", w.do(measureAt, verb, `,"confirm":true`).Code, verb)
		}
		w.walks.Found("another scale")
		require.NoError(t, w.walks.Flush())
		kept, err := l.walks.Walks()
		require.NoError(t, err)
		assert.Equal(t, body, string(kept["density"]))
	}
	require.True(t, w.do(measureAt, "start", theHardener).OK, "it is in nobody's way")
}
