// Package scale holds the values that come from a bench scale and the codecs
// that read and write its lines: Mass, Unit, Decimal, Reading, one codec file
// per family of lines, and capture files.
//
// Everything here is pure. Nothing opens a port, asks the time, logs or waits,
// so a line can be replayed, fuzzed and simulated. Bytes travel like this:
//
//	bytes ─► Codec.Split ─► piece ─► Codec.Decode ─► Reading | *FrameError
//
// Junk is a piece like any other: Split bounds it and hands it out, Decode
// refuses it with a reason. A refused piece never becomes a number.
package scale
