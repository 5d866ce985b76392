package ui

// This file is what the reading routes under /api/scale answer, as JSON. Fields
// are only ever added. A number that is not known is 0, a list is never null.
// Golden examples stand in testdata/stream, as scale.json and scale_lines.json.

// ScaleAnswer is the reply to GET /api/scale: what the scale is, how it is
// connected and how it behaves.
type ScaleAnswer struct {
	Identity  string `json:"identity"`  // the name of its port
	Settings  string `json:"settings"`  // of a serial line, "9600 baud, 8n1"; "" for any other
	Shape     string `json:"shape"`     // of its lines, as scale.Codec names it
	Connected bool   `json:"connected"` // a scale is talking now
	Problem   string `json:"problem"`   // why there is none, a sentence; "" when there is one
	Absent    bool   `json:"absent"`    // because its port is not there: unplugged, not switched off
	Polled    bool   `json:"polled"`    // it is asked for each weight
	Asked     bool   `json:"asked"`     // it is asked to send; else it sends anyway and is not spoken to

	DivisionG float64 `json:"division_g"`
	// DivisionFrom tells where DivisionG comes from: "setting", or "decimals", the
	// last decimal of what it shows; "" where it is not known.
	DivisionFrom string `json:"division_from"`
	Decimals     int    `json:"decimals"` // to show grams with
	Unit         string `json:"unit"`     // that it shows now, "" before the first weight

	Manner ScaleManner `json:"manner"`

	GoodFrames      uint64 `json:"good_frames"`
	RefusedFrames   uint64 `json:"refused_frames"`
	Answers         uint64 `json:"answers"`           // replies that are no weight
	Reconnects      uint64 `json:"reconnects"`        // how often it came back
	LastFrameAgeMS  int64  `json:"last_frame_age_ms"` // -1 before the first
	CommandsDropped uint64 `json:"commands_dropped"`

	LastRefused *ScaleRefused `json:"last_refused"` // of the pieces that are still kept; null for none
}

// ScaleManner is scale.Manner: how the scale behaves, measured from its own
// readings. What is 0 is not measured yet.
type ScaleManner struct {
	PeriodMS float64 `json:"period_ms"`
	RatePerS float64 `json:"rate_per_s"`
	NoiseG   float64 `json:"noise_g"` // standard deviation of a load that stands still
	Stills   int     `json:"stills"`  // stretches of stillness that NoiseG comes from
	SettleMS float64 `json:"settle_ms"`
	LagMS    float64 `json:"lag_ms"`
	Steps    int     `json:"steps"` // changes of load that SettleMS and LagMS come from
	Jumps    bool    `json:"jumps"` // it follows a change at once; its lag stays unknown
	// Unmarked: it calls itself moving also at rest, so stillness is judged by its noise.
	Unmarked bool `json:"unmarked"`
}

// ScaleRefused is a piece of what came that was not understood.
type ScaleRefused struct {
	AgeMS  int64  `json:"age_ms"`
	Bytes  string `json:"bytes"` // as ScaleLine has them
	Reason string `json:"reason"`
}

// ScaleLinesAnswer is the reply to GET /api/scale/lines?after=N: what came,
// cut into lines, each with what was read from it.
type ScaleLinesAnswer struct {
	Lines  []ScaleLine `json:"lines"`  // the oldest first
	Next   uint64      `json:"next"`   // to ask with the next time
	Missed bool        `json:"missed"` // there were more behind N than are kept or given at once
}

// ScaleLine is a stretch of what came. Every byte that came stands in one line.
type ScaleLine struct {
	N    uint64 `json:"n"`
	AtMS int64  `json:"at_ms"` // Unix time when its last byte came
	// Kind is "weight", "none" for a reading without a usable weight, "answer"
	// for a reply that is no reading, "refused", "cut" for the piece at either
	// end of a connection, or "opened", without bytes, where a connection begins.
	Kind string `json:"kind"`
	// Bytes are printable ASCII as they are, \r, \n and \\ for CR, LF and the
	// backslash, and \xNN for every other byte.
	Bytes  string `json:"bytes"`
	Value  string `json:"value"`  // the number with its unit as it was sent, "" without one
	Motion string `json:"motion"` // "still", "moving", or "" where the line does not say
	Mode   string `json:"mode"`   // "gross", "net", "tare" or ""
	Status string `json:"status"` // scale.Status, "" for what is no reading
	Reason string `json:"reason"` // why it is refused, else ""
}
