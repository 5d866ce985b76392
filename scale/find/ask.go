package find

import (
	"bytes"
	"slices"
	"time"

	"gramcup/scale"
)

// Times of asking.
const (
	askGap    = 15 * time.Millisecond  // between two asks of different shapes; an answer may come later
	replyWait = 100 * time.Millisecond // for what follows the second step of a dialogue
	askTail   = 150 * time.Millisecond // behind the last
	slowTail  = 400 * time.Millisecond // the same in later rounds, for a slow answer
	pollWait  = 600 * time.Millisecond // for an answer of a scale that has answered
	pollRest  = 50 * time.Millisecond  // between an answer and the next ask
	aloneHush = 300 * time.Millisecond // for late answers, before it is seen
	aloneWait = 700 * time.Millisecond // whether the scale sends by itself
	answer    = 24                     // bytes of the longest answer
	missesMax = 4
)

// harmless are the only letters and marks that an ask may hold. With these a
// scale prints its weight or its state, and nothing changes: W, Q, SI, IP and P
// ask for the weight; ENQ begins a handshake and DC1 goes on with it; ESC is a
// part of a command or drops a half one.
const harmless = "WQSIP\x05\x11\x1b\r\n"

// asks lists what a scale may be asked with, once each: the requests for the
// weight of all shapes, as far as nothing in them could do anything else. Those
// with the same end stand together, and a bare end goes before them: what the
// scale has heard until then is no part of the first ask.
func asks(codecs []scale.Codec) [][]byte {
	ends := []string{"\r", "\r\n", ""}
	groups := make([][][]byte, len(ends))
	for i, end := range ends[:2] {
		groups[i] = [][]byte{[]byte(end)}
	}
	for _, c := range codecs {
		p, ok := c.Request(nil, scale.RequestWeight)
		if !ok || !isHarmless(p) {
			continue
		}
		at := 0
		for !bytes.HasSuffix(p, []byte(ends[at])) {
			at++
		}
		if slices.ContainsFunc(groups[at], func(q []byte) bool { return bytes.Equal(p, q) }) {
			continue
		}
		where := min(1, len(groups[at]))
		if p[0] == '\n' {
			where = len(groups[at]) // behind the bare letters, which it would spoil
		}
		groups[at] = slices.Insert(groups[at], where, p)
	}
	return slices.Concat(groups...)
}

func isLineEnd(p []byte) bool { return len(bytes.Trim(p, "\r\n")) == 0 }

func isHarmless(p []byte) bool {
	for _, c := range p {
		if bytes.IndexByte([]byte(harmless), c) < 0 {
			return false
		}
	}
	return len(p) > 0
}

// ask goes through the settings with every ask, until something answers. Bytes
// without sense send it back to listen: a scale that pauses may have begun to
// send, at another speed.
func (s *search) ask() (outcome, error) {
	s.asking = true
	defer func() { s.asking = false }()
	list := asks(s.codecs)
	for _, to := range askSettings {
		if s.over() {
			break
		}
		if err := s.set(to); err != nil {
			return outSilent, err
		}
		out, err := s.askAll(list)
		if err != nil || out >= outLines {
			return out, err
		}
		if s.total < enough || s.now.text >= sense {
			continue
		}
		if out, err := s.again(); err != nil || out >= outText {
			return out, err
		}
	}
	s.rounds++
	return outSilent, nil
}

// again listens once more from the start.
func (s *search) again() (outcome, error) {
	s.asking = false
	defer func() { s.asking = true }()
	if err := s.set(raw(bauds[0])); err != nil {
		return outSilent, err
	}
	out, err := s.stay(hop)
	if err == nil && out == outGarbage {
		out, err = s.hunt()
	}
	return out, err
}

// askAll asks in every way at one setting.
func (s *search) askAll(list [][]byte) (outcome, error) {
	for _, p := range list {
		if s.over() {
			return outSilent, nil
		}
		if err := s.write(p); err != nil {
			return outSilent, err
		}
		if isLineEnd(p) {
			continue
		}
		if err := s.listen(askGap + s.takes(len(p))); err != nil {
			return outSilent, err
		}
		if err := s.reply(); err != nil {
			return outSilent, err
		}
		if s.lines() > 0 {
			return s.poll()
		}
	}
	tail := askTail
	if s.rounds > 0 {
		tail = slowTail
	}
	if err := s.listen(tail + s.takes(answer)); err != nil {
		return outSilent, err
	}
	if s.lines() > 0 {
		return s.poll()
	}
	return s.outcome(), nil
}

// takes is how long so many bytes take, with ten bits each and a bit of room.
func (s *search) takes(n int) time.Duration {
	return time.Duration(n+1) * 11 * time.Second / time.Duration(s.setting.Baud)
}

// write sends an ask. What is not harmless is never sent, whoever asks for it.
func (s *search) write(p []byte) error {
	if !isHarmless(p) {
		return nil
	}
	return s.wire.Write(p)
}

// reply goes on with a dialogue of two steps, when a scale waits for it.
func (s *search) reply() error {
	if len(s.heard) == 0 {
		return nil
	}
	last := s.heard[len(s.heard)-1:]
	for _, c := range s.codecs {
		r, ok := c.(scale.Replier)
		if !ok {
			continue
		}
		if p := r.Reply(last); len(p) > 0 {
			if err := s.write(p); err != nil {
				return err
			}
			return s.listen(replyWait + s.takes(answer))
		}
	}
	return nil
}

// poll asks a scale that has answered again and again, in its own way, until it
// is clear what it speaks.
func (s *search) poll() (outcome, error) {
	codec, misses := s.now.best.codec, 0
	if s.now.view != view8 { // it has understood by luck, and its answer has a parity
		if err := s.set(s.now.setting); err != nil {
			return outSilent, err
		}
	}
	for !s.over() && !s.done() && misses < missesMax {
		if s.now.best != nil {
			codec = s.now.best.codec
		}
		p, _ := codec.Request(nil, scale.RequestWeight)
		had, until := s.total, s.spent+pollWait
		if err := s.write(p); err != nil {
			return outSilent, err
		}
		for s.spent < until && !s.over() && (s.total == had || !s.answered()) {
			if err := s.listen(pollRest); err != nil {
				return outSilent, err
			}
			if err := s.reply(); err != nil {
				return outSilent, err
			}
		}
		misses++
		if s.total > had {
			misses = 0
		}
		if err := s.listen(pollRest); err != nil {
			return outSilent, err
		}
	}
	return s.outcome(), s.alone()
}

// answered reports that a line ended with the last bytes.
func (s *search) answered() bool {
	n := s.lines()
	return n > 0 && s.now.best.lines[n-1].when == s.spent
}

// alone finds out whether the scale sends by itself, without being asked.
func (s *search) alone() error {
	if err := s.listen(aloneHush); err != nil {
		return err
	}
	kept, top, had := s.now, s.top, s.total
	err := s.listen(aloneWait)
	if s.total-had < fewBytes*2 {
		kept.asked = true
	}
	top.asked = kept.asked
	s.now, s.top = kept, top
	return err
}
