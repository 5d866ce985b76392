package scale

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"
)

// What looks at eight bytes at a time finds what looking at each byte finds.
func TestEightAtATimeIsByteByByte(t *testing.T) {
	near := rapid.SampledFrom([]byte("\x00\x02\x03\x04\t\n\v\r\x0e\x1f +,-:AS~\x7f\x80\x8a\x8d\xac\xff"))
	rapid.Check(t, func(t *rapid.T) {
		b := rapid.SliceOfN(rapid.OneOf(rapid.Just(byte('5')), near), 0, MaxPiece).Draw(t, "bytes")
		mark := near.Draw(t, "mark")
		end, text, marks := 0, 0, uint64(0)
		for end < len(b) && !isLineEnd(b[end]) {
			if b[end] == mark {
				marks |= 1 << end
			}
			end++
		}
		for text < len(b) && isText(b[text]) {
			text++
		}
		gotEnd, gotMarks := lineMarks(b, mark)
		assert.Equal(t, end, gotEnd, "%q", b)
		assert.Equal(t, marks, gotMarks, "%q %q", b, mark)
		assert.Equal(t, end, lineLength(b), "%q", b)
		assert.Equal(t, text, textLength(b), "%q", b)
		for _, c := range b {
			assert.Equal(t, isDigit(c) || c == ' ' || c == '.' || c == '-' || c == '+', inNumber(c), "%q", c)
		}
	})
}
