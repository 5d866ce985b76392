package ui

import (
	"encoding/json"
	"errors"
	"fmt"
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
	"gramcup/scale/checkup"
)

// shelfOfChecks keeps checks in memory; err makes it fail.
type shelfOfChecks struct {
	mu   sync.Mutex
	list []checkup.Kept
	at   []mix.Stamp
	err  error
}

func (b *shelfOfChecks) KeepCheck(at mix.Stamp, r checkup.Record) (checkup.Kept, error) {
	b.mu.Lock()
	defer b.mu.Unlock()
	if b.err != nil {
		return checkup.Kept{}, b.err
	}
	for i, known := range b.at {
		if known == at {
			return b.list[i], nil
		}
	}
	b.list, b.at = append(b.list, checkup.Kept{N: int64(len(b.list) + 1), AtMS: at.WallMS, Record: r}), append(b.at, at)
	return b.list[len(b.list)-1], nil
}

func (b *shelfOfChecks) LastCheck(identity string) (checkup.Kept, bool, error) {
	b.mu.Lock()
	defer b.mu.Unlock()
	for i := len(b.list) - 1; i >= 0; i-- {
		if b.list[i].Scale == identity {
			return b.list[i], true, b.err
		}
	}
	return checkup.Kept{}, false, b.err
}

// checking is a server whose scale is fed by hand.
type checking struct {
	*rig
	desk *CheckDesk
	book *shelfOfChecks
	keys int
}

func newChecking(t *testing.T) *checking {
	c, boot := &checking{book: &shelfOfChecks{}}, time.Now().Add(-time.Hour)
	c.desk = NewCheckDesk(CheckConfig{Book: c.book, Stamp: func(t time.Time) mix.Stamp {
		return mix.Stamp{Boot: "boot", Mono: t.Sub(boot), WallMS: t.UnixMilli()}
	}})
	c.rig = newStillRig(t, func(cfg *Config) { cfg.Check = c.desk })
	return c
}

// shows lets the scale stand at so many tenths of a gram for two seconds.
func (c *checking) shows(tenths uint64) {
	for range 20 {
		time.Sleep(100 * time.Millisecond)
		c.desk.Reading(time.Now(), scale.Reading{Number: scale.Decimal{Coefficient: tenths, Places: 1}, HasNumber: true, Unit: scale.UnitGram, Motion: scale.MotionStill})
	}
}

func (c *checking) state() (s CheckState) {
	c.t.Helper()
	resp, body := c.send(http.MethodGet, "/api/scale/check", "", nil)
	require.Equal(c.t, http.StatusOK, resp.StatusCode, body)
	require.NoError(c.t, json.Unmarshal([]byte(body), &s))
	return s
}

// do sends a command on the state as it is now.
func (c *checking) do(verb, start string) (int, CheckAnswer) {
	c.t.Helper()
	c.keys++
	return c.post(fmt.Sprintf(`{"key":"k-%d","version":%d,"do":%q%s}`, c.keys, c.state().Version, verb, start))
}

func (c *checking) post(body string) (status int, a CheckAnswer) {
	c.t.Helper()
	resp, text := c.send(http.MethodPost, "/api/scale/check", body, nil)
	require.NoError(c.t, json.Unmarshal([]byte(text), &a), text)
	return resp.StatusCode, a
}

const withKilogram = `,"start":{"capacity_g":6000,"weight_nominal_g":1000,"weight_class":"F2","weight_id":"K-7"}`

// walk goes through a whole check with a reading of so many tenths.
func (c *checking) walk(tenths uint64) {
	c.t.Helper()
	c.shows(0)
	for range 3 {
		c.shows(tenths)
		c.shows(0)
	}
	require.Equal(c.t, "done", c.state().Walk.Step)
}

func TestACheckFromStartToBook(t *testing.T) { synctest.Test(t, aCheckFromStartToBook) }

func aCheckFromStartToBook(t *testing.T) {
	c := newChecking(t)
	s := c.state()
	assert.Nil(t, s.Walk)
	assert.Contains(t, s.NotNow, "No scale was heard yet")
	status, a := c.do("start", withKilogram)
	assert.Equal(t, http.StatusConflict, status)
	assert.Equal(t, "no-scale", a.Code)

	c.desk.Found("bench scale")
	c.shows(0)
	s = c.state()
	assert.Equal(t, "bench scale", s.Identity)
	assert.Equal(t, scale.Gram/10, s.Division.Mass(), "from its decimals")
	assert.Contains(t, s.Missing, "stands on the plate as Max")
	assert.Contains(t, s.DueText, "No check of this scale")

	status, a = c.do("start", withKilogram)
	require.Equal(t, http.StatusOK, status, a)
	require.NotNil(t, a.State.Walk)
	assert.Equal(t, "zero", a.State.Walk.Step)
	assert.Equal(t, "1 kg, class F2, K-7", a.State.Walk.Weight)
	assert.Equal(t, "0.2 g", a.State.Walk.Limit.Mass().String())
	status, a = c.do("start", withKilogram)
	assert.Equal(t, http.StatusConflict, status, "one at a time")
	assert.Contains(t, a.Sentence, "under way already")
	_, a = c.do("keep", "")
	assert.Contains(t, a.Sentence, "nothing to keep yet")

	c.walk(10001)
	ended := time.Now()
	s = c.state()
	require.NotNil(t, s.Walk.Record)
	assert.Len(t, s.Walk.Readings, 7)
	assert.Contains(t, s.Walk.Verdict, "Passed: at most 0.1 g off, allowed are 0.2 g.")
	assert.Empty(t, c.book.list, "nothing is kept by itself")
	status, a = c.do("keep", "")
	require.Equal(t, http.StatusOK, status, a)
	require.Len(t, c.book.list, 1)
	assert.Nil(t, a.State.Walk)
	assert.Contains(t, a.State.Said, "kept")
	require.NotNil(t, a.State.Last)
	assert.True(t, a.State.Last.Passed)
	assert.False(t, a.State.Overdue)
	assert.Empty(t, a.State.Line, "all is well")
	at := time.UnixMilli(c.book.list[0].AtMS)
	assert.WithinRange(t, at, ended.Add(-2*time.Second), ended, "when the pan was empty again")
	assert.Equal(t, at.AddDate(1, 0, 0).UnixMilli(), a.State.DueMS, "a year later")
	assert.Contains(t, a.State.DueText, "own choice")
	assert.Equal(t, "6000 g", a.State.Plate.Capacity.Mass().String(), "remembered from the last check")
	assert.NotEmpty(t, a.State.Advice)
}

func TestACheckThatIsNotPassedIsSaidOnTheBench(t *testing.T) {
	synctest.Test(t, aCheckThatIsNotPassedIsSaidOnTheBench)
}

func aCheckThatIsNotPassedIsSaidOnTheBench(t *testing.T) {
	c := newChecking(t)
	c.desk.Found("bench scale")
	c.shows(0)
	c.do("start", withKilogram)
	c.walk(10020)
	s := c.state()
	assert.Contains(t, s.Walk.Verdict, "Not passed: It shows 1002 g for 1000 g")
	assert.Contains(t, s.Walk.WhatNow, "check again")
	c.do("keep", "")
	assert.Contains(t, c.state().Line, "was not passed: see Scale")
}

func TestAnOldCheckIsDue(t *testing.T) { synctest.Test(t, anOldCheckIsDue) }

func anOldCheckIsDue(t *testing.T) {
	c := newChecking(t)
	c.book.list = []checkup.Kept{{N: 1, AtMS: time.Now().AddDate(-2, 0, 0).UnixMilli(), Record: checkup.Record{Scale: "bench scale", Passed: true, Class: "II", WeightClass: "F2", Nominal: checkup.Grams(scale.Kilogram)}}}
	c.desk.Found("bench scale")
	s := c.state()
	assert.True(t, s.Overdue)
	assert.Contains(t, s.Line, "has been due for a check since")
	c.desk.Found("another scale")
	assert.Empty(t, c.state().Line, "that one was never checked")
}

// The painter goes first: no check begins while a batch is in the cup, and a
// batch ends a check that is not finished; a finished one waits to be kept.
func TestABatchGoesBeforeACheck(t *testing.T) { synctest.Test(t, aBatchGoesBeforeACheck) }

func aBatchGoesBeforeACheck(t *testing.T) {
	c := newChecking(t)
	c.desk.Found("bench scale")
	c.shows(0)
	running := mix.Batch{ID: "b", State: mix.StateRunning}
	c.desk.Batch(running, nil)
	assert.Contains(t, c.state().NotNow, "A batch is in the cup")
	status, _ := c.do("start", withKilogram)
	assert.Equal(t, http.StatusConflict, status)
	c.desk.Batch(mix.Batch{ID: "b", State: mix.StateComplete}, nil)
	c.do("start", withKilogram)
	require.NotNil(t, c.state().Walk)
	c.desk.Batch(running, nil)
	assert.Nil(t, c.state().Walk)
	assert.Contains(t, c.state().Said, "A batch was started")

	c.desk.Batch(mix.Batch{ID: "b", State: mix.StateAborted}, nil)
	c.do("start", withKilogram)
	c.walk(10000)
	c.desk.Batch(running, nil)
	require.NotNil(t, c.state().Walk, "a finished one stays")
	status, _ = c.do("keep", "")
	assert.Equal(t, http.StatusOK, status)
}

func TestAPressIsDoneOnceAndOnlyOnWhatWasSeen(t *testing.T) {
	synctest.Test(t, aPressIsDoneOnceAndOnlyOnWhatWasSeen)
}

func aPressIsDoneOnceAndOnlyOnWhatWasSeen(t *testing.T) {
	c := newChecking(t)
	c.desk.Found("bench scale")
	c.shows(0)
	seen := c.state().Version
	start := fmt.Sprintf(`{"key":"one","version":%d,"do":"start"%s}`, seen, withKilogram)
	status, _ := c.post(start)
	require.Equal(t, http.StatusOK, status)
	c.shows(0)
	c.shows(10000)
	require.Len(t, c.state().Walk.Readings, 2)
	status, a := c.post(start)
	assert.Equal(t, http.StatusOK, status, "the same key: done already")
	assert.Len(t, a.State.Walk.Readings, 2)
	status, a = c.post(fmt.Sprintf(`{"key":"two","version":%d,"do":"back"}`, seen+1))
	assert.Equal(t, http.StatusConflict, status)
	assert.Equal(t, "stale", a.Code)
	c.do("back", "")
	assert.Len(t, c.state().Walk.Readings, 1)
	c.do("again", "")
	assert.Empty(t, c.state().Walk.Readings)
	_, a = c.do("this-is-it", "")
	assert.Equal(t, "moving", a.Code)
	c.shows(0)
	c.shows(8000)
	c.shows(8000)
	assert.True(t, c.state().Walk.ThisIsIt)
	status, _ = c.do("this-is-it", "")
	assert.Equal(t, http.StatusOK, status)
	assert.Len(t, c.state().Walk.Readings, 2)
	c.do("cancel", "")
	assert.Nil(t, c.state().Walk)
	_, a = c.do("back", "")
	assert.Contains(t, a.Sentence, "No check is under way")
}

func TestAScaleThatGoesAwayDuringACheck(t *testing.T) {
	synctest.Test(t, aScaleThatGoesAwayDuringACheck)
}

func aScaleThatGoesAwayDuringACheck(t *testing.T) {
	c := newChecking(t)
	c.desk.Found("bench scale")
	c.shows(0)
	c.do("start", withKilogram)
	c.shows(0)
	c.desk.Lost()
	assert.Contains(t, c.state().Walk.Waits, "lost")
	c.desk.Found("bench scale")
	c.shows(10000)
	require.Len(t, c.state().Walk.Readings, 2, "it goes on")
	c.desk.Found("another scale")
	assert.Nil(t, c.state().Walk)
	assert.Contains(t, c.state().Said, "Another scale")
}

func TestABookThatFailsKeepsTheCheckOnThePage(t *testing.T) {
	synctest.Test(t, aBookThatFailsKeepsTheCheckOnThePage)
}

func aBookThatFailsKeepsTheCheckOnThePage(t *testing.T) {
	c := newChecking(t)
	c.desk.Found("bench scale")
	c.shows(0)
	c.do("start", withKilogram)
	c.walk(10000)
	c.book.err = errors.New("the disk is full")
	status, a := c.do("keep", "")
	assert.Equal(t, http.StatusServiceUnavailable, status)
	assert.Contains(t, a.Sentence, "it is still here: the disk is full")
	c.book.err = nil
	status, _ = c.do("keep", "")
	assert.Equal(t, http.StatusOK, status)
	assert.Len(t, c.book.list, 1)
}

func TestWhatACheckRefuses(t *testing.T) { synctest.Test(t, whatACheckRefuses) }

func whatACheckRefuses(t *testing.T) {
	c := newChecking(t)
	c.desk.Found("bench scale")
	c.shows(0)
	for _, x := range []struct {
		body   string
		status int
		says   string
	}{
		{`{"version":0,"do":"back"}`, 400, "needs a key"},
		{`{"key":"a","do":"jump"}`, 400, "not known"},
		{`{"key":"a","do":"start"}`, 400, "only a start"},
		{`{"key":"a","do":"back","start":{}}`, 400, "only a start"},
		{`{"key":"a","do":"start","start":{"weight_nominal_g":1000,"weight_class":"X"}}`, 400, "X"},
		{`{"key":"a","do":"start","start":{"weight_nominal_g":"1","weight_class":"F2"}}`, 400, "grams"},
		{`{"key":"a","do":"start","start":{"class":"V","weight_nominal_g":1000,"weight_class":"F2"}}`, 400, "plate"},
		{`{"key":"a","do":"start","start":{"capacity_g":-1,"weight_nominal_g":1000,"weight_class":"F2"}}`, 400, "above 0"},
		{`{"key":"a","do":"start","start":{"weight_nominal_g":1000,"weight_class":"F2","weight_id":"a\u0007"}}`, 400, "printable"},
		{`{"key":"a","do":"start","start":{"capacity_g":6000,"weight_nominal_g":1000,"weight_class":"M3"}}`, 422, "use class M1 or finer"},
		{`{"key":"a","do":"start","start":{"weight_nominal_g":1000,"weight_class":"F2"}}`, 422, "plate as Max"},
	} {
		status, a := c.post(x.body)
		assert.Equal(t, x.status, status, x.body)
		assert.Contains(t, strings.ToLower(a.Sentence), strings.ToLower(x.says), x.body)
		assert.False(t, a.OK)
	}
	resp, _ := c.send(http.MethodPut, "/api/scale/check", "", nil)
	assert.Equal(t, http.StatusMethodNotAllowed, resp.StatusCode)
	resp, _ = c.send(http.MethodPost, "/api/scale/check", `{"key":"a","do":"cancel"}`, func(r *http.Request) { r.Header.Set("Origin", "http://elsewhere.example") })
	assert.Equal(t, http.StatusForbidden, resp.StatusCode)
	resp, _ = c.send(http.MethodPost, "/api/scale/check", `{"key":"a","do":"cancel"}`, func(r *http.Request) { r.Header.Del("Cookie") })
	assert.Equal(t, http.StatusForbidden, resp.StatusCode)
}

func TestAdviceForAPlate(t *testing.T) { synctest.Test(t, adviceForAPlate) }

func adviceForAPlate(t *testing.T) {
	c := newChecking(t)
	c.desk.Found("bench scale")
	c.shows(0)
	resp, body := c.send(http.MethodGet, "/api/scale/check?capacity_g=6000", "", nil)
	require.Equal(t, http.StatusOK, resp.StatusCode, body)
	var s CheckState
	require.NoError(t, json.Unmarshal([]byte(body), &s))
	assert.Equal(t, "II", s.Plate.Guess)
	require.Len(t, s.Advice, 6)
	assert.Equal(t, []string{"E1", "E2", "F1", "F2", "M1"}, s.Advice[3].Fits)
	assert.Contains(t, s.Usual, "F1 or F2")
	for _, q := range []string{"?capacity_g=much", "?capacity_g=-3", "?class=V"} {
		resp, _ = c.send(http.MethodGet, "/api/scale/check"+q, "", nil)
		assert.Equal(t, http.StatusBadRequest, resp.StatusCode, q)
	}
}

// Many pages ask and press while readings come: for the race detector.
func TestPagesAndReadingsAtOnce(t *testing.T) { synctest.Test(t, pagesAndReadingsAtOnce) }

func pagesAndReadingsAtOnce(t *testing.T) {
	c := newChecking(t)
	c.desk.Found("bench scale")
	c.shows(0)
	c.do("start", withKilogram)
	var all sync.WaitGroup
	now := time.Now()
	all.Go(func() {
		for i := range 200 {
			c.desk.Reading(now.Add(time.Duration(i)*100*time.Millisecond), scale.Reading{Number: scale.Decimal{Coefficient: uint64(i%40) / 20 * 10000, Places: 1}, HasNumber: true, Unit: scale.UnitGram})
		}
	})
	for page := range 4 {
		all.Go(func() {
			for i := range 20 {
				_, err := c.desk.state(time.Now(), nil)
				assert.NoError(t, err)
				_, err = c.desk.do(time.Now(), CheckBody{Key: fmt.Sprint(page, i), Version: c.desk.versionNow(), Do: checkBack}, checkup.Setup{})
				assert.NoError(t, err)
			}
		})
	}
	all.Wait()
}

func (d *CheckDesk) versionNow() uint64 {
	d.mu.Lock()
	defer d.mu.Unlock()
	return d.version
}
