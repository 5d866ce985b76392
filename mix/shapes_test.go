package mix_test

import (
	"errors"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"gramcup/mix"
	"gramcup/scale"
	"gramcup/simulator"
)

// everyShape is each family of lines, with the settings that a number without a
// unit needs.
func everyShape() []scale.Codec {
	all := append(scale.Codecs(), scale.Variants()...)
	return append(all, scale.Bare{Unit: scale.UnitGram}, scale.Reversed{Unit: scale.UnitGram}, scale.Labelled{})
}

// tareWay is what comes of asking a scale for a tare.
type tareWay struct {
	name string
	ask  func(s *station, r scale.Request) error
}

func tareWays() []tareWay {
	return []tareWay{
		{"obeys", (*station).ask},
		{"ignores it", func(*station, scale.Request) error { return nil }},
		{"can not be asked", func(*station, scale.Request) error { return errors.ErrUnsupported }},
		{"obeys while the pan swings", func(s *station, r scale.Request) error {
			s.sim.Inject(simulator.FaultBump, 0)
			s.sim.Tick(simulator.Step)
			return s.ask(r)
		}},
	}
}

// TestEveryShapeWithEveryTare pours a whole batch on every shape of line: with
// the scale's own tare where the shape has a command for it, and with the bench's
// arithmetic where it has none, or the scale does nothing. Whatever the way, the
// cup must hold what the book says.
func TestEveryShapeWithEveryTare(t *testing.T) {
	recipe := recipeOf(t, "2:1", "1.1,0.95")
	seen := map[string]bool{}
	for _, codec := range everyShape() {
		if seen[codec.Name()] {
			continue
		}
		seen[codec.Name()] = true
		_, hasTare := codec.Request(nil, scale.RequestTare)
		for _, way := range tareWays() {
			t.Run(codec.Name()+", "+way.name, func(t *testing.T) {
				s := newStation(t, simulator.Options{Seed: 11, Preset: simulator.DecentBench(), Codec: codec}, true)
				s.asks = way.ask
				require.NoError(t, s.start(recipe, volume(200)))
				require.NoError(t, s.run(time.Minute, func() bool { return s.b.Phase == mix.PhasePour }))
				assert.InDelta(t, 180, s.b.Cup.Grams(), 0.3, "the empty cup")
				own := hasTare && strings.HasPrefix(way.name, "obeys")
				assert.Equal(t, !own, s.b.Software, "by the scale's own tare where there is one")
				moving, guided := 0, 0
				require.NoError(t, s.run(3*time.Minute, func() bool {
					if s.live.FlowGS > 3 {
						moving++
						if s.live.Valid && s.live.Cue != mix.CueWait {
							guided++
						}
					}
					return s.b.Phase == mix.PhaseStir
				}))
				assert.Greater(t, guided, 100, "the hand is led while it pours")
				assert.Equal(t, moving, guided)
				poured := s.sim.True()
				for i, l := range s.b.Layers[:2] {
					assert.InDelta(t, poured[i], l.Poured.Grams(), 0.5, "component %d: the book says what the cup holds", i)
				}
				assert.True(t, s.b.OnTheLine())
				require.NoError(t, s.run(time.Minute, func() bool { return s.b.State == mix.StateComplete }))
			})
		}
	}
	assert.GreaterOrEqual(t, len(seen), 25)
}

// TestOverloadInMidPour leans on the pan in the middle of a pour, on shapes that
// have a word for it. Nothing is accepted meanwhile, the reason is told, and the
// pour goes on to its line. (What else is no weight, under-range among it, is held
// against every phase in TestReadingsThatAreNoWeight.)
func TestOverloadInMidPour(t *testing.T) {
	for _, codec := range []scale.Codec{scale.SMA{}, scale.CSV{}, scale.Header{}, scale.Letters{}, scale.Echo{}, scale.Signed{}, scale.Polled{}, scale.StatusBytes{}} {
		t.Run(codec.Name(), func(t *testing.T) {
			s := newStation(t, simulator.Options{Seed: 3, Preset: simulator.DecentBench(), Codec: codec}, true)
			require.NoError(t, s.start(recipeOf(t, "2:1", "1.1,0.95"), volume(200)))
			require.NoError(t, s.run(time.Minute, func() bool { return s.live.Amount > 40*scale.Gram }))
			s.sim.Inject(simulator.FaultOverload, 6*time.Second)
			s.wait(time.Second)
			seq := s.b.Seq
			for range 450 {
				s.tick()
				require.Equal(t, seq, s.b.Seq, "nothing is decided while somebody leans on the pan")
				require.False(t, s.live.Valid)
				require.Equal(t, mix.CueWait, s.live.Cue, "hands off")
			}
			require.NotNil(t, s.command(mix.VerbKeep, nil).Refused, "nor by a press")
			assert.Equal(t, mix.TroubleOver, s.live.Trouble)
			require.NoError(t, s.run(3*time.Minute, func() bool { return s.b.Phase == mix.PhaseStir }))
			poured := s.sim.True()
			for i, l := range s.b.Layers[:2] {
				assert.InDelta(t, poured[i], l.Poured.Grams(), 0.5)
			}
			assert.True(t, s.b.OnTheLine())
		})
	}
}
