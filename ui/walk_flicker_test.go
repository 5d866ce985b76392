package ui

import (
	"fmt"
	"testing"
	"testing/synctest"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A display that flickers between two steps takes no press back: what stands there is
// the same. A filling that has become another one does.
func TestAFlickerTakesNoPressBack(t *testing.T) { synctest.Test(t, aFlickerTakesNoPressBack) }

func aFlickerTakesNoPressBack(t *testing.T) {
	w, _ := newCupping(t)
	require.True(t, w.do(cupsAt, "start", `,"temp_c":20`).OK)
	w.shows(0, 420, 1420)
	seen := cupState(w)
	require.InDelta(t, 100, seen.Walk.NotedG, 1e-9)
	w.shows(1421, 1420, 1421)
	now := cupState(w)
	assert.InDelta(t, 100.1, now.Walk.NotedG, 1e-9, "the newest is shown")
	press := func(key string, version uint64) Answer {
		return w.post(cupsAt, fmt.Sprintf(`{"key":%q,"version":%d,"do":"next"}`, key, version))
	}
	a := press("flickered", seen.Version)
	require.True(t, a.OK, a.Sentence)

	w.shows(2720)
	seen = cupState(w)
	w.shows(2723)
	assert.Equal(t, "stale", press("poured on", seen.Version).Code)

	// The same while a density is measured.
	require.True(t, w.do(cupsAt, "cancel", "").OK)
	require.True(t, w.do(measureAt, "start", theHardener).OK)
	w.shows(0, 420, 1420)
	version := get[MeasureState](w.rig, measureAt).Version
	w.shows(1421, 1420)
	assert.Equal(t, version, get[MeasureState](w.rig, measureAt).Version)
	w.shows(1425)
	assert.Less(t, version, get[MeasureState](w.rig, measureAt).Version)
}
