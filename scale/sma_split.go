package scale

import "bytes"

// Split cuts behind each CR. An LF inside a piece begins a new frame, so what
// stands before it is a piece of its own; bare line ends carry nothing. Four
// blanks between LF and CR do: they are a self test that found no fault.
func (SMA) Split(data []byte, atEOF bool) (advance int, piece []byte, err error) {
	if n := smaWhole(data); n > 0 {
		return n, data[:n], nil
	}
	for {
		end := smaEnd(data[advance:], atEOF)
		piece = data[advance : advance+end]
		advance += end
		switch {
		case end == 0:
			return advance, nil, nil
		case !onlyEnds(piece):
			return advance, piece, nil
		case !atEOF:
			return advance, nil, nil // the rest may not have come yet
		}
	}
}

// smaWhole is the length of the frame at the start of data, which nearly always
// is there: an LF, and a CR before any other line end. 0 leaves it to smaEnd.
func smaWhole(data []byte) int {
	if len(data) == 0 || data[0] != '\n' {
		return 0
	}
	at := 1 + lineLength(data[1:min(len(data), MaxPiece)])
	if at == 1 || at == len(data) || at == MaxPiece || data[at] != '\r' {
		return 0
	}
	return at + 1
}

// smaEnd is where the first piece ends, 0 while that can not be told.
func smaEnd(data []byte, atEOF bool) int {
	end := bytes.IndexByte(data[:min(len(data), MaxPiece)], '\r') + 1
	switch {
	case end > 0:
	case len(data) >= MaxPiece:
		end = MaxPiece
	case atEOF:
		end = len(data)
	default:
		return 0
	}
	if end > 1 && bytes.IndexByte(data[1:end], '\n') >= 0 {
		end = bytes.LastIndexByte(data[:end], '\n') // a fragment; the frame that begins there comes next
	}
	return end
}

func onlyEnds(b []byte) bool {
	for _, c := range b {
		if c != '\r' && c != '\n' {
			return false
		}
	}
	return true
}
