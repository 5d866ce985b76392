package scale

// Encode appends the standard reply for a reading, or "?", "!" for those
// answers. Dashes stand where the standard wants them (a failed zero or tare)
// and wherever the frame could be taken for a weight that the reading is not.
func (SMA) Encode(dst []byte, r Reading) []byte {
	switch r.Status {
	case StatusUnknownCommand:
		return append(dst, "\n?\r"...)
	case StatusDamagedCommand:
		return append(dst, "\n!\r"...)
	}
	dst = append(dst, '\n', smaStatusLetter(r.Status), '1', smaModeLetter(r), ' ', ' ')
	if r.Motion == MotionMoving {
		dst[len(dst)-2] = 'M'
	}
	var buf [24]byte
	number := buf[:0]
	if r.HasNumber && smaShowsNumber(r) {
		number = r.Number.Append(number)
	}
	if len(number) == 0 || len(number) > smaWidthMax {
		number = append(number[:0], "----------"...)
	}
	for n := len(number); n < smaWidth; n++ {
		dst = append(dst, ' ')
	}
	dst = append(dst, number...)
	unit := r.Unit.String()
	dst = append(dst, unit...)
	for n := len(unit); n < smaUnit; n++ {
		dst = append(dst, ' ')
	}
	return append(dst, '\r')
}

// smaShowsNumber tells for which states the frame has a letter or a unit that
// keeps its number from being used.
func smaShowsNumber(r Reading) bool {
	switch r.Status {
	case StatusOK, StatusZero:
		return r.Unit.IsMass()
	case StatusCount:
		return r.Unit == UnitPieces || r.Unit == UnitPercent
	}
	return r.Status == StatusOver || r.Status == StatusUnder
}

func smaStatusLetter(s Status) byte {
	switch s {
	case StatusZero:
		return 'Z'
	case StatusOver:
		return 'O'
	case StatusUnder:
		return 'U'
	case StatusZeroError:
		return 'E'
	case StatusInitialZeroError:
		return 'I'
	case StatusTareError:
		return 'T'
	}
	return ' '
}

func smaModeLetter(r Reading) byte {
	switch {
	case r.Mode == ModeTare:
		return 'T'
	case r.Mode == ModeNet && r.HighResolution:
		return 'n'
	case r.Mode == ModeNet:
		return 'N'
	case r.HighResolution:
		return 'g'
	}
	return 'G'
}

// smaCommands gives each request its letter (SCP-0499 section 4).
var smaCommands = [...]struct {
	request Request
	letter  byte
}{
	{RequestWeight, 'W'}, {RequestStream, 'R'}, {RequestZero, 'Z'}, {RequestTare, 'T'},
	{RequestClearTare, 'C'}, {RequestAbout, 'A'}, {RequestAboutNext, 'B'},
	{RequestInfo, 'I'}, {RequestInfoNext, 'N'},
}

const escape = 0x1B

// Request appends LF, the letter of the command, CR; a reset is a bare ESC.
func (SMA) Request(dst []byte, r Request) ([]byte, bool) {
	if r == RequestReset {
		return append(dst, escape), true
	}
	for _, c := range smaCommands {
		if c.request == r {
			return append(dst, '\n', c.letter, '\r'), true
		}
	}
	return dst, false
}

// ParseRequest is the scale's side: an ESC counts wherever it comes, bytes
// outside LF … CR are noise and passed over, a new LF begins anew.
func (SMA) ParseRequest(data []byte) (Request, int) {
	start := -1 // behind the last LF
	for i, c := range data {
		switch {
		case c == escape:
			return RequestReset, i + 1
		case c == '\n':
			start = i + 1
		case c == '\r' && start == i:
			start = -1 // an empty frame
		case c == '\r' && start >= 0:
			return smaRequest(data[start:i]), i + 1
		}
	}
	if start < 0 || len(data)-start >= MaxPiece {
		return RequestUnknown, len(data)
	}
	return RequestUnknown, start - 1
}

func smaRequest(body []byte) Request {
	for _, known := range smaCommands {
		if len(body) == 1 && body[0] == known.letter {
			return known.request
		}
	}
	return RequestUnknown
}
