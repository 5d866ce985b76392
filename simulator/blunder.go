package simulator

// setDownS is the time in seconds to set the jug upright before both hands
// are free for the cup.
const setDownS = 1.5

// muddle is where the planned mistakes come in: it changes what the hand makes
// of the screen. Each blunder happens once.
func (h *hand) muddle(b *Bench, seen Screen) (toGoG float64, stop bool) {
	toGoG, stop = seen.ToGoG, seen.Stop
	i := h.blunderFor(seen.Component)
	if i < 0 {
		return toGoG, stop
	}
	m := h.blunders[i]
	switch {
	case m.LiftCup > 0:
		if toGoG < h.startG/2 && b.cupOn {
			h.asideS = m.LiftCup.Seconds()
			h.liftS = h.asideS + setDownS
			h.forget(i)
			stop = true
		}
	case m.TooMuch > 1:
		toGoG += (m.TooMuch - 1) * h.startG
		stop = toGoG <= 0
		if stop {
			h.forget(i)
		}
	default:
		toGoG, stop = h.late(i, toGoG, stop)
	}
	return toGoG, stop
}

// late goes on pouring for a while after the page said stop.
func (h *hand) late(i int, toGoG float64, stop bool) (float64, bool) {
	if !stop && toGoG > 0 && h.stopS == 0 {
		return toGoG, stop
	}
	h.stopS += stepS
	if h.stopS >= h.blunders[i].Late.Seconds() {
		h.forget(i)
		return toGoG, true
	}
	// It believes that there is still a good deal to go, and pours on.
	h.stopped = false
	return max(toGoG, dribbleBelowG, h.skill.EaseGS*aheadS), false
}

// holdAside sets the jug down, keeps the cup in the air and puts it back.
func (h *hand) holdAside(b *Bench) {
	h.liftS -= stepS
	switch {
	case h.liftS <= 0:
		b.putBackCup()
	case h.liftS <= h.asideS:
		b.liftCup()
	}
}

func (h *hand) blunderFor(component int) int {
	for i, m := range h.blunders {
		if m.Component == component {
			return i
		}
	}
	return -1
}

func (h *hand) forget(i int) { h.blunders = append(h.blunders[:i], h.blunders[i+1:]...) }
