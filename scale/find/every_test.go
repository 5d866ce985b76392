package find_test

import (
	"fmt"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"gramcup/scale"
	"gramcup/scale/find"
	"gramcup/simulator"
)

// unitless are the shapes whose lines say no unit.
var unitless = map[string]bool{"bare-g": true, "bare-8-g": true, "bare-dollar-g": true, "reversed-g": true, "xor-digits-g": true, "framed-short-g": true}

// TestEveryShapeAtEveryUsualSetting: within ten seconds, by listening and, where
// the shape has an ask, by asking.
func TestEveryShapeAtEveryUsualSetting(t *testing.T) {
	for _, c := range shapes() {
		for _, s := range usual {
			for _, onRequest := range []bool{false, true} {
				if onRequest && !hasAsk(c) {
					continue
				}
				name := fmt.Sprintf("%s %s request %v", c.Name(), s, onRequest)
				b := simulator.New(simulator.Options{Codec: c, OnRequest: onRequest, FrameEvery: 200 * time.Millisecond})
				b.PlaceCup(185)
				b.Tick(3 * time.Second)
				b.Drain(nil)
				w := &lineWire{link: simulator.NewUARTLink(b, simulator.UARTOptions{Far: uart(s)})}
				r, err := find.Find(w, find.Options{})
				require.NoError(t, err)
				j := judge(r, c, uart(s), false, onRequest, b.Reading(), w.link.Sent())
				assert.True(t, j.found, "%s: %s %s %v %s", name, r.Line, r.Sure, r.Why, r.Settles)
				assert.False(t, j.wrong, "%s: %s, %s", name, r.Line, j.how)
				assert.Equal(t, onRequest, r.Asked, name)
				if unitless[c.Name()] {
					assert.True(t, r.TellUnit, name)
					assert.Equal(t, scale.UnitNone, r.Unit, name)
					assert.Contains(t, r.Settles, "known weight", name)
				} else {
					assert.Equal(t, scale.UnitGram, r.Unit, name)
					assert.Equal(t, 100*scale.Milligram, r.Division, name)
				}
				assert.LessOrEqual(t, r.Spent, 10*time.Second)
				assert.LessOrEqual(t, w.link.Now(), 10*time.Second, "time passes only in Listen")
				if testing.Verbose() {
					fmt.Printf("%-50s %-22s %-8s %-9s %5.2f s %v %v\n", name, r.Line, r.Setting, r.Sure, r.Spent.Seconds(), r.Division, r.Why)
				}
			}
		}
	}
}
