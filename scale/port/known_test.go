package port

import (
	"encoding/json"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"gramcup/scale"
)

func known() Known {
	return Known{Identity: "/dev/serial/by-id/a", USB: "1234:0001:A", Shape: "sma", Unit: "g", Places: []int{1},
		About: []string{"MFG:simulated", "SN :5", "CAP:g  :6000.0:1:1"}}
}

func TestCompareInWords(t *testing.T) {
	for name, c := range map[string]struct {
		change func(*Known)
		want   Difference
		reason string
	}{
		"the same":                    {func(*Known) {}, SameScale, ""},
		"nothing said about itself":   {func(k *Known) { k.About = nil }, SameScale, ""},
		"another socket":              {func(k *Known) { k.Identity, k.About = "/dev/serial/by-path/x", nil }, SameScale, ""},
		"its number on another port":  {func(k *Known) { k.Identity, k.USB = "/dev/ttyS1", "" }, SameScale, ""},
		"another unit":                {func(k *Known) { k.Unit, k.Places = "oz", []int{2} }, OtherUnit, "the scale shows oz, before it showed g"},
		"coarser":                     {func(k *Known) { k.Places = []int{0} }, AnotherScale, "it shows 1 g steps, the one before 0.1 g steps"},
		"finer":                       {func(k *Known) { k.Places = []int{2} }, AnotherScale, "it shows 0.01 g steps, the one before 0.1 g steps"},
		"another shape":               {func(k *Known) { k.Shape = "csv" }, AnotherScale, "its lines are of the shape csv, those of the one before were sma"},
		"another number":              {func(k *Known) { k.About = []string{"SN :6"} }, AnotherScale, "its number is 6, that of the one before was 5"},
		"another number, other unit":  {func(k *Known) { k.About, k.Unit = []string{"SN :6"}, "oz" }, AnotherScale, "its number is 6, that of the one before was 5"},
		"another capacity":            {func(k *Known) { k.About = []string{"CAP:g  :3000.0:1:1"} }, AnotherScale, "its capacity is g  :3000.0:1:1, that of the one before was g  :6000.0:1:1"},
		"another adaptor, no numbers": {func(k *Known) { k.Identity, k.USB, k.About = "/dev/b", "", nil }, AnotherScale, "it hangs on /dev/b, the one before on /dev/serial/by-id/a"},
	} {
		seen := known()
		c.change(&seen)
		what, why := known().Compare(seen)
		assert.Equal(t, c.want, what, name)
		assert.Equal(t, c.reason, why, name)
	}
	two := known()
	two.Places = []int{0, 1}
	coarse := known()
	coarse.Places = []int{0}
	what, _ := two.Compare(coarse)
	assert.Equal(t, SameScale, what, "a scale with two ranges comes back with a load on it")
	_, why := two.Compare(Known{Identity: two.Identity, Shape: "sma", Unit: "g", Places: []int{2}})
	assert.Equal(t, "it shows 0.01 g steps, the one before 1 g and 0.1 g steps", why)
}

func TestKnownSurvivesJSON(t *testing.T) {
	body, err := json.Marshal(known())
	require.NoError(t, err)
	var back Known
	require.NoError(t, json.Unmarshal(body, &back))
	assert.Equal(t, known(), back)
	assert.True(t, Known{}.IsZero())
	assert.Equal(t, []string{"SN :5"}, keepTelling([]string{"SMA:2/1.0\r", "\nSN :5\r", "REV:1", "END:"}))
}

// gateDiary is a diary that also hears of scales that are kept out.
type gateDiary struct{ *diary }

func (d gateDiary) KeptOut(at time.Time, reason string, stranger bool) {
	what := "unit"
	if stranger {
		what = "stranger"
	}
	d.add(event{what: what, at: at, text: reason})
}

// remembered keeps what a Port gave to Remember.
type remembered struct{ all []Known }

// shows sets what the bench scale sends: so many decimals of a unit.
func (b *benchScale) shows(places int, unit scale.Unit) {
	b.set(func(b *benchScale) { b.fewer, b.unit = 1-places, unit })
}

func gated(t *testing.T, b *benchScale, k Known) (p *Port, d gateDiary, r *remembered, stop func()) {
	d, r = gateDiary{newDiary(t)}, &remembered{}
	p, stop = start(t, Config{Open: b.pipes(), Identity: "bench", Codec: smaCodec(), Stream: true, Known: k,
		Remember: func(k Known) { r.all = append(r.all, k) }}, d)
	return p, d, r, stop
}

func benchKnown() Known {
	return Known{Identity: "bench", Shape: "sma", Unit: "g", Places: []int{1}}
}

func TestTheFirstScaleIsRemembered(t *testing.T) {
	bubble(t, func(t *testing.T) {
		_, d, r, stop := gated(t, &benchScale{codec: smaCodec(), tenths: 4126}, Known{})
		time.Sleep(ms(1010))
		stop()
		assert.Equal(t, []Known{benchKnown()}, r.all, "once")
		assert.Len(t, d.all("found"), 1)
	})
}

// A known scale passes with its first frame: being remembered costs no time.
func TestAKnownScalePassesAtOnce(t *testing.T) {
	bubble(t, func(t *testing.T) {
		begin := time.Now()
		_, d, r, stop := gated(t, &benchScale{codec: smaCodec(), tenths: 4126, every: ms(70)}, benchKnown())
		time.Sleep(ms(1010))
		stop()
		assert.Equal(t, begin.Add(ms(350)), d.all("found")[0].at)
		assert.Empty(t, r.all, "nothing new")
	})
}

func TestAStrangerIsKeptOutUntilItIsTaken(t *testing.T) {
	bubble(t, func(t *testing.T) {
		b := &benchScale{codec: smaCodec(), tenths: 412}
		b.shows(0, scale.UnitGram)
		p, d, r, stop := gated(t, b, benchKnown())
		assert.ErrorIs(t, p.Take(), ErrNoStranger, "nothing answers yet")
		time.Sleep(ms(10_010))
		const why = "Another scale answers on this line: it shows 1 g steps, the one before 0.1 g steps. Put the old one back, or take this one on the Scale page."
		kept := d.all("stranger")
		require.Len(t, kept, 1, "told once")
		assert.Equal(t, why, kept[0].text)
		assert.Empty(t, d.all("found", "reading", "lost"), "nothing that it says is passed on")
		who, ok := p.Stranger()
		require.True(t, ok)
		assert.Equal(t, why, who.Reason)
		assert.Equal(t, []int{0}, who.Seen.Places)
		assert.Equal(t, why, p.Stats().Problem)
		assert.Equal(t, uint64(1), p.Stats().Opens, "it is there: nothing is reopened")
		assert.ErrorIs(t, p.Ask(scale.RequestTare), ErrLost, "it is asked for nothing")
		assert.Empty(t, r.all)

		taken := time.Now()
		require.NoError(t, p.Take())
		time.Sleep(ms(500))
		assert.Equal(t, taken, d.all("found")[0].at)
		assert.NotEmpty(t, d.all("reading"))
		_, ok = p.Stranger()
		assert.False(t, ok)
		assert.Empty(t, p.Stats().Problem)
		require.Len(t, r.all, 1)
		assert.Equal(t, []int{0}, r.all[0].Places)
		assert.ErrorIs(t, p.Take(), ErrNoStranger)
		k, ok := p.Known()
		assert.True(t, ok)
		assert.Equal(t, r.all[0], k)
		stop()
	})
}

// The plug of an RS-232 cable is moved to another scale and back without the
// line noticing.
func TestSwappedOnALiveLine(t *testing.T) {
	bubble(t, func(t *testing.T) {
		b := &benchScale{codec: smaCodec(), tenths: 4126}
		p, d, _, stop := gated(t, b, benchKnown())
		time.Sleep(ms(1010))
		b.set(func(b *benchScale) { b.mute = true })
		time.Sleep(ms(1500))
		b.set(func(b *benchScale) { b.mute, b.fewer = false, -1 })
		readings := len(d.all("reading"))
		time.Sleep(ms(1000))
		assert.Len(t, d.all("reading"), readings)
		assert.Len(t, d.all("lost"), 1)
		assert.Len(t, d.all("stranger"), 1)
		b.set(func(b *benchScale) { b.fewer = 0 })
		time.Sleep(ms(1000))
		assert.Len(t, d.all("found"), 2, "the old one is back")
		_, ok := p.Stranger()
		assert.False(t, ok)
		stop()
	})
}

// A scale with two ranges changes its decimals while it is looked at; it is
// known by both from then on.
func TestTwoRangesAreLearned(t *testing.T) {
	bubble(t, func(t *testing.T) {
		b := &benchScale{codec: smaCodec(), tenths: 4126}
		_, d, r, stop := gated(t, b, benchKnown())
		time.Sleep(ms(1010))
		before := len(d.all("reading"))
		b.shows(0, scale.UnitGram)
		time.Sleep(ms(1000))
		b.shows(1, scale.UnitGram)
		time.Sleep(ms(1000))
		stop()
		assert.Len(t, d.all("reading"), before+19, "all but the first of the new kind")
		require.Len(t, r.all, 1)
		assert.Equal(t, []int{0, 1}, r.all[0].Places)
		assert.Empty(t, d.all("lost", "stranger"))
	})
}

// The unit key was pressed while the cable was out: that is no stranger.
func TestUnitChangedWhileAway(t *testing.T) {
	bubble(t, func(t *testing.T) {
		b := &benchScale{codec: smaCodec(), tenths: 4126}
		b.shows(2, scale.UnitOunce)
		p, d, _, stop := gated(t, b, benchKnown())
		time.Sleep(ms(2010))
		told := d.all("unit")
		require.Len(t, told, 1)
		assert.Equal(t, "The scale shows oz, before it showed g. Set it back to g on the scale, or keep it in oz on the Scale page.", told[0].text)
		_, ok := p.Stranger()
		assert.False(t, ok)
		assert.Empty(t, d.all("found", "reading", "stranger", "bad"))
		b.shows(1, scale.UnitGram)
		time.Sleep(ms(1000))
		assert.Len(t, d.all("found"), 1, "set back")
		assert.NotEmpty(t, d.all("reading"))
		stop()
	})
}

// An unplugged stranger is no stranger any more.
func TestAStrangerThatGoes(t *testing.T) {
	bubble(t, func(t *testing.T) {
		b := &benchScale{codec: smaCodec(), tenths: 4126}
		b.shows(0, scale.UnitGram)
		p, d, _, stop := gated(t, b, benchKnown())
		time.Sleep(ms(2010))
		b.set(func(b *benchScale) { b.mute = true })
		time.Sleep(ms(3100))
		assert.Len(t, d.all("stranger"), 1)
		require.Len(t, d.all("lost"), 1)
		_, ok := p.Stranger()
		assert.False(t, ok)
		assert.ErrorIs(t, p.Take(), ErrNoStranger)
		stop()
	})
}

// What a scale says about itself may come after it was let in.
func TestAboutTellsAStranger(t *testing.T) {
	bubble(t, func(t *testing.T) {
		k := benchKnown()
		k.About = []string{"SN :5"}
		p, d, r, stop := gated(t, &benchScale{codec: smaCodec(), tenths: 4126}, k)
		time.Sleep(ms(1010))
		say := func(lines ...string) {
			p.sinkMu.Lock()
			p.current.Load().heardAbout(lines)
			p.sinkMu.Unlock()
		}
		say("SN :5", "MOD:bench")
		require.Len(t, r.all, 1)
		assert.Equal(t, []string{"SN :5", "MOD:bench"}, r.all[0].About)
		say("SN :6", "MOD:bench")
		time.Sleep(ms(1010))
		assert.Len(t, d.all("lost"), 1)
		require.Len(t, d.all("stranger"), 1)
		assert.Contains(t, d.all("stranger")[0].text, "its number is 6, that of the one before was 5")
		assert.Len(t, d.all("found"), 1)
		stop()
	})
}

// A scale that is met for the first time is asked what it is; where its port
// does not tell it from others, it is asked again before it is let in.
func TestWhatItSaysAboutItself(t *testing.T) {
	bubble(t, func(t *testing.T) {
		begin := time.Now()
		b := &benchScale{codec: smaCodec(), tenths: 4126, every: ms(70), about: []string{"SMA:2/1.0", "MOD:bench", "SN :5", "END:"}}
		_, d, r, stop := gated(t, b, Known{})
		time.Sleep(ms(1010))
		stop()
		assert.Equal(t, []scale.Request{scale.RequestReset, scale.RequestAbout, scale.RequestAboutNext, scale.RequestAboutNext,
			scale.RequestAboutNext, scale.RequestInfo, scale.RequestStream}, b.requests())
		require.Len(t, r.all, 1)
		assert.Equal(t, []string{"MOD:bench", "SN :5"}, r.all[0].About)
		assert.Equal(t, begin.Add(ms(350)), d.all("found")[0].at, "answers that come at once cost no time")
		assert.Empty(t, d.all("answer"), "nobody else asked")

		b.about[2] = "SN :6"
		p, d, again, stop := gated(t, b, r.all[0])
		time.Sleep(ms(1010))
		assert.Empty(t, d.all("found", "reading"), "a twin in all but its number")
		who, ok := p.Stranger()
		require.True(t, ok)
		assert.Contains(t, who.Reason, "its number is 6, that of the one before was 5")
		require.NoError(t, p.Take())
		stop()
		require.Len(t, again.all, 1)
		assert.Equal(t, []string{"MOD:bench", "SN :6"}, again.all[0].About)
	})
}

// A known scale that gives no answer is waited for 300 ms and no longer, and
// one on a port with a number of its own is not asked at all.
func TestTheQuestionIsBounded(t *testing.T) {
	bubble(t, func(t *testing.T) {
		k := benchKnown()
		k.About = []string{"SN :5"}
		b := &benchScale{codec: smaCodec(), tenths: 4126, every: ms(70), silentAbout: true}
		begin := time.Now()
		_, d, _, stop := gated(t, b, k)
		time.Sleep(ms(1010))
		stop()
		assert.Equal(t, []scale.Request{scale.RequestReset, scale.RequestAbout, scale.RequestStream}, b.requests())
		assert.LessOrEqual(t, d.all("found")[0].at.Sub(begin), ms(300+300+70))

		b.heard = nil
		k.Identity = "/dev/serial/by-id/usb-bench"
		d = gateDiary{newDiary(t)}
		_, stop = start(t, Config{Open: b.pipes(), Identity: k.Identity, Codec: smaCodec(), Stream: true, Known: k, Remember: func(Known) {}}, d)
		time.Sleep(ms(1010))
		stop()
		assert.Equal(t, []scale.Request{scale.RequestReset, scale.RequestStream}, b.requests())
		assert.Len(t, d.all("found"), 1)
	})
}
