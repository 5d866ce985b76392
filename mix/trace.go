package mix

import (
	"encoding/binary"
	"errors"
	"math"

	"gramcup/scale"
)

// TracePoint is one point of a trace: the weight on the cup over time.
type TracePoint struct {
	WallMS int64      // Unix time in milliseconds
	Net    scale.Mass // rounded to a milligram
}

// MaxTracePiece is the largest packed piece, in bytes: some ten thousand
// points, a quarter of an hour at ten a second.
const MaxTracePiece = 64 << 10

// traceLimitMG is the largest weight that a Mass can hold, in milligrams.
const traceLimitMG = math.MaxInt64 / int64(scale.Milligram)

// ErrTrace says that a packed trace is damaged.
var ErrTrace = errors.New("the packed trace is damaged")

// PackTrace appends a piece with the points: its length, then for each point
// the difference to the one before in milliseconds and milligrams as signed
// varints. The first difference is to zero, so pieces stand for themselves and
// can simply be joined.
func PackTrace(dst []byte, points []TracePoint) []byte {
	if len(points) == 0 {
		return dst
	}
	var body []byte
	var ms, mg int64
	for _, p := range points {
		m := int64(p.Net.RoundTo(scale.Milligram) / scale.Milligram)
		body = binary.AppendVarint(body, p.WallMS-ms)
		body = binary.AppendVarint(body, m-mg)
		ms, mg = p.WallMS, m
	}
	dst = binary.AppendUvarint(dst, uint64(len(body)))
	return append(dst, body...)
}

// UnpackTrace reads joined pieces. Damage gives the points before it and
// ErrTrace.
func UnpackTrace(packed []byte) ([]TracePoint, error) {
	var points []TracePoint
	for len(packed) > 0 {
		size, n := binary.Uvarint(packed)
		if n <= 0 || size > uint64(len(packed)-n) {
			return points, ErrTrace
		}
		piece := packed[n : n+int(size)]
		packed = packed[n+int(size):]
		var ms, mg int64
		for len(piece) > 0 {
			dms, a := binary.Varint(piece)
			if a <= 0 {
				return points, ErrTrace
			}
			dmg, c := binary.Varint(piece[a:])
			if c <= 0 {
				return points, ErrTrace
			}
			piece = piece[a+c:]
			// A time may be any, and the difference of two wraps back. A
			// weight that no Mass holds was never packed.
			if dmg > 2*traceLimitMG || dmg < -2*traceLimitMG {
				return points, ErrTrace
			}
			ms, mg = ms+dms, mg+dmg
			if mg > traceLimitMG || mg < -traceLimitMG {
				return points, ErrTrace
			}
			points = append(points, TracePoint{WallMS: ms, Net: scale.Mass(mg) * scale.Milligram})
		}
	}
	return points, nil
}
