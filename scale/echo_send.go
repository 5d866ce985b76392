package scale

// echoAnswer reads the lines without a weight: a command of up to three letters
// and digits, a blank, and what became of it.
func echoAnswer(line []byte, r *Reading) (reason string) {
	n := len(line)
	if n == 2 && line[0] == 'E' && line[1] == 'S' {
		r.Status = StatusUnknownCommand
		return ""
	}
	if n < 3 || n > 5 || line[n-2] != ' ' || !upperField(line[:n-2]) {
		return "neither a weight of 21 or 22 bytes nor an answer"
	}
	switch line[n-1] {
	case 'A', 'D':
		r.Status = StatusInfo
	case 'I', 'E':
		r.Status = StatusNotReady
	case '^', 'v':
		r.Status = echoOutOfRange(line[0], line[n-1] == '^')
	default:
		return "the answer is none of A, D, I, E, ^ and v"
	}
	return ""
}

// echoOutOfRange is what "out of range" means for a command.
func echoOutOfRange(command byte, above bool) Status {
	switch {
	case command == 'Z':
		return StatusZeroError
	case command == 'T':
		return StatusTareError
	case above:
		return StatusOver
	}
	return StatusUnder
}

// Encode appends the line for a reading, and nothing where the shape has no
// word for it: for a stored tare, or a number that does not fit.
func (c Echo) Encode(dst []byte, r Reading) []byte {
	mark, out, ok := byte(' '), dst, true
	switch r.Status {
	case StatusOver:
		mark = '^'
	case StatusUnder:
		mark = 'v'
	case StatusNotReady:
		return append(dst, "S E\r\n"...)
	case StatusZeroError:
		return append(dst, "Z ^\r\n"...)
	case StatusTareError:
		return append(dst, "T ^\r\n"...)
	case StatusUnknownCommand:
		return append(dst, "ES\r\n"...)
	case StatusInfo:
		return append(dst, "S A\r\n"...)
	default:
		if r.Motion == MotionMoving {
			mark = '?'
		}
		ok = showsNumber(r)
	}
	if c.Wide {
		out = append(out, "SU  "...)
	} else {
		out = append(out, "SI "...)
	}
	out = append(out, mark, ' ')
	if r.Status == StatusOver || r.Status == StatusUnder {
		out = append(out, "          "...)
	} else if ok {
		out, ok = appendRight(append(out, signOf(r.Number, ' ')), r.Number, 9, ' ')
	}
	if !ok {
		return dst
	}
	return append(appendLeft(append(out, ' '), r.Unit.String(), 3), '\r', '\n')
}

// echoCommands are those of the manuals; C1, which begins a stream, is given
// from memory.
var echoCommands = []command{
	{RequestWeight, "SI"}, {RequestStream, "C1"}, {RequestZero, "Z"}, {RequestTare, "T"},
}

// Request appends the command with CR LF. The weight is asked for in the basic
// unit, so that the painter's choice of unit does not matter.
func (Echo) Request(dst []byte, r Request) ([]byte, bool) { return appendCommand(dst, r, echoCommands) }

// ParseRequest is the scale's side.
func (Echo) ParseRequest(data []byte) (Request, int) { return parseCommand(data, echoCommands) }
