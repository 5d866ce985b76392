package port

import (
	"io"
	"sync"
	"time"

	"gramcup/scale"
)

// Bounds of what Recent keeps: 2 MB of bytes and as much of times, 16 bytes a
// chunk. A scale at 9600 baud that never pauses fills less than a third of
// that in ten minutes, unless its adaptor hands on every byte alone: then two
// minutes of it are kept.
const (
	recentSpan   = 10 * time.Minute
	recentBytes  = 2 << 20
	recentChunks = 128 << 10
	recentFirst  = 4 << 10 // bytes, and a sixteenth of it chunks, before either grows
)

// Chunk is what came from a wire at once.
type Chunk struct {
	N     uint64    // its number since New, without gaps
	At    time.Time // when it came; with the monotonic clock
	Fresh bool      // the first one since the wire was opened
	Data  []byte    // never empty; belongs to the caller
}

// Recent keeps the bytes that came in the ten minutes up to the last chunk, as
// they came, whatever a codec made of them. When it is full the oldest go.
// Any goroutine may ask it at any time; the reader of the wire never waits for
// longer than one copy of it takes.
type Recent struct {
	started time.Time // monotonic zero of the marks
	header  []string

	mu    sync.Mutex
	data  []byte // a ring: the byte at offset o of the stream lies at o % len
	end   uint64 // offset behind the last byte
	held  uint64 // bytes
	marks []mark // a ring: chunk n lies at n % len
	next  uint64 // number of the next chunk
	count uint64 // chunks
	fresh bool   // the next chunk is the first of a wire
}

// mark is one chunk.
type mark struct {
	at    time.Duration
	size  uint32
	fresh bool
}

func newRecent(started time.Time, header ...string) *Recent {
	return &Recent{started: started, header: header}
}

// Recent is what came lately, for the raw view and for whoever asks for help.
func (p *Port) Recent() *Recent { return p.recent }

// opened says that the next chunk comes from a fresh wire.
func (r *Recent) opened() {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.fresh = true
}

// add keeps a copy of chunk. It allocates only while the rings still grow.
func (r *Recent) add(at time.Duration, chunk []byte) {
	r.mu.Lock()
	defer r.mu.Unlock()
	chunk = chunk[max(0, len(chunk)-recentBytes):]
	if len(chunk) == 0 {
		return
	}
	for r.count > 0 && at-r.oldest().at > recentSpan {
		r.drop()
	}
	r.makeRoom(uint64(len(chunk)))
	r.marks[r.next%uint64(len(r.marks))] = mark{at: at, size: uint32(len(chunk)), fresh: r.fresh}
	r.fresh = false
	r.next, r.count = r.next+1, r.count+1
	n := copy(r.data[r.end%uint64(len(r.data)):], chunk)
	copy(r.data, chunk[n:])
	r.end, r.held = r.end+uint64(len(chunk)), r.held+uint64(len(chunk))
}

func (r *Recent) oldest() *mark { return &r.marks[(r.next-r.count)%uint64(len(r.marks))] }

func (r *Recent) drop() {
	r.held -= uint64(r.oldest().size)
	r.count--
}

// makeRoom grows the rings up to their bounds, and then drops.
func (r *Recent) makeRoom(size uint64) {
	if r.count == uint64(len(r.marks)) {
		if r.count == recentChunks {
			r.drop()
		} else {
			old := r.marks
			r.marks = make([]mark, max(recentFirst/16, 2*len(old)))
			for n := r.next - r.count; n < r.next; n++ {
				r.marks[n%uint64(len(r.marks))] = old[n%uint64(len(old))]
			}
		}
	}
	for r.held+size > uint64(len(r.data)) && len(r.data) < recentBytes {
		grown := make([]byte, max(recentFirst, 2*len(r.data)))
		first := r.end - r.held
		for o := first; o < r.end; o++ {
			grown[o%uint64(len(grown))] = r.data[o%uint64(len(r.data))]
		}
		r.data = grown
	}
	for r.held+size > uint64(len(r.data)) {
		r.drop()
	}
}

// Since returns the chunks from number n on, oldest first, and the number to
// ask with next time. Where n is no longer kept it begins with the oldest that
// is, and Chunk.N shows the gap. With a number that is still to come (also
// math.MaxUint64, to ask for no chunks at all) the list is empty.
func (r *Recent) Since(n uint64) (chunks []Chunk, next uint64) {
	var data []byte
	for {
		r.mu.Lock()
		from, size := r.reach(n)
		if count := r.next - from; uint64(cap(data)) >= size && uint64(cap(chunks)) >= count {
			chunks, next = r.copyFrom(from, size, chunks, data), r.next
			r.mu.Unlock()
			return chunks, next
		}
		count := r.next - from
		r.mu.Unlock()
		// Room is made without the lock, and a little more for what comes meanwhile.
		data, chunks = make([]byte, 0, size+size/64+256), make([]Chunk, 0, count+count/64+8)
	}
}

// reach finds the first chunk to give for n, and how many bytes there are from
// it on.
func (r *Recent) reach(n uint64) (from, size uint64) {
	from = min(max(n, r.next-r.count), r.next)
	for i := from; i < r.next; i++ {
		size += uint64(r.marks[i%uint64(len(r.marks))].size)
	}
	return from, size
}

// last is the number of the chunk that came last.
func (r *Recent) last() uint64 {
	r.mu.Lock()
	defer r.mu.Unlock()
	return r.next - 1
}

// tail is a copy of the last bytes from chunk number from on, at most limit.
func (r *Recent) tail(from, limit uint64) []byte {
	r.mu.Lock()
	defer r.mu.Unlock()
	size := uint64(0)
	for n := r.next; n > max(from, r.next-r.count) && size < limit; n-- {
		size += uint64(r.marks[(n-1)%uint64(len(r.marks))].size)
	}
	size = min(size, limit)
	if size == 0 {
		return nil
	}
	start := (r.end - size) % uint64(len(r.data))
	out := append([]byte(nil), r.data[start:min(start+size, uint64(len(r.data)))]...)
	return append(out, r.data[:size-uint64(len(out))]...)
}

// copyFrom fills chunks with the last size bytes, which are those from chunk
// number from on.
func (r *Recent) copyFrom(from, size uint64, chunks []Chunk, data []byte) []Chunk {
	if size == 0 {
		return nil
	}
	start := (r.end - size) % uint64(len(r.data))
	data = append(data, r.data[start:min(start+size, uint64(len(r.data)))]...)
	data = append(data, r.data[:size-uint64(len(data))]...)
	for i := from; i < r.next; i++ {
		m := r.marks[i%uint64(len(r.marks))]
		chunks = append(chunks, Chunk{N: i, At: r.started.Add(m.at), Fresh: m.fresh, Data: data[:m.size:m.size]})
		data = data[m.size:]
	}
	return chunks
}

// Capture writes everything that is kept as a capture file. The header begins
// with the shape of the lines, the name of the port and when the first chunk
// came; the lines given follow. The error is that of w.
func (r *Recent) Capture(w io.Writer, header ...string) error {
	chunks, _ := r.Since(0)
	lines := append([]string(nil), r.header...)
	if len(chunks) > 0 {
		lines = append(lines, "began: "+chunks[0].At.UTC().Format(time.RFC3339Nano))
	}
	out, err := scale.NewCaptureWriter(w, append(lines, header...)...)
	for _, c := range chunks {
		if err != nil {
			break
		}
		err = out.Chunk(c.At.Sub(chunks[0].At), c.Data)
	}
	return err
}
