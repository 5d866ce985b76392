package port

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"gramcup/scale"
)

// bareScale sends numbers without a unit, ten a second.
type bareScale struct {
	p *Port
	s *session
	d gateDiary
	r *remembered
	n int
}

func newBareScale(t *testing.T, shape string) *bareScale {
	codec, err := scale.CodecByName(shape)
	require.NoError(t, err)
	b := &bareScale{d: gateDiary{newDiary(t)}, r: &remembered{}}
	b.p = New(Config{Codec: codec, Identity: "bench", Remember: func(k Known) { b.r.all = append(b.r.all, k) }}, b.d)
	b.s = newSession(b.p, nil)
	b.send("0.0", "0.0", "0.0")
	return b
}

func (b *bareScale) send(numbers ...string) {
	for _, text := range numbers {
		d, err := scale.ParseDecimal(text)
		if err != nil {
			panic(err)
		}
		b.n++
		frame := b.s.p.cfg.Codec.Encode(nil, scale.Reading{HasNumber: true, Unit: scale.UnitGram, Mode: scale.ModeGross, Motion: scale.MotionStill, Number: d})
		b.s.feed(b.p.started.Add(time.Duration(b.n)*100*time.Millisecond), frame)
	}
}

// shown is what the bench was told since the last time.
func (b *bareScale) shown() (numbers []string) {
	b.d.mu.Lock()
	defer b.d.mu.Unlock()
	for _, e := range b.d.events {
		if e.what == "reading" {
			d := e.reading.Number
			d.Lead = 1 // without the zeros that some shapes fill up with
			numbers = append(numbers, d.String())
		}
	}
	b.d.events = nil
	return numbers
}

func (b *bareScale) told() (reasons []string) {
	for _, e := range b.d.all("unit", "stranger") {
		reasons = append(reasons, e.text)
	}
	return reasons
}

func TestWhichShapesSayTheirUnit(t *testing.T) {
	silent := map[string]bool{}
	for _, c := range everyShape() {
		if !scale.SaysUnit(c) {
			silent[c.Name()] = true
		}
	}
	assert.Equal(t, map[string]bool{"xor-digits-g": true, "reversed-g": true, "framed-short-g": true, "bare-g": true, "bare-8-g": true, "bare-dollar-g": true}, silent)
	for pattern, says := range map[string]bool{`(?P<value>[0-9.]+)`: false, `(?P<value>[0-9.]+)(?P<unit>.*)`: true} {
		o, err := scale.NewOwn(scale.OwnLine{Pattern: pattern, Unit: "g"})
		require.NoError(t, err)
		assert.Equal(t, says, scale.SaysUnit(o), pattern)
	}
	kg, err := scale.CodecByName("status-bytes-kg")
	require.NoError(t, err)
	assert.False(t, scale.SaysUnit(kg), "its bits are not believed")
}

// Somebody presses the unit key. The lines do not say it, and no number in the
// other unit is shown in grams.
func TestTheUnitKeyOnAShapeWithoutAUnit(t *testing.T) {
	for _, shape := range []string{"bare-g", "framed-short-g", "xor-digits-g", "reversed-g"} {
		for name, c := range map[string]struct {
			before, after, says string
		}{
			"to ounces":                 {"412.6", "14.554", "0.001 steps, before it showed 0.1 g steps"},
			"to kilograms":              {"412.6", "0.4126", "0.0001 steps"},
			"to pounds at an empty pan": {"0.0", "0.0000", "0.0001 steps"},
			"to grains, fewer decimals": {"412.6", "6367", "1 steps"},
			"to milligrams":             {"12.6", "12600", "1 steps"},
			"less than it was":          {"412.6", "380", "1 steps"},
			"two decimals fewer":        {"4.60", "92", "1 steps"},
		} {
			name = shape + " " + name
			b := newBareScale(t, shape)
			if c.before == "4.60" { // another scale
				b.p.known = Known{}
				b.s.read.gate = gate{}
			}
			b.send(c.before, c.before, c.before)
			b.shown()
			learned := len(b.r.all)
			b.send(c.after, c.after, c.after, c.after, c.after, c.after)
			assert.Empty(t, b.shown(), "%s: not one of them is a weight", name)
			assert.Len(t, b.r.all, learned, "%s: nothing is learned", name)
			b.send(c.after, c.after)
			require.NotNil(t, b.p.refusal, name)
			assert.Contains(t, b.p.refusal.stranger.Reason, c.says, name)
			assert.Contains(t, b.p.refusal.stranger.Reason, "its lines do not say their unit, so it may show another one than g. Set it back to g on the scale, or say on the Scale page that it shows g.", name)
			_, stranger := b.p.Stranger()
			assert.False(t, stranger, "%s: it is to be set back", name)

			b.send(c.before, c.before, c.before)
			assert.NotEmpty(t, b.shown(), "%s: set back, it is let in by itself", name)
			assert.Nil(t, b.p.refusal, name)
		}
	}
}

// A person looks at the display and says that it is grams all the same: both
// counts of decimals belong to the scale from then on.
func TestAPersonSettlesTheUnit(t *testing.T) {
	b := newBareScale(t, "bare-g")
	b.send("412.6", "412.6", "380", "380", "380")
	require.Len(t, b.told(), 1)
	require.NoError(t, b.p.Take())
	b.shown()
	b.send("380", "380", "412.6", "412.6", "380", "380")
	assert.Equal(t, []string{"380", "380", "412.6", "412.6", "380", "380"}, b.shown())
	assert.Equal(t, []int{0, 1}, b.r.all[len(b.r.all)-1].Places)
	assert.Empty(t, b.told())
}

// A real scale with two ranges: coarser steps of the same unit above 3 kg.
func TestTwoRangesWithoutAUnit(t *testing.T) {
	for name, up := range map[string][]string{
		"a pour over the border":   {"2999.2", "2999.7", "3001", "3002", "3002"},
		"a load that is put on":    {"500.0", "500.0", "3204", "3204", "3204"},
		"the first load":           {"0.0", "0.0", "3204", "3204", "3204"},
		"over it and back at once": {"2999.9", "3001", "2999.8", "3001", "3002"},
	} {
		b := newBareScale(t, "xor-digits-g")
		b.send(up...)
		b.send("2998.8", "0.0", "0.0", "3204", "3204")
		assert.Empty(t, b.told(), name)
		assert.Equal(t, []int{0, 1}, b.r.all[len(b.r.all)-1].Places, name)
		shown := b.shown()
		assert.Equal(t, []string{"2998.8", "0.0", "0.0", "3204", "3204"}, shown[len(shown)-5:], name)
		assert.GreaterOrEqual(t, len(shown), 3+len(up)-2+5, "%s: one line at most is waited for", name)

		// And its unit key is still noticed, although its decimals are known.
		b.send("412.6", "412.6", "412.6")
		b.shown()
		b.send("6367", "6367", "6367", "6367")
		assert.Empty(t, b.shown(), name)
		b.send("6367", "412.6", "412.6")
		assert.Equal(t, []string{"412.6", "412.6"}, b.shown(), name)
	}
}

// A change of load is not taken for a unit but by a rare chance.
func TestAFactorIsRare(t *testing.T) {
	explained := 0
	for grams := 60; grams < 6000; grams++ {
		after := scale.Mass(grams) * scale.Gram
		if factorOf(scale.UnitGram, 250*scale.Gram, after, 1, 0, true) {
			explained++
		}
	}
	assert.Less(t, explained, 60, "one in a hundred")
	assert.Greater(t, explained, 0, "carats are among them")
}

// After a silence the plug may have been moved: then the sentence names both.
func TestAStrangerWithoutAUnit(t *testing.T) {
	b := newBareScale(t, "bare-g")
	b.send("412.6", "412.6")
	b.n += 15
	b.send("14.554", "14.554", "14.554", "14.554")
	require.Len(t, b.told(), 1)
	assert.Equal(t, "Another scale answers on this line, or this one in another unit than g, which its lines do not say: it shows 0.001 g steps, the one before 0.1 g steps. Put the old one back, set its unit back, or take this one on the Scale page if it shows g.", b.told()[0])
}
