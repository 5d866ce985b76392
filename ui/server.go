package ui

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"log/slog"
	"net"
	"net/http"
	"strings"
	"sync"
	"time"

	"github.com/gorilla/websocket"
	"github.com/prometheus/client_golang/prometheus"
	"github.com/prometheus/client_golang/prometheus/promhttp"

	"gramcup/mix"
	"gramcup/mix/bench"
	"gramcup/scale"
)

// Shelf is where the recipes stand.
type Shelf interface {
	// Recipes lists them all, in the order in which they are shown.
	Recipes() ([]mix.Recipe, error)
	// Recipe is the one with this id; found is false if there is none.
	Recipe(id string) (r mix.Recipe, found bool, err error)
}

// History is what was mixed before.
type History interface {
	// Summaries lists ended batches, the newest first, at most limit of them.
	// before, if not 0, is the Unix time in milliseconds of the end before
	// which they ended.
	Summaries(limit int, before int64) ([]mix.Summary, error)
	// Trace is the packed weight trace of a batch, empty if there is none.
	Trace(batch string) ([]byte, error)
}

// Demo drives the simulated painter; there is none at a real bench.
type Demo interface {
	// Pour lets the painter pour, or pause.
	Pour(on bool)
	// Fault makes a fault by its name happen.
	Fault(name string) error
	// Hand does what a person does at the simulated bench: "cup" on, "lift" it,
	// or "tip" the jug of the current component for a moment, in grams a second,
	// or fill the cup to its mark, "fill-water" or "fill-" and a role, or
	// with water up to a height, "fill-to-" and millimetres.
	Hand(do string, flowGS float64) error
}

// Config is what a server shows and where it hands commands to. Desk, Shelf,
// History, Hub and NewBatchID must be set.
type Config struct {
	Desk       bench.Desk
	Shelf      Shelf
	History    History
	Hub        *Hub
	Gatherer   prometheus.Gatherer // nil serves no /metrics
	Hosts      []string            // further names under which this machine may be called
	Division   func() scale.Mass   // the scale's step, 0 if not known; nil is not known
	NewBatchID func() string
	// Take takes on the other scale that answers and is kept out; nil where
	// there can be none. Its error is a sentence for the person who asked.
	Take func() error
	// Settings keeps what the shop sets; with nil nothing is set and can be.
	Settings SettingsBook
	Scale    ScaleDesk    // nil where nobody may look at its wire
	Edit     *ShelfDesk   // changes the shelf; nil where it can only be read
	Grey     *GreyDesk    // changes the undercoats and makes greys of them; nil serves none
	Measure  *MeasureDesk // owns the measuring of a density; nil serves none
	Check    *CheckDesk   // owns the check with a test weight; nil serves none
	Cups     *CupDesk     // owns cups that are measured with water; nil serves none
	Walks    *Walks       // the desk of the three above; nil serves no word of it
	Demo     Demo         // nil at a real bench
	Log      *slog.Logger
	WebFS    fs.FS // nil is the page built into the program
}

// Server is the face of the bench on the network.
type Server struct {
	config   Config
	log      *slog.Logger
	names    map[string]bool
	sessions *sessions
	origins  *http.CrossOriginProtection
	upgrader websocket.Upgrader
	raw      *rawView   // nil without a ScaleDesk
	setMu    sync.Mutex // settings are read, changed and kept as one
	handler  http.Handler
}

// Limits of a plain request.
const (
	maxCommandBytes = 4096
	maxHeaderBytes  = 16 << 10
	headerWait      = 5 * time.Second
	requestWait     = 15 * time.Second
	answerWait      = 30 * time.Second
	idleWait        = 2 * time.Minute
	deskWait        = 5 * time.Second // for the bench to answer a command
	shutdownWait    = 5 * time.Second
)

// New makes a server; it listens to nothing yet.
func New(c Config) *Server {
	if c.Log == nil {
		c.Log = slog.New(slog.DiscardHandler)
	}
	if c.WebFS == nil {
		c.WebFS = Web()
	}
	s := &Server{
		config: c, log: c.Log, names: hostNames(c.Hosts), sessions: newSessions(),
		origins: http.NewCrossOriginProtection(),
	}
	s.upgrader = websocket.Upgrader{
		HandshakeTimeout: headerWait,
		CheckOrigin: func(r *http.Request) bool {
			there, ok := originExact(r)
			return there && ok
		},
	}
	s.handler = s.gates(s.routes())
	return s
}

// Handler is every route behind every gate.
func (s *Server) Handler() http.Handler { return s.handler }

// Serve answers on the listener until ctx ends. Then it takes no more requests,
// tells the pages that it goes, and waits for what is under way. It refuses a
// listener that other machines can reach.
func (s *Server) Serve(ctx context.Context, listener net.Listener) error {
	if err := checkBound(listener.Addr()); err != nil {
		return errors.Join(err, listener.Close())
	}
	spare := spares{}
	server := &http.Server{
		Handler: s.handler, ReadHeaderTimeout: headerWait, ReadTimeout: requestWait, WriteTimeout: answerWait,
		IdleTimeout: idleWait, MaxHeaderBytes: maxHeaderBytes, ConnState: spare.note,
		ErrorLog: slog.NewLogLogger(s.log.Handler(), slog.LevelWarn),
	}
	failed := make(chan error, 1)
	go func() { failed <- server.Serve(listener) }()
	select {
	case err := <-failed:
		s.config.Hub.Close()
		return fmt.Errorf("serve the page: %w", err)
	case <-ctx.Done():
	}
	patience, cancel := context.WithTimeout(context.WithoutCancel(ctx), shutdownWait)
	defer cancel()
	stopped := make(chan error, 1)
	go func() { stopped <- server.Shutdown(patience) }()
	spare.close()
	s.config.Hub.Close() // Shutdown does not know the pages, their connections are the hub's
	err := <-stopped
	<-failed
	if err != nil {
		return fmt.Errorf("stop the page: %w", errors.Join(err, server.Close()))
	}
	return nil
}

// routes are behind the first two gates; post and the stream add the session.
func (s *Server) routes() http.Handler {
	mux := http.NewServeMux()
	mux.HandleFunc("/api/", s.notFound)
	mux.Handle("/api/command", s.posts(s.command))
	s.shelfRoutes(mux)
	s.greyRoutes(mux)
	mux.Handle("/api/plan", s.gets(s.plan))
	mux.Handle("/api/book", s.gets(s.book))
	mux.Handle("/api/book/trace", s.gets(s.trace))
	s.settingsRoutes(mux)
	s.scaleRoutes(mux)
	s.takeRoutes(mux)
	s.checkRoutes(mux)
	s.measureRoutes(mux)
	s.cupRoutes(mux)
	s.walkRoutes(mux)
	s.stripRoutes(mux)
	if s.config.Demo != nil {
		mux.Handle("/api/demo", s.posts(s.demo))
	}
	mux.Handle("/stream", s.gets(s.stream))
	mux.Handle("/livez", s.gets(func(w http.ResponseWriter, _ *http.Request) { plain(w, http.StatusOK, "alive") }))
	mux.Handle("/readyz", s.gets(s.ready))
	if s.config.Gatherer != nil {
		mux.Handle("/metrics", s.gets(promhttp.HandlerFor(s.config.Gatherer, promhttp.HandlerOpts{}).ServeHTTP))
	}
	mux.Handle("/", s.gets(s.static))
	return mux
}

// gates are the first two: the host, then the origin. Everything but the files
// of the page is closed to other sites even for reading.
func (s *Server) gates(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		setHeaders(w.Header())
		if !hostAllowed(s.names, r) {
			s.refuse(w, r, http.StatusMisdirectedRequest, "wrong-host", "This machine is not called that: use its address, or add the name to its configuration.")
			return
		}
		data := strings.HasPrefix(r.URL.Path, "/api/") || r.URL.Path == "/stream" || r.URL.Path == "/metrics"
		if s.origins.Check(r) != nil || data && foreign(r) {
			s.refuse(w, r, http.StatusForbidden, "foreign", "This request comes from another site: open the page of this bench itself.")
			return
		}
		next.ServeHTTP(w, r)
	})
}

func (s *Server) gets(next http.HandlerFunc) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if r.Method != http.MethodGet && r.Method != http.MethodHead {
			w.Header().Set("Allow", "GET, HEAD")
			s.refuse(w, r, http.StatusMethodNotAllowed, "method", "This can only be read: use GET.")
			return
		}
		next(w, r)
	})
}

// either serves one address that is both read and changed, each behind its own
// gate.
func either(read, change http.Handler) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		if r.Method == http.MethodPost {
			change.ServeHTTP(w, r)
			return
		}
		read.ServeHTTP(w, r)
	}
}

// posts is the third gate and the last for what changes something: a session,
// its rate, the kind of body and its size.
func (s *Server) posts(next http.HandlerFunc) http.Handler { return s.postsUpTo(maxCommandBytes, next) }

func (s *Server) postsUpTo(bytes int64, next http.HandlerFunc) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if r.Method != http.MethodPost {
			w.Header().Set("Allow", "POST")
			s.refuse(w, r, http.StatusMethodNotAllowed, "method", "This does something: use POST.")
			return
		}
		token := s.sessions.token(r)
		if token == "" {
			s.refuse(w, r, http.StatusForbidden, "no-session", "This page was opened before the daemon started anew: open / again, then repeat.")
			return
		}
		if !s.sessions.spend(token, time.Now()) {
			retryAfter(w, time.Second)
			s.refuse(w, r, http.StatusTooManyRequests, "too-fast", "Too many commands at once: wait a second.")
			return
		}
		if !isJSON(r) {
			s.refuse(w, r, http.StatusUnsupportedMediaType, "not-json", "The body must be application/json.")
			return
		}
		r.Body = http.MaxBytesReader(w, r.Body, bytes)
		next(w, r)
	})
}

// stream opens a page's stream: an exact origin, a session, a free place.
func (s *Server) stream(w http.ResponseWriter, r *http.Request) {
	if there, ok := originExact(r); !there || !ok {
		s.refuse(w, r, http.StatusForbidden, "foreign", "The stream is only for the page of this bench.")
		return
	}
	if s.sessions.token(r) == "" {
		s.refuse(w, r, http.StatusForbidden, "no-session", "Open the page at / first.")
		return
	}
	if !websocket.IsWebSocketUpgrade(r) {
		w.Header().Set("Upgrade", "websocket")
		s.refuse(w, r, http.StatusUpgradeRequired, "not-websocket", "The stream is a websocket.")
		return
	}
	address := addressOf(r)
	if err := s.config.Hub.admit(address); err != nil {
		retryAfter(w, 5*time.Second)
		s.refuse(w, r, http.StatusServiceUnavailable, "full", sentence(err))
		return
	}
	conn, err := s.upgrader.Upgrade(w, r, nil)
	if err != nil { // it has answered already
		s.config.Hub.release(address)
		return
	}
	s.config.Hub.attend(conn, address)
}

// ready tells who watches the daemon whether it can do its work. A lost scale
// is the bench's trouble, not the daemon's, and restarting would not help; if
// the bench itself ends, so does the daemon.
func (s *Server) ready(w http.ResponseWriter, _ *http.Request) {
	if book := s.config.Hub.Parts().Book; book != "" {
		plain(w, http.StatusServiceUnavailable, book)
		return
	}
	plain(w, http.StatusOK, "ready")
}

// refuse answers that nothing was done and why: as an Answer under /api, in
// plain text elsewhere.
func (s *Server) refuse(w http.ResponseWriter, r *http.Request, status int, code, text string) {
	s.log.Debug("request refused", "code", code, "status", status, "path", r.URL.Path, "address", addressOf(r))
	if strings.HasPrefix(r.URL.Path, "/api/") {
		s.answer(w, status, Answer{Code: code, Sentence: text})
		return
	}
	plain(w, status, text)
}

func (s *Server) answer(w http.ResponseWriter, status int, v any) {
	body, err := json.Marshal(v)
	if err != nil {
		s.log.Error("an answer could not be encoded", "err", err)
		status, body = http.StatusInternalServerError, []byte(`{"ok":false,"code":"internal","sentence":"The answer could not be written: see the log."}`)
	}
	w.Header().Set("Content-Type", "application/json")
	w.Header().Set("Cache-Control", "no-store")
	w.WriteHeader(status)
	_, _ = w.Write(body) // who asked is gone, nobody is left to tell
}

func plain(w http.ResponseWriter, status int, text string) {
	w.Header().Set("Content-Type", "text/plain; charset=utf-8")
	w.Header().Set("Cache-Control", "no-store")
	w.WriteHeader(status)
	_, _ = fmt.Fprintln(w, text)
}
