package port

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"

	"gramcup/scale"
)

// listening is a session as it stands once a scale was found, without a wire.
func listening(codec scale.Codec) (s *session, sink *counter, frame []byte) {
	sink = &counter{}
	p := New(Config{Codec: codec}, sink)
	s = newSession(p, nil)
	frame = codec.Encode(nil, scale.Reading{
		HasNumber: true, Unit: scale.UnitGram, Mode: scale.ModeGross, Motion: scale.MotionStill,
		Number: scale.Decimal{Coefficient: 4126, Places: 1, Lead: 3},
	})
	for range 2 { // the first may be taken for the rear half of a line
		s.feed(time.Now(), frame)
	}
	return s, sink, frame
}

func TestAGoodFrameCostsNoMemory(t *testing.T) {
	for _, codec := range scale.Codecs() {
		t.Run(codec.Name(), func(t *testing.T) {
			s, sink, frame := listening(codec)
			half := len(frame) / 2
			assert.Zero(t, testing.AllocsPerRun(1000, func() {
				at := time.Now()
				s.feed(at, frame)
				s.feed(at, frame[:half])
				s.feed(at, frame[half:])
			}))
			assert.Equal(t, 4126*scale.Gram/10, sink.mass)
			assert.GreaterOrEqual(t, s.p.Stats().GoodFrames, uint64(2000))
			assert.Zero(t, s.p.Stats().BadFrames)
		})
	}
}

// BenchmarkFrame is the way of one frame from the bytes to the Sink.
func BenchmarkFrame(b *testing.B) {
	for _, codec := range scale.Codecs() {
		b.Run(codec.Name(), func(b *testing.B) {
			s, _, frame := listening(codec)
			at := time.Now()
			b.SetBytes(int64(len(frame)))
			b.ReportAllocs()
			for b.Loop() {
				s.feed(at, frame)
			}
		})
	}
}

// BenchmarkBytewise is the worst that an adaptor does: every byte alone.
func BenchmarkBytewise(b *testing.B) {
	s, _, frame := listening(smaCodec())
	at := time.Now()
	b.ReportAllocs()
	for b.Loop() {
		for i := range frame {
			s.feed(at, frame[i:i+1])
		}
	}
}
