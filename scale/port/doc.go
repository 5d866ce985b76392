// Package port is the only code that opens a port. It turns an address into a
// wire (serial, TCP, a USB weighing device or a recording), keeps that wire open for as long as the
// program runs, and hands decoded readings to a Sink:
//
//	address ─► Opener ─► wire ─► reader ─► Framer ─► Codec.Decode ─► Sink
//	                      ▲
//	Ask ─► owner ─► writer┘      owner: pacing, watchdog, reopening
//
// A Port has one owner goroutine (Run), and for every connection one reader
// and one writer. The reader may wait for bytes for ever and the writer may be
// stuck: neither holds anything that the other, or the owner, needs. What
// happens when things go wrong is decided by the owner alone, from times.
//
// A lost scale is normal here. Run returns only when its context ends; until
// then it reopens, by a name that survives replugging where there is one.
//
// A good line is not always true: two torn ones can look like it. The lengths of
// the scale's lines are learned, and an odd one is held back until a second one
// is like it; torn.go has the rule and its limits.
//
// The package does not know what is poured and decides nothing about weights.
package port
