package main

import (
	"fmt"
	"io"

	"gramcup/scale"
	"gramcup/scale/port"
	"gramcup/ui"
)

// scaleDesk shows the port to the page: neither knows the other.
type scaleDesk struct {
	port    *port.Port
	station station
}

// Wire is the connection as the page shows it.
func (d scaleDesk) Wire() ui.ScaleWire {
	st := d.port.Stats()
	return ui.ScaleWire{
		Identity: d.station.Identity, Settings: d.station.Settings, Connected: st.Connected, Polled: st.Polling,
		Asked: d.station.asks(), Problem: st.Problem, Absent: st.Absent, GoodFrames: st.GoodFrames, BadFrames: st.BadFrames,
		Answers: st.Answers, Reconnects: max(st.Found, 1) - 1, CommandsDropped: st.CommandsDropped, LastFrame: st.LastFrame,
	}
}

// asks reports whether the scale is asked to send: many shapes know no request.
func (s station) asks() bool {
	if !s.Stream {
		return false
	}
	_, stream := s.Codec.Request(nil, scale.RequestStream)
	_, weight := s.Codec.Request(nil, scale.RequestWeight)
	return stream || weight
}

// Codec reads the lines of the scale.
func (d scaleDesk) Codec() scale.Codec { return d.station.Codec }

// Since gives what came, see ui.ScaleDesk.
func (d scaleDesk) Since(n uint64) (chunks []ui.ScaleChunk, next uint64) {
	kept, next := d.port.Recent().Since(n)
	chunks = make([]ui.ScaleChunk, len(kept))
	for i, c := range kept {
		chunks[i] = ui.ScaleChunk(c)
	}
	return chunks, next
}

// Capture writes what is kept.
func (d scaleDesk) Capture(w io.Writer, header ...string) error {
	return d.port.Recent().Capture(w, header...)
}

// settingsText is how a serial line is set, "9600 baud, 8n1", or "" for an
// address of another kind.
func settingsText(address string) string {
	a, err := port.ParseAddress(address)
	if err != nil || a.Kind != port.KindSerial {
		return ""
	}
	return fmt.Sprintf("%d baud, %d%c%d", a.Baud, a.DataBits, a.Parity, a.StopBits)
}
