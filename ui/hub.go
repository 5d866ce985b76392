package ui

import (
	"encoding/json"
	"errors"
	"log/slog"
	"math"
	"net"
	"sync"
	"sync/atomic"
	"time"

	"github.com/gorilla/websocket"

	"gramcup/mix"
	"gramcup/mix/bench"
	"gramcup/scale"
)

// Limits of the stream. A workshop has a handful of screens; the numbers leave
// room and still bound what a fault or a bad neighbour can take.
const (
	maxClients    = 64
	maxPerAddress = 16
	writeWait     = 2 * time.Second        // a page that takes nothing for so long is dropped
	pingEvery     = 10 * time.Second       // so that a dead tablet is noticed
	pongWait      = 25 * time.Second       // two pings and a half
	beatEvery     = 250 * time.Millisecond // the weight again, when the scale sends none
	readLimit     = 4096                   // bytes a page may send in a message
	goodbyeWait   = time.Second            // for a page to answer "going away"
	// sendBuffer is kept small in the kernel: what waits there is stale, and
	// the newest number stands behind it.
	sendBuffer = 16 << 10
)

// HubConfig is what every page is told when it opens, and where to log.
type HubConfig struct {
	Station  string            // the name of this bench
	Version  string            // of the program
	Demo     bool              // the scale is simulated
	Cautions []string          // sentences that every page must show
	Division func() scale.Mass // the scale's step while there is no batch; may be nil, must not block
	Log      *slog.Logger      // nil logs nothing
}

// Hub carries what the bench publishes to the pages. It is a bench.Audience
// that never blocks: it keeps the newest view, weight and health, encoded
// once, and each page's own goroutine takes what it has not sent yet. So
// nothing queues, and a slow page misses numbers instead of delaying them.
type Hub struct {
	hello    Hello
	log      *slog.Logger
	division func() scale.Mass

	view    atomic.Pointer[message]
	weight  atomic.Pointer[weightMessage]
	health  atomic.Pointer[message]
	parts   atomic.Pointer[bench.Health]
	clients atomic.Pointer[[]*client] // replaced as a whole, read without a lock
	empty   bool                      // there is no batch; known to the bench's goroutine alone

	mu        sync.Mutex // admission only, never held while writing
	admitted  int
	byAddress map[string]int
	closed    bool
	closing   chan struct{}
	running   sync.WaitGroup
}

// message is one encoded text, shared by all clients.
type message struct{ body []byte }

// weightMessage is a weight without its age, which depends on when it leaves.
type weightMessage struct {
	body  []byte    // begun by appendWeight
	heard time.Time // when the reading came in
	at    mix.Stamp // of the reading
	how   scale.Manner
	array [384]byte // room for body, so that a frame costs one allocation
}

// NewHub is a hub with no pages, no batch and no scale yet.
func NewHub(c HubConfig) *Hub {
	if c.Log == nil {
		c.Log = slog.New(slog.DiscardHandler)
	}
	h := &Hub{log: c.Log, division: c.Division, byAddress: map[string]int{}, closing: make(chan struct{})}
	h.hello = Hello{
		Type: "hello", Protocol: [2]int{ProtocolMajor, ProtocolMinor}, Version: c.Version,
		Station: c.Station, Demo: c.Demo, Cautions: notNil(c.Cautions),
	}
	h.clients.Store(new([]*client))
	h.weight.Store(&weightMessage{heard: time.Now()})
	h.Live(mix.Live{Trouble: mix.TroubleLost, Cue: mix.CueWait, Line: mix.LineOpen})
	h.Batch(mix.Batch{}, nil)
	h.Health(bench.Health{Scale: bench.ScaleNever})
	return h
}

var _ bench.Audience = (*Hub)(nil)

// Batch shows the batch as it is on disk.
func (h *Hub) Batch(b mix.Batch, _ []mix.Recorded) {
	v := viewOf(b)
	h.empty = b.ID == ""
	if h.empty && h.division != nil {
		d := h.division()
		v.DivisionG, v.Decimals = d.Grams(), decimalsOf(d)
	}
	h.view.Store(&message{encode(h.log, v)})
	h.wake()
}

// Live shows a reading. The same reading may come again, when a command or a
// timer gave it another meaning, or none while the scale is lost; then its age
// goes on growing from the moment when it was heard.
func (h *Hub) Live(l mix.Live) {
	w := &weightMessage{heard: time.Now(), at: l.At, how: l.Manner}
	last := h.weight.Load()
	if l.Trouble == mix.TroubleLost || !l.At.IsZero() && l.At == last.at {
		w.heard = last.heard
	}
	w.body = appendWeight(w.array[:0], &l)
	h.weight.Store(w)
	h.wake()
}

// Health shows the state of the parts.
func (h *Hub) Health(p bench.Health) {
	h.parts.Store(&p)
	h.health.Store(&message{encode(h.log, healthOf(p))})
	if h.empty {
		h.Batch(mix.Batch{}, nil) // the scale that was found may have another division
		return
	}
	h.wake()
}

// Parts is the state of the parts as it was last told.
func (h *Hub) Parts() bench.Health { return *h.parts.Load() }

// Manner is how the scale behaves, as far as it is known.
func (h *Hub) Manner() scale.Manner { return h.weight.Load().how }

// Clients is the number of pages that are connected.
func (h *Hub) Clients() int { return len(*h.clients.Load()) }

func (h *Hub) wake() {
	for _, c := range *h.clients.Load() {
		select {
		case c.wake <- struct{}{}:
		default: // it is awake already and will find the newest
		}
	}
}

// Close tells every page that the daemon is going away and waits until all
// their goroutines have ended, which takes a few seconds at most.
func (h *Hub) Close() {
	h.mu.Lock()
	if !h.closed {
		h.closed = true
		close(h.closing)
	}
	h.mu.Unlock()
	h.running.Wait()
}

// The reasons for which a page is not let in.
var (
	errClosing  = errors.New("the daemon is stopping: try again in a moment")
	errTooMany  = errors.New("too many pages are open: close one on another screen")
	errTooOften = errors.New("too many pages are open from this device: close one of them")
)

// admit takes a place for a page at an address, or says why there is none.
// Every admitted place is given back by release.
func (h *Hub) admit(address string) error {
	h.mu.Lock()
	defer h.mu.Unlock()
	switch {
	case h.closed:
		return errClosing
	case h.admitted >= maxClients:
		return errTooMany
	case h.byAddress[address] >= maxPerAddress:
		return errTooOften
	}
	h.admitted++
	h.byAddress[address]++
	h.running.Add(1)
	return nil
}

func (h *Hub) release(address string) {
	h.mu.Lock()
	h.admitted--
	if h.byAddress[address]--; h.byAddress[address] == 0 {
		delete(h.byAddress, address)
	}
	h.mu.Unlock()
	h.running.Done()
}

// attend serves one admitted page until it goes, and gives back its place.
func (h *Hub) attend(conn *websocket.Conn, address string) {
	defer h.release(address)
	if tcp, ok := conn.NetConn().(*net.TCPConn); ok {
		_ = tcp.SetWriteBuffer(sendBuffer) // only a hint; the write deadline holds without it
	}
	c := &client{hub: h, conn: conn, address: address, wake: make(chan struct{}, 1), gone: make(chan struct{})}
	h.list(func(old []*client) []*client { return append(old, c) })
	c.run()
	h.list(func(old []*client) []*client {
		for i := range old {
			if old[i] == c {
				return append(old[:i], old[i+1:]...)
			}
		}
		return old
	})
}

// list replaces the list of clients by a changed copy.
func (h *Hub) list(change func([]*client) []*client) {
	h.mu.Lock()
	defer h.mu.Unlock()
	next := change(append([]*client(nil), *h.clients.Load()...))
	h.clients.Store(&next)
}

// encode can only fail on a number that JSON does not have, and finite keeps
// those out; if it happens all the same the page is told what it can be.
func encode(log *slog.Logger, v any) []byte {
	body, err := json.Marshal(v)
	if err != nil {
		log.Error("a message could not be encoded", "err", err)
		return []byte(`{"type":"health","scale":"lost","identity":"","problems":["The daemon could not describe the batch: see its log."]}`)
	}
	return body
}

// micro rounds to the millionth, which is all that a gram holds here, so that
// no float tail travels. What is no number becomes 0, which a page reads as
// not known.
func micro(x float64) float64 {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return 0
	}
	return math.Round(x*1e6) / 1e6
}
