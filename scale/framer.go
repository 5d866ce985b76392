package scale

// Framer turns chunks of a stream, however they were cut, into readings and
// refusals. It keeps at most one unfinished piece between chunks. It is for
// one goroutine and allocates nothing once its buffer has grown.
type Framer struct {
	codec  Codec
	buf    []byte
	used   int   // of buf
	before int64 // bytes of the stream before buf
	at     int64 // where the last piece began
	size   int   // of the last piece, which ends at used
	end    bool
}

// NewFramer begins at the first byte of a stream.
func NewFramer(c Codec) *Framer { return &Framer{codec: c, buf: make([]byte, 0, 4*MaxPiece)} }

// Feed adds the next chunk. Call Next until it has no more before feeding
// again, or the buffer grows with what is not fetched.
func (f *Framer) Feed(chunk []byte) {
	if f.used > 0 {
		n := copy(f.buf, f.buf[f.used:])
		f.buf, f.before, f.used = f.buf[:n], f.before+int64(f.used), 0
	}
	f.buf = append(f.buf, chunk...)
}

// Flush says that the stream has ended: what is left is a piece too.
func (f *Framer) Flush() { f.end = true }

// Next gives the next reading, or a *FrameError for a refused piece. ok is
// false when more bytes are needed.
func (f *Framer) Next() (r Reading, err error, ok bool) {
	for {
		advance, piece, _ := f.codec.Split(f.buf[f.used:], f.end)
		if advance == 0 {
			return Reading{}, nil, false
		}
		f.used += advance
		f.at = f.before + int64(f.used-len(piece)) // a piece ends where Split stopped
		f.size = len(piece)
		if piece != nil {
			r, err = f.codec.Decode(piece)
			return r, err, true
		}
	}
}

// At is the offset of the last piece in the stream, in bytes.
func (f *Framer) At() int64 { return f.at }

// End is the offset behind the last piece in the stream, in bytes.
func (f *Framer) End() int64 { return f.before + int64(f.used) }

// Piece is the last piece itself, as Split handed it out. It is valid until the
// next call of Feed or Next.
func (f *Framer) Piece() []byte { return f.buf[f.used-f.size : f.used] }

// Reset forgets everything, for a new stream.
func (f *Framer) Reset() {
	*f = Framer{codec: f.codec, buf: f.buf[:0]}
}
