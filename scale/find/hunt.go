package find

import "time"

// outcome is what staying at a setting has come to.
type outcome byte

const (
	outSilent  outcome = iota // nothing came, or next to nothing
	outGarbage                // bytes without sense
	outText                   // text in no shape that is known
	outLines                  // lines of a shape, too few or not clear
	outFound
)

// stay listens at the setting until it is clear what comes there. Where the
// bytes make sense with 7 bits, the line is set so, and it goes on.
func (s *search) stay(wait time.Duration) (outcome, error) {
	began := s.spent
	for !s.over() {
		if err := s.listen(slice); err != nil {
			return outSilent, err
		}
		if s.done() {
			return outFound, nil
		}
		if s.now.best != nil && s.now.view != view8 && s.lines() >= 2 {
			return s.confirm()
		}
		if out, left := s.leave(s.spent-began, wait); left {
			return out, nil
		}
	}
	return s.outcome(), nil
}

// leave decides whether to go on to another setting.
func (s *search) leave(stayed, wait time.Duration) (outcome, bool) {
	switch {
	case s.total == 0:
		return outSilent, stayed >= wait
	case s.lines() >= linesLikely && len(s.now.open) > 0:
		return outLines, false // only time can tell
	case s.lines() > 0:
		last := s.now.best.lines[s.lines()-1].when
		return outLines, s.spent-last >= lineStays
	case s.now.text >= sense:
		return outText, s.spent-s.first >= textStays
	case s.total >= enough:
		return outGarbage, s.spent-s.first >= think
	}
	return s.outcome(), stayed >= wait && s.spent-s.first >= think
}

func (s *search) outcome() outcome {
	switch {
	case s.now.sure != NotSure:
		return outFound
	case s.lines() > 0:
		return outLines
	case s.now.text >= sense:
		return outText
	case s.total >= fewBytes:
		return outGarbage
	}
	return outSilent
}

// confirm sets the line to the framing that the eighth bit shows, and listens
// on. The lines that were read before count, but not as more than two.
func (s *search) confirm() (outcome, error) {
	if err := s.set(s.now.setting); err != nil {
		return outSilent, err
	}
	s.before = linesSure - linesLikely
	for !s.over() && !s.done() && s.spent-s.lastSign() < lineStays {
		if err := s.listen(slice); err != nil {
			return outSilent, err
		}
	}
	if s.done() {
		return outFound, nil
	}
	return s.outcome(), nil
}

// lastSign is when the last line came, or the line was set.
func (s *search) lastSign() time.Duration {
	if s.lines() == 0 {
		return s.since
	}
	return s.now.best.lines[s.lines()-1].when
}

// hunt goes through the speeds, for a sender that was heard and not understood.
// It gives up early when nothing is heard any more: then it was noise.
func (s *search) hunt() (outcome, error) {
	tried := map[int]bool{s.setting.Baud: true}
	best, quiet := outGarbage, 0
	sparse := s.total < enough
	guess := slower(s.setting.Baud, s.heard)
	if sparse {
		guess = faster(s.burst())
	}
	for !s.over() && quiet < 2 {
		baud := nextBaud(tried, guess, sparse)
		if baud == 0 {
			break
		}
		tried[baud] = true
		if err := s.set(raw(baud)); err != nil {
			return outSilent, err
		}
		out, err := s.stay(hop)
		if err != nil || out >= outLines {
			return out, err
		}
		best = max(best, out)
		quiet++
		if out != outSilent {
			quiet = 0
		}
		guess = slower(baud, s.heard)
	}
	switch {
	case quiet > 1 || sparse && best < outText:
		return outSilent, nil // there was noise, and no sender
	case s.over():
		return best, nil
	}
	return s.reframe(best)
}

// nextBaud is the next speed to try: the guess, or the next usual one. Where only
// a few bytes were heard, only faster ones could leave as few. 0 when all were
// tried.
func nextBaud(tried map[int]bool, guess int, sparse bool) int {
	if guess > 0 && !tried[guess] {
		return guess
	}
	for _, b := range bauds {
		if !tried[b] && (!sparse || b > bauds[0]) {
			return b
		}
	}
	return 0
}

// faster guesses the speed from how many bytes a line left at the usual one:
// lines have about twenty, and two to a dozen fall into one byte.
func faster(burst int) int {
	switch {
	case burst >= 6:
		return 19200
	case burst >= 3:
		return 38400
	}
	return 115200
}

// burst is the most bytes that came in one slice.
func (s *search) burst() int {
	most, end := 0, 0
	for _, m := range s.marks {
		most = max(most, m.end-end)
		end = m.end
	}
	return most
}

// reframe tries the framings that do not show at 8N1, at the speed where most
// text came, then at the usual ones.
func (s *search) reframe(best outcome) (outcome, error) {
	order := bauds
	if s.longest >= sense {
		order = append([]int{s.talk.Baud}, bauds...)
	}
	for _, baud := range order {
		for _, f := range rareFramings {
			if s.over() {
				return best, nil
			}
			f.Baud = baud
			if err := s.set(f); err != nil {
				return best, err
			}
			out, err := s.stay(hop)
			if err != nil || out >= outLines {
				return out, err
			}
			best = max(best, out)
		}
	}
	return best, nil
}
