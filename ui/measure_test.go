package ui

import (
	"encoding/json"
	"fmt"
	"net/http"
	"testing"
	"testing/synctest"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"gramcup/mix"
	"gramcup/scale"
)

// measuring is a server whose scale is fed by hand.
type measuring struct {
	*rig
	book *shelfInMemory
	desk *MeasureDesk
	keys int
}

func newMeasuring(t *testing.T) *measuring {
	r := quay()
	r.ID = "quay"
	m := &measuring{book: newShelfInMemory(*r)}
	edit := NewShelfDesk(m.book)
	m.desk = NewMeasureDesk(MeasureConfig{Shelf: edit})
	m.rig = newStillRig(t, func(c *Config) { c.Shelf, c.Edit, c.Measure = m.book, edit, m.desk })
	return m
}

// shows lets the scale stand at each of these tenths of a gram for two seconds.
func (m *measuring) shows(tenths ...uint64) {
	for _, n := range tenths {
		for range 20 {
			time.Sleep(100 * time.Millisecond)
			m.desk.Reading(time.Now(), scale.Reading{Number: scale.Decimal{Coefficient: n, Places: 1}, HasNumber: true, Unit: scale.UnitGram, Motion: scale.MotionStill})
		}
	}
}

func (m *measuring) state() MeasureState {
	m.t.Helper()
	return get[MeasureState](m.rig, "/api/measure")
}

func (m *measuring) do(verb, more string) (int, Answer) {
	m.t.Helper()
	m.keys++
	resp, text := m.send(http.MethodPost, "/api/measure", fmt.Sprintf(`{"key":"k-%d","version":%d,"do":%q%s}`, m.keys, m.state().Version, verb, more), nil)
	var a Answer
	require.NoError(m.t, json.Unmarshal([]byte(text), &a), text)
	return resp.StatusCode, a
}

const theHardener = `,"start":{"recipe_id":"quay","component":1,"height_mm":60,"temp_c":20}`

func TestADensityFromStartToShelf(t *testing.T) { synctest.Test(t, aDensityFromStartToShelf) }

func aDensityFromStartToShelf(t *testing.T) {
	m := newMeasuring(t)
	assert.Contains(t, m.state().NotNow, "No scale was heard")
	_, a := m.do("start", theHardener)
	assert.Equal(t, "not-now", a.Code)
	m.desk.Found("bench scale")
	m.shows(0)
	assert.Empty(t, m.state().NotNow)
	assert.Len(t, m.state().Kinds, 8)
	_, a = m.do("start", theHardener)
	require.True(t, a.OK, a.Sentence)
	_, a = m.do("start", theHardener)
	assert.Equal(t, "not-now", a.Code, "one at a time")
	w := m.state().Walk
	assert.Equal(t, "Quay hardener", w.Name)
	assert.Equal(t, "hardener", w.Kind)
	assert.Equal(t, 0.1, w.DivisionG)
	_, a = m.do("keep", "")
	assert.Equal(t, "not-now", a.Code)

	m.shows(420, 1418)
	assert.Equal(t, "water", m.state().Walk.Step)
	assert.Equal(t, 99.8, m.state().Walk.NotedG)
	m.shows(0, 420)
	assert.Equal(t, "paint", m.state().Walk.Step)
	m.shows(1480, 0)
	w = m.state().Walk
	require.Equal(t, "done", w.Step)
	assert.InDelta(t, 1.0602, w.Result.GML, 1e-4)
	assert.InDelta(t, 0.0256, w.Result.ExpandedU, 1e-3)
	m.desk.Batch(mix.Batch{ID: "b", State: mix.StateRunning}, nil)
	require.NotNil(t, m.state().Walk, "a finished one needs the scale no more")
	_, a = m.do("keep", "")
	require.True(t, a.OK, a.Sentence)
	assert.Contains(t, m.state().Said, "kept with Quay hardener")
	r, _, _ := m.book.Recipe("quay")
	d := r.Components[1].Density
	assert.InDelta(t, 1.0602, d.GPerML, 1e-4)
	assert.InDelta(t, 0.0128, d.UncertaintyGML, 5e-4)
	assert.Equal(t, "weighed here against water", d.Source)
	assert.Equal(t, 20.0, d.ReferenceC)
	assert.Equal(t, "106 g where water has 99.8 g, at 20 °C", d.AsGiven)
	assert.Equal(t, time.Now().UnixMilli(), d.SinceMS, "when it was kept")
	assert.False(t, r.Components[0].Density.Known())
}

func TestTheNextDensityNeedsNoWater(t *testing.T) { synctest.Test(t, theNextDensityNeedsNoWater) }

func theNextDensityNeedsNoWater(t *testing.T) {
	m := newMeasuring(t)
	m.desk.Found("bench scale")
	m.shows(0)
	_, _ = m.do("start", theHardener)
	m.shows(420, 1418, 0, 420)
	_, a := m.do("cancel", "")
	require.True(t, a.OK)
	cups := m.state().Vessels
	require.Len(t, cups, 1, "the cup outlives the walk")
	assert.InDelta(t, 99.98, cups[0].ML, 0.01)
	_, a = m.do("start", fmt.Sprintf(`,"start":{"recipe_id":"quay","component":0,"temp_c":20,"vessel":%q}`, cups[0].ID))
	require.True(t, a.OK, a.Sentence)
	m.shows(0, 420, 1800, 0)
	assert.InDelta(t, 1.3803, m.state().Walk.Result.GML, 1e-4)
	m.desk.Found("another scale")
	assert.NotNil(t, m.state().Walk, "it is finished")
	assert.Empty(t, m.state().Vessels, "weights of two scales are not mixed")
}

func TestAnUnlikelyMeasurementIsAskedAbout(t *testing.T) {
	synctest.Test(t, anUnlikelyMeasurementIsAskedAbout)
}

func anUnlikelyMeasurementIsAskedAbout(t *testing.T) {
	m := newMeasuring(t)
	m.desk.Found("bench scale")
	m.shows(0)
	_, _ = m.do("start", theHardener)
	m.shows(420, 1418, 0, 420, 1700, 0)
	require.Contains(t, m.state().Walk.Result.Asks, "unusual for hardener")
	_, a := m.do("keep", "")
	assert.Equal(t, "ask", a.Code)
	_, a = m.do("keep", `,"confirm":true`)
	require.True(t, a.OK, a.Sentence)
}

func TestABatchGoesBeforeAMeasurement(t *testing.T) { synctest.Test(t, aBatchGoesBeforeAMeasurement) }

func aBatchGoesBeforeAMeasurement(t *testing.T) {
	m := newMeasuring(t)
	m.desk.Found("bench scale")
	m.shows(0)
	_, _ = m.do("start", theHardener)
	before := m.state().Version
	m.desk.Batch(mix.Batch{ID: "b", State: mix.StateRunning}, nil)
	s := m.state()
	assert.Nil(t, s.Walk)
	assert.Contains(t, s.Said, "A batch was started")
	assert.Contains(t, s.NotNow, "finish it first")
	assert.Greater(t, s.Version, before)
	_, a := m.do("start", theHardener)
	assert.Equal(t, "not-now", a.Code)
	m.desk.Batch(mix.Batch{ID: "b", State: mix.StateComplete}, nil)
	_, a = m.do("start", theHardener)
	assert.True(t, a.OK, a.Sentence)
	m.desk.Lost()
	assert.Contains(t, m.state().Walk.Waits, "lost")
}

func TestMeasuringWhatIsGone(t *testing.T) { synctest.Test(t, measuringWhatIsGone) }

func measuringWhatIsGone(t *testing.T) {
	m := newMeasuring(t)
	m.desk.Found("bench scale")
	m.shows(0)
	status, a := m.do("start", `,"start":{"recipe_id":"quay","component":2,"height_mm":60,"temp_c":20}`)
	assert.Equal(t, http.StatusUnprocessableEntity, status, a.Sentence)
	status, _ = m.do("start", `,"start":{"recipe_id":"quay","component":-1,"height_mm":60,"temp_c":20}`)
	assert.Equal(t, http.StatusBadRequest, status)
	_, a = m.do("start", `,"start":{"recipe_id":"quay","component":1,"height_mm":3,"temp_c":20}`)
	assert.Contains(t, a.Sentence, "20 to 300 mm")
	_, a = m.do("start", `,"start":{"recipe_id":"quay","component":1,"temp_c":20,"vessel":"cup-9"}`)
	assert.Contains(t, a.Sentence, "not known any more")
	_, a = m.do("back", "")
	assert.Equal(t, "not-now", a.Code)

	_, _ = m.do("start", theHardener)
	m.shows(420, 1418, 0, 420, 1480, 0)
	_, err := m.book.TakeRecipe("quay")
	require.NoError(t, err)
	_, a = m.do("keep", "")
	assert.Equal(t, "stale", a.Code)
	assert.NotNil(t, m.state().Walk, "the density is still here")
	resp, text := m.send(http.MethodPost, "/api/measure", `{"key":"x","version":0,"do":"cancel"}`, nil)
	assert.Equal(t, http.StatusConflict, resp.StatusCode, text)
}
