package scale

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestFramerTellsWhere(t *testing.T) {
	f := NewFramer(SMA{})
	var at, end []int64
	feed := func(s string) {
		f.Feed([]byte(s))
		for _, _, ok := f.Next(); ok; _, _, ok = f.Next() {
			at, end = append(at, f.At()), append(end, f.End())
		}
	}
	feed("junk\n 1G  ")
	feed("     412.6g  \r\n\n 1G   ")
	feed("    412.6g  \r\r\nrest")
	f.Flush()
	feed("")
	assert.Equal(t, []int64{0, 4, 25, 46}, at)
	assert.Equal(t, []int64{4, 24, 45, 51}, end)
	f.Reset()
	at = nil
	feed("\n?\r")
	assert.Equal(t, []int64{0}, at)
}

// The buffer stays at one unfinished piece and the last chunk, whatever comes.
func TestFramerIsBounded(t *testing.T) {
	for _, c := range Codecs() {
		for _, chunk := range []string{"x", "\n", "\r", " ", "\n 1G", strings.Repeat("9", 100)} {
			f := NewFramer(c)
			for range 10_000 {
				f.Feed([]byte(chunk))
				for _, _, ok := f.Next(); ok; _, _, ok = f.Next() {
				}
				require.LessOrEqual(t, len(f.buf)-f.used, MaxPiece)
			}
			assert.LessOrEqual(t, cap(f.buf), 4*MaxPiece)
		}
	}
}
