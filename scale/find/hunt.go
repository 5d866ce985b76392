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
		return outGarbage, s.spent-s.first >= s.think
	}
	return s.outcome(), stayed >= wait && s.spent-s.first >= s.think
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

// hunt goes through the settings, for a sender that was heard and not understood,
// again and again while there is time. What the garbage points to comes first.
// It gives up when nothing is heard any more: then it was noise.
func (s *search) hunt() (outcome, error) {
	tried := map[int]bool{s.setting.Baud: true}
	quiet, next := 0, 0
	guess, sparse := s.guess()
	for !s.over() && quiet < 2 {
		var out outcome
		var err error
		if guess > 0 && !tried[guess] {
			tried[guess] = true
			if out, err = s.visit(raw(guess), patience); err == nil && out == outGarbage && s.restless() {
				out, err = s.resync()
			}
		} else {
			to := huntSettings[next%len(huntSettings)]
			next++
			if sparse && to.Baud <= bauds[0] {
				if next > len(huntSettings) {
					return outSilent, nil // a few bytes of noise, now and then
				}
				continue
			}
			out, err = s.visit(to, hop)
		}
		if err != nil || out >= outLines {
			return out, err
		}
		quiet++
		if out != outSilent {
			quiet = 0
		}
		guess, _ = s.guess()
	}
	if quiet > 1 {
		return outSilent, nil
	}
	return outGarbage, nil
}

// guess tells which speed was heard as this garbage; 0 for none. Few bytes come
// from a faster sender.
func (s *search) guess() (baud int, sparse bool) {
	switch {
	case s.setting != raw(s.setting.Baud):
		return 0, false
	case s.setting.Baud == bauds[0] && s.total < enough:
		return faster(s.burst()), true
	}
	return slower(s.setting.Baud, s.heard), false
}

func (s *search) visit(to Setting, wait time.Duration) (outcome, error) {
	if err := s.set(to); err != nil {
		return outSilent, err
	}
	return s.stay(wait)
}

// restless reports a line that is busy for most of the time.
func (s *search) restless() bool {
	const most = 0.6
	busy := s.takes(s.total)
	return s.total >= enough && float64(busy) >= most*float64(s.spent-s.since)
}

// resync listens again from other moments, where all speaks for the speed and
// still no sense came: a line that never rests shows no start of a byte, and who
// begins inside one may go on wrongly for long.
func (s *search) resync() (out outcome, err error) {
	const times, odd, soon = 8, 7, think / 2 // odd in halves of a bit, so that no number of bits is met
	defer func(d time.Duration) { s.think = d }(s.think)
	s.think = soon
	for n := range times {
		if err := s.listen(time.Duration(odd*n+odd) * time.Second / time.Duration(2*s.setting.Baud)); err != nil {
			return outSilent, err
		}
		if out, err = s.visit(s.setting, hop); err != nil || out >= outText {
			return out, err
		}
	}
	return out, nil
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
