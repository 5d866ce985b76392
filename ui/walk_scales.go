package ui

import (
	"fmt"
	"slices"

	"gramcup/mix"
)

// A walk may go on with another scale than it began on. Which one each of its
// weighings was on is kept: only a scale on which something that counts was
// weighed is named.

// weighed writes down on which scale the newest weighings were; the walk is on.
func (s *seat[W]) weighed() { s.loads = allOn(s.loads, s.walk.Loads(), s.answers) }

// allOn are the scales of n weighings: those that were taken back are off, new
// ones were on this scale.
func allOn(loads []string, n int, scale string) []string {
	loads = slices.Clip(loads[:min(n, len(loads))])
	for len(loads) < n {
		loads = append(loads, scale)
	}
	return loads
}

// scales are those on which something was weighed, each once, from its first.
func (s *seat[W]) scales() (list []string) {
	for _, name := range s.loads {
		if !slices.Contains(list, name) {
			list = append(list, name)
		}
	}
	return list
}

// onScale names what the walk was weighed on; before the first weighing it is
// the scale that is to weigh it.
func (s *seat[W]) onScale() string {
	list := s.scales()
	if len(list) == 0 {
		return s.answers
	}
	return mix.AndList(list)
}

// asksScale is what to decide where another scale answers than what counts was
// weighed on, "" for nothing.
func (s *seat[W]) asksScale() string {
	list := s.scales()
	switch {
	case s.identity == "" || len(list) == 0 || len(list) == 1 && list[0] == s.identity:
		return ""
	case len(list) == 1:
		return fmt.Sprintf("It was weighed on the scale %s, and %s answers now. Two scales never show quite the same: plug the first one in again, or go on if you accept that.", list[0], s.identity)
	case slices.Contains(list, s.identity):
		return fmt.Sprintf("It was weighed on the scales %s, and %s answers now. Two scales never show quite the same: go on if you accept that, or put it away and begin again.", mix.AndList(list), s.identity)
	}
	return fmt.Sprintf("It was weighed on the scales %s, and %s answers now. Two scales never show quite the same: plug one of those in again, or go on if you accept that.", mix.AndList(list), s.identity)
}

// waits is what stands in the way of a walk. While a scale is kept out that is
// the reason: the plug is not.
func (w *Walks) waits(text string) string {
	if text != "" && w.keptOut != "" {
		return w.keptOut
	}
	return text
}
