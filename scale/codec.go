package scale

import "fmt"

// MaxPiece is the longest piece that Split hands out, in bytes. The longest
// known line has 33; twice that without an end is not a scale talking.
const MaxPiece = 64

// Codec reads and writes one family of lines. A Codec has no state and may be
// shared.
type Codec interface {
	// Name is the short name used in configuration: "sma", "csv", and with
	// other settings "csv-b".
	Name() string

	// Split has the form of bufio.SplitFunc. It hands out whole frames and,
	// between them, junk in pieces of at most MaxPiece bytes. At the end of
	// the data the rest is handed out as a piece of its own. It never returns
	// an error, and it may return advance > 0 without a piece for line ends
	// that carry nothing.
	Split(data []byte, atEOF bool) (advance int, piece []byte, err error)

	// Decode reads one piece. Anything but a whole, well-formed frame is a
	// *FrameError. It allocates nothing for a good frame.
	Decode(piece []byte) (Reading, error)

	// Encode appends the frame for a reading, as a scale would send it.
	Encode(dst []byte, r Reading) []byte

	// Request appends the bytes that ask the scale for something. ok is false
	// where this family has no such command.
	Request(dst []byte, r Request) (out []byte, ok bool)

	// ParseRequest is the scale's side of Request, for the simulator: the
	// first request found in data and how many bytes it took. advance is 0
	// when more bytes are needed; RequestUnknown stands for bytes that are no
	// known request.
	ParseRequest(data []byte) (r Request, advance int)
}

// Request is something a host asks of a scale.
type Request uint8

// The requests.
const (
	RequestUnknown   Request = iota
	RequestWeight            // the weight now, once
	RequestStream            // the weight again and again
	RequestZero              // set the zero
	RequestTare              // take what is on the pan as tare
	RequestClearTare         // forget the tare
	RequestReset             // drop whatever was asked and be ready
	RequestAbout             // the first line about the scale
	RequestAboutNext         // the next line about the scale
	RequestInfo              // the first line about capacity and commands
	RequestInfoNext          // the next such line
)

// FrameError says why a piece is not a reading.
type FrameError struct {
	Piece  []byte // a copy of the bytes
	Offset int    // where in Piece it went wrong, 0-based
	Reason string // what is wrong, in words a person at a bench can follow
}

// Error is the reason with the place and the bytes.
func (e *FrameError) Error() string {
	return fmt.Sprintf(`%s (byte %d of "%s")`, e.Reason, e.Offset+1, AppendEscaped(nil, e.Piece))
}

// frameError copies the piece, because the reader's buffer moves on.
func frameError(piece []byte, offset int, reason string) error {
	return &FrameError{Piece: append([]byte(nil), piece...), Offset: offset, Reason: reason}
}
