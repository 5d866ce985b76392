package simulator

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"gramcup/scale"
)

// The control characters are those of the protocol page that the codec names.
func TestTheDialogueOfAHandshake(t *testing.T) {
	b := New(Options{Codec: scale.Handshake{}, OnRequest: true, Unit: scale.UnitKilogram})
	b.PlaceCup(412.6)
	b.Tick(3 * time.Second)
	require.Empty(t, b.Drain(nil), "silent until asked")
	hear := func(s string, after time.Duration) string {
		b.Send([]byte(s))
		b.Tick(after)
		return string(b.Drain(nil))
	}
	assert.Empty(t, hear("\x11", 2*Step), "nobody has asked")
	assert.Equal(t, "\x06", hear("\x05", 2*Step))
	frame := hear("\x11", 2*Step)
	r, err := scale.Handshake{}.Decode([]byte(frame))
	require.NoError(t, err)
	assert.Equal(t, scale.MotionStill, r.Motion)
	assert.Equal(t, b.Reading().Number, r.Number)
	assert.Empty(t, hear("\x11", 2*Step), "once")
	assert.Equal(t, "\x06", hear("\x05", stepWait))
	assert.Empty(t, hear("\x11", 2*Step), "too late")
	assert.Equal(t, "\x06"+frame+"\x06"+frame, hear("\x05\x11\x05\x11", 2*Step), "both at once")
}

func TestOtherShapesAnswerAtOnce(t *testing.T) {
	for _, c := range append(scale.Codecs(), scale.Variants()...) {
		request, ok := c.Request(nil, scale.RequestWeight)
		if _, dialogue := c.(scale.Replier); !ok || dialogue {
			continue
		}
		b := New(Options{Codec: c, OnRequest: true})
		b.Send(request)
		b.Tick(2 * Step)
		readings, bad := heard(t, c, b.Drain(nil))
		assert.Zero(t, bad, c.Name())
		assert.NotEmpty(t, readings, c.Name())
	}
}
