package ui

import (
	"net/http"
)

// This file is what /api/walks speaks, as JSON: what every place of the page
// needs to know of guided walks. Fields are only ever added, a list is never null.

// WalksState is the reply to GET /api/walks.
type WalksState struct {
	Going  []WalkNote `json:"going"`  // need the pan, or wait to be kept
	Broken []WalkNote `json:"broken"` // were broken off and rest
	Unkept string     `json:"unkept"` // why what was weighed is not on disk, a sentence or ""
}

// WalkNote is one walk in a sentence.
type WalkNote struct {
	Kind  string `json:"kind"`  // density, cup or check
	Place string `json:"place"` // of the page where it is: shelf or scale
	What  string `json:"what"`  // "the measuring of a cup with water"
	Said  string `json:"said"`  // a sentence
	Done  bool   `json:"done"`  // it only waits to be kept
}

// note tells of the walk of a seat; nil if there is none.
func (s *seat[W]) note() (note *WalkNote, broken bool) {
	n := WalkNote{Kind: s.words.kind, Place: s.words.place}
	switch {
	case s.rests():
		n.What, n.Said = s.story.what, s.brokenText()
		return &n, true
	case s.on():
		n.What, n.Done = s.host.what(), s.host.done()
		n.Said = upperFirst(n.What) + " is under way."
		if n.Done {
			n.Said = upperFirst(n.What) + " is finished and waits to be kept."
		}
		return &n, false
	}
	return nil, false
}

// State is how things stand at the desk.
func (w *Walks) State() WalksState {
	out := WalksState{Going: []WalkNote{}, Broken: []WalkNote{}}
	unkept := w.keeper.settled()
	if unkept != nil {
		out.Unkept = "What was weighed could not be written down yet, and it is tried again: " + unkept.Error() + "."
	}
	w.mu.Lock()
	defer w.mu.Unlock()
	for _, s := range w.seats {
		switch note, broken := s.note(); {
		case note == nil:
		case broken:
			out.Broken = append(out.Broken, *note)
		default:
			out.Going = append(out.Going, *note)
		}
	}
	return out
}

// walkRoutes adds the state of the guided walks, where there is a desk for them.
func (s *Server) walkRoutes(mux *http.ServeMux) {
	if s.config.Walks == nil {
		return
	}
	mux.Handle("/api/walks", s.gets(func(w http.ResponseWriter, _ *http.Request) { s.answer(w, http.StatusOK, s.config.Walks.State()) }))
}
