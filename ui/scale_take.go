package ui

import (
	"net/http"

	"gramcup/mix"
)

// TakeBody is what a page posts to /api/scale/take: the sentence on the
// stranger that the person had before the eyes, as the health message gives it.
type TakeBody struct {
	Stranger string `json:"stranger"`
}

// takeRoutes adds the way to take another scale on, where there is one.
func (s *Server) takeRoutes(mux *http.ServeMux) {
	if s.config.Take != nil {
		mux.Handle("/api/scale/take", s.posts(s.takeScale))
	}
}

// takeScale takes on the scale that answers and is kept out. It names what was
// decided on: meanwhile the old scale may be back, or yet another one there.
func (s *Server) takeScale(w http.ResponseWriter, r *http.Request) {
	var body TakeBody
	if err := decodeStrict(r.Body, &body); err != nil {
		s.refuseBody(w, r, err)
		return
	}
	switch kept := s.config.Hub.Parts().KeptOut; {
	case body.Stranger == "":
		s.refuse(w, r, http.StatusBadRequest, "bad-request", "Say which scale: stranger is the sentence on it that the page shows.")
		return
	case body.Stranger != kept:
		s.refuse(w, r, http.StatusConflict, string(mix.RefusedStale), "Another scale than the one you looked at answers now, or none: look again and decide anew.")
		return
	}
	if err := s.config.Take(); err != nil {
		s.refuse(w, r, http.StatusConflict, string(mix.RefusedNotNow), sentence(err))
		return
	}
	if s.raw != nil {
		s.raw.anyUnit()
	}
	s.log.Info("another scale was taken on", "because", body.Stranger)
	s.answer(w, http.StatusOK, Answer{OK: true})
}
