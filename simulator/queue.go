package simulator

// Bounds of the line. A scale has no memory to speak of: what the host does
// not take in a few seconds is gone.
const (
	maxFrames  = 64  // ten a second: more than six seconds
	maxRequest = 256 // bytes from the host that were not looked at yet
)

// piece is a frame on its way to the host.
type piece struct {
	bytes   []byte
	chopped bool // goes out byte by byte
}

// queue holds the frames that the host has not taken. When it is full the
// oldest is dropped and counted.
type queue struct {
	pieces  []piece
	dropped int
}

func (q *queue) push(frame []byte, chopped bool) {
	if len(frame) == 0 {
		return
	}
	if len(q.pieces) == maxFrames {
		q.pieces = append(q.pieces[:0], q.pieces[1:]...)
		q.dropped++
	}
	q.pieces = append(q.pieces, piece{bytes: frame, chopped: chopped})
}

// read takes the next piece as far as it fits: one frame, or one byte of a
// chopped one.
func (q *queue) read(p []byte) int {
	if len(q.pieces) == 0 || len(p) == 0 {
		return 0
	}
	head := &q.pieces[0]
	if head.chopped {
		p = p[:1]
	}
	n := copy(p, head.bytes)
	head.bytes = head.bytes[n:]
	if len(head.bytes) == 0 {
		q.pieces = append(q.pieces[:0], q.pieces[1:]...)
	}
	return n
}

func (q *queue) clear() { q.pieces = q.pieces[:0] }
