package ui

import (
	"errors"
	"fmt"
	"math"
	"net/http"
	"strings"
	"sync"
	"testing"
	"testing/synctest"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"gramcup/mix"
	"gramcup/scale"
)

// cupsInMemory keeps measured cups as the book does; err makes it fail.
type cupsInMemory struct {
	mu   sync.Mutex
	list []mix.Cup
	gone map[string]bool
	puts int
	err  error
}

func (b *cupsInMemory) Cups() (out []mix.Cup, err error) {
	b.mu.Lock()
	defer b.mu.Unlock()
	for _, c := range b.list {
		if !b.gone[c.ID] {
			out = append(out, c)
		}
	}
	return out, nil
}

func (b *cupsInMemory) PutCup(c mix.Cup, _ time.Time) error {
	b.mu.Lock()
	defer b.mu.Unlock()
	if b.err != nil {
		return b.err
	}
	b.puts++
	for i, known := range b.list {
		if known.ID == c.ID {
			b.list[i] = c
			return nil
		}
	}
	b.list = append(b.list, c)
	return nil
}

func (b *cupsInMemory) TakeCup(id string, _ time.Time) (bool, error)  { return b.mark(id, true) }
func (b *cupsInMemory) BringCup(id string, _ time.Time) (bool, error) { return b.mark(id, false) }

func (b *cupsInMemory) mark(id string, gone bool) (bool, error) {
	b.mu.Lock()
	defer b.mu.Unlock()
	for _, c := range b.list {
		if c.ID == id && b.gone[id] != gone {
			b.gone[id] = gone
			return true, b.err
		}
	}
	return false, b.err
}

// newCupping is a bench with every walk and a book of cups.
func newCupping(t *testing.T) (*benchWalks, *cupsInMemory) {
	w := newBenchWalks(t)
	book := &cupsInMemory{gone: map[string]bool{}}
	made := 0
	w.rig.server.config.Cups.config.Book = book
	w.rig.server.config.Cups.config.NewID = func() string { made++; return fmt.Sprintf("cup-%d", made) }
	return w, book
}

const cupsAt = "/api/cups"

func cupState(w *benchWalks) CupState { return get[CupState](w.rig, cupsAt) }

// threeHeights measures a cup up to its end: 100, 230 and 360 g of water.
func threeHeights(w *benchWalks) {
	w.t.Helper()
	require.True(w.t, w.do(cupsAt, "start", `,"temp_c":20`).OK)
	w.shows(0, 420)
	for _, fill := range []struct {
		tenths uint64
		mm     int
	}{{1420, 30}, {2720, 60}, {4020, 85}} {
		w.shows(fill.tenths)
		a := w.do(cupsAt, "next", fmt.Sprintf(`,"height_mm":%d`, fill.mm))
		require.True(w.t, a.OK, a.Sentence)
	}
	require.True(w.t, w.do(cupsAt, "enough", "").OK)
}

func TestACupFromStartToStrip(t *testing.T) { synctest.Test(t, aCupFromStartToStrip) }

func aCupFromStartToStrip(t *testing.T) {
	w, book := newCupping(t)
	assert.Equal(t, 20.0, cupState(w).TempC)
	require.True(t, w.do(cupsAt, "start", `,"temp_c":20`).OK)
	assert.Equal(t, "A cup is being measured with water: finish or cancel that first, under Shelf.", w.batch().Sentence)
	w.shows(0, 420)
	a := w.do(cupsAt, "enough", "")
	assert.Contains(t, a.Sentence, "measured at 2 heights or more")
	a = w.do(cupsAt, "next", "")
	assert.Equal(t, "moving", a.Code)
	w.shows(1420)
	s := cupState(w)
	assert.Equal(t, "fill", s.Walk.Step)
	assert.Equal(t, 100.0, s.Walk.NotedG)
	assert.InDelta(t, 100.18, s.Walk.NotedML, 0.01)
	assert.Equal(t, 30.0, s.Walk.HeightMM)
	require.True(t, w.do(cupsAt, "next", "").OK)
	w.shows(2720)
	a = w.do(cupsAt, "next", `,"height_mm":25`)
	assert.Equal(t, "refused", orRefused(a.Code), a.Code)
	assert.Contains(t, a.Sentence, "25 mm is not above the 30 mm")
	a = w.do(cupsAt, "next", `,"height_mm":180`)
	assert.Equal(t, "ask", a.Code)
	assert.Contains(t, a.Sentence, "is the height right?")
	require.True(t, w.do(cupsAt, "next", `,"height_mm":180,"confirm":true`).OK)
	require.True(t, w.do(cupsAt, "back", "").OK)
	w.shows(2720)
	require.True(t, w.do(cupsAt, "next", `,"height_mm":60`).OK)
	w.shows(4020)
	require.True(t, w.do(cupsAt, "next", `,"height_mm":85`).OK)
	require.True(t, w.do(cupsAt, "enough", "").OK)
	s = cupState(w)
	require.Equal(t, "done", s.Walk.Step)
	assert.Equal(t, "Cup 361 ml", s.Walk.Name)
	require.Len(t, s.Walk.Levels, 3)
	assert.Greater(t, s.Walk.Levels[2].ExpandedU, 1.0, "half a millimetre each time, k = 2")
	assert.True(t, w.batch().OK, "it needs the scale no more")
	a = w.do(cupsAt, "keep", `,"name":"85x120"`)
	assert.Contains(t, a.Sentence, "is a size and not a name")
	require.True(t, w.do(cupsAt, "keep", `,"name":" Blue tub "`).OK)

	require.Len(t, book.list, 1)
	c := book.list[0]
	assert.Equal(t, "Blue tub", c.Name)
	assert.Equal(t, "bench scale", c.Scale)
	assert.Equal(t, 42.0, c.EmptyG)
	assert.Equal(t, []mix.CupFill{{HeightMM: 30, WaterG: 100}, {HeightMM: 60, WaterG: 230}, {HeightMM: 85, WaterG: 360}}, c.Fills)
	// One division of 0.1 g for the scatter nobody measured, and its last digit.
	assert.InDelta(t, math.Sqrt(0.01+0.01/12), c.ReadingG, 1e-12)
	s = cupState(w)
	assert.Equal(t, "The cup Blue tub is kept.", s.Said)
	assert.Equal(t, c.ID, s.Kept)
	require.Len(t, s.Cups, 1)
	assert.Contains(t, s.Cups[0].Text, "weighed with water at 20 °C on ")
	assert.Contains(t, s.Cups[0].Text, ": 30 mm 100 ml, 60 mm 230 ml, 85 mm 361 ml")

	// 240 ml of base end between 60 mm and 85 mm, where 130.23 ml stand.
	strip := get[StripAnswer](w.rig, "/api/strip?recipe=quay&ml=300&cup="+c.ID)
	assert.InDelta(t, 60+25*(240-230.41)/130.23, strip.Components[0].MarkMM, 0.01)
	assert.Greater(t, strip.Components[0].MarkU, 0.7)
	assert.Empty(t, strip.Beyond)
	assert.Equal(t, s.Cups[0].Text, strip.Cup)
	_, text := w.send(http.MethodGet, "/api/strip.svg?recipe=quay&ml=300&cup="+c.ID, "", nil)
	assert.Contains(t, text, "Blue tub, weighed with water at 20 °C")
	assert.Contains(t, text, "The marks stand within")
}

func orRefused(code string) string {
	if code == string(mix.RefusedOrder) {
		return "refused"
	}
	return code
}

// Marks above what was measured are not drawn, and it is said.
func TestMarksBeyondWhatWasMeasured(t *testing.T) { synctest.Test(t, marksBeyondWhatWasMeasured) }

func marksBeyondWhatWasMeasured(t *testing.T) {
	w, book := newCupping(t)
	threeHeights(w)
	require.True(t, w.do(cupsAt, "keep", `,"name":"Blue tub"`).OK)
	id := book.list[0].ID
	strip := get[StripAnswer](w.rig, "/api/strip?recipe=quay&ml=400&cup="+id)
	assert.Contains(t, strip.Beyond, "No mark for Quay hardener: 400 ml in all stand above the 361 ml that were measured of this cup. Measure it higher, or mix at most 360 ml.")
	assert.NotZero(t, strip.Components[0].MarkMM)
	last := strip.Components[len(strip.Components)-1]
	assert.Zero(t, last.MarkMM)
	assert.Zero(t, last.StickError)
	resp, text := w.send(http.MethodGet, "/api/strip.svg?recipe=quay&ml=400&cup="+id, "", nil)
	require.Equal(t, http.StatusOK, resp.StatusCode, text)
	assert.Contains(t, text, "No mark for Quay hardener")
	assert.NotContains(t, text, "Quay hardener to here")
	resp, text = w.send(http.MethodGet, "/api/strip?recipe=quay&ml=4000&cup="+id, "", nil)
	assert.Equal(t, http.StatusUnprocessableEntity, resp.StatusCode)
	assert.Contains(t, text, "beyond what was measured of this cup")
	_, text = w.send(http.MethodGet, "/api/strip?recipe=quay&ml=100&cup=cup-9", "", nil)
	assert.Contains(t, text, "That cup is not on the list any more")
}

func TestCupsOfTheListComeAndGo(t *testing.T) { synctest.Test(t, cupsOfTheListComeAndGo) }

func cupsOfTheListComeAndGo(t *testing.T) {
	w, book := newCupping(t)
	threeHeights(w)
	require.True(t, w.do(cupsAt, "keep", `,"name":"Blue tub"`).OK)
	threeHeights(w)
	a := w.do(cupsAt, "keep", `,"name":"blue TUB"`)
	assert.Contains(t, a.Sentence, "There is a cup Blue tub already")
	require.NotNil(t, cupState(w).Walk, "it is still here")
	book.err = errors.New("the disk is full")
	a = w.do(cupsAt, "keep", `,"name":"White beaker"`)
	assert.Contains(t, a.Sentence, "The cup could not be kept, it is still here: the disk is full.")
	book.err = nil
	version := cupState(w).Version
	keep := fmt.Sprintf(`{"key":"keep","version":%d,"do":"keep","name":"White beaker"}`, version)
	require.True(t, w.post(cupsAt, keep).OK)
	require.True(t, w.post(cupsAt, keep).OK, "the same press again")
	assert.Equal(t, 2, book.puts)

	require.True(t, w.do(cupsAt, "take", `,"id":"cup-1"`).OK)
	s := cupState(w)
	require.Len(t, s.Cups, 1)
	require.NotNil(t, s.Taken)
	assert.Equal(t, "Blue tub", s.Taken.Name)
	a = w.do(cupsAt, "take", `,"id":"cup-1"`)
	assert.Equal(t, "stale", a.Code)
	require.True(t, w.do(cupsAt, "bring", `,"id":"cup-1"`).OK)
	s = cupState(w)
	assert.Len(t, s.Cups, 2)
	assert.Nil(t, s.Taken)
}

func TestACupOnAnotherScale(t *testing.T) { synctest.Test(t, aCupOnAnotherScale) }

func aCupOnAnotherScale(t *testing.T) {
	w, book := newCupping(t)
	require.True(t, w.do(cupsAt, "start", `,"temp_c":20`).OK)
	w.shows(0, 420, 1420)
	require.True(t, w.do(cupsAt, "next", "").OK)
	w.walks.Found("another scale")
	s := cupState(w)
	assert.Nil(t, s.Walk)
	assert.Equal(t, "Another scale answers now, so the measuring of the cup was broken off: what it had noted is kept, and it can be gone on with.", s.Said)
	assert.Equal(t, "Noted: the empty cup, 42.0 g; 30 mm, 100.0 g of water.", s.Broken.Far)
	assert.Empty(t, book.list)
}

func TestWhatCupsRefuse(t *testing.T) { synctest.Test(t, whatCupsRefuse) }

func whatCupsRefuse(t *testing.T) {
	w, _ := newCupping(t)
	for body, says := range map[string]string{
		`{"version":0,"do":"back"}`:                         "needs a key",
		`{"key":"a","do":"jump"}`:                           "not known",
		`{"key":"a","do":"start"}`:                          "how warm",
		`{"key":"a","do":"back","temp_c":20}`:               "only a start",
		`{"key":"a","do":"height"}`:                         "a height comes with height",
		`{"key":"a","do":"back","height_mm":20}`:            "a height comes with height",
		`{"key":"a","do":"back","confirm":true}`:            "only next",
		`{"key":"a","do":"keep"}`:                           "brings a name",
		`{"key":"a","do":"take"}`:                           "name the id",
		`{"key":"a","do":"back","id":"x"}`:                  "name the id",
		`{"key":"a","version":0,"do":"start","temp_c":60}`:  "from 0 to 40",
		`{"key":"a","version":0,"do":"next"}`:               "no cup is being measured",
		`{"key":"a","version":7,"do":"start","temp_c":20}`:  "has moved on",
		`{"key":"a","version":0,"do":"start","temp_c":"x"}`: "a number",
	} {
		a := w.post(cupsAt, body)
		assert.False(t, a.OK)
		assert.Contains(t, strings.ToLower(a.Sentence), says, body)
	}
}

// Many pages ask and press while readings come: for the race detector.
func TestCupsAndReadingsAtOnce(t *testing.T) { synctest.Test(t, cupsAndReadingsAtOnce) }

func cupsAndReadingsAtOnce(t *testing.T) {
	w, _ := newCupping(t)
	require.True(t, w.do(cupsAt, "start", `,"temp_c":20`).OK)
	desk := w.server.config.Cups
	var all sync.WaitGroup
	now := time.Now()
	all.Go(func() {
		for i := range 300 {
			w.walks.Reading(now.Add(time.Duration(i)*100*time.Millisecond), scale.Reading{Number: scale.Decimal{Coefficient: uint64(i / 30 * 700), Places: 1}, HasNumber: true, Unit: scale.UnitGram})
		}
	})
	for page := range 4 {
		all.Go(func() {
			for i := range 30 {
				s, err := desk.state(time.Now())
				assert.NoError(t, err)
				_, err = desk.do(time.Now(), CupBody{Key: fmt.Sprint(page, i), Version: s.Version, Do: []string{cupNext, cupBack, cupEnough}[i%3]})
				assert.NoError(t, err)
			}
		})
	}
	all.Wait()
}
