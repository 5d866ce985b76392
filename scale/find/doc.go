// Package find tells what stands at the other end of a serial line: how the line
// is set and which shape the lines of the scale have.
//
//	listen at 9600 8N1 ──► sense? ──────────────────────► more lines ─► Report
//	   │ nothing     │ bytes without sense
//	   ▼             ▼
//	ask, setting   other speeds, those that the
//	by setting     garbage points to first
//
// It is pure: bytes come from a Wire, time passes only inside Wire.Listen, and
// the same bytes give the same answer. What it writes are requests for a weight
// and the second step of a handshake, never anything that could change a
// setting, a zero or a tare.
//
// Nothing here knows a shape by name. A shape is judged by what its codec makes
// of the bytes, so one that is added to scale.Codecs is found too.
package find
