// Package simulator is a mixing bench made of numbers: a weighing cell, a cup,
// jugs, a hand, faults, and a wire that speaks bytes through the codecs of
// package scale. It knows no mixing rules, so it can not hide their bugs.
//
//	Look(Screen) ──► hand ──► jugs ──► stream in the air ──► cup ─┐ load
//	                  │ places, lifts, stirs                      │
//	                  └───────────────────────────────────────────┤
//	faults: bump, draught, lean ──────────────────────────────────┤
//	                                                              ▼
//	         cell: mechanics → creep, drift, noise → average → zero, tare,
//	               motion, division → scale.Reading, ten times a second
//	                                                              │
//	faults: silent, stuck, garbage, cut, chopped ──► Codec.Encode ▼
//	host ◄── Drain (stepped) or Dial / Serve (live) ◄────── outgoing frames
//	host ──► Send or Write ──► Codec.ParseRequest ──► zero, tare, weight, …
//
// Everything moves in steps of Step inside Tick: no goroutine, no sleep, no
// clock. The same seed and the same calls give the same bytes. Run and Serve
// are the only parts that wait, and they wait outside the physics.
//
// Numbers here are float64 grams, because this is physics and not a
// measurement; they become a scale.Reading in one place, cell.reading.
package simulator
