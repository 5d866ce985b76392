package find

import (
	"fmt"
	"strings"
)

// Setting is how a serial line is set.
type Setting struct {
	Baud     int
	DataBits int
	Parity   byte // 'n', 'e' or 'o'
	StopBits int
}

// String is the setting as people write it: "9600 7E1".
func (s Setting) String() string {
	return fmt.Sprintf("%d %s", s.Baud, strings.ToUpper(s.Format()))
}

// Format is the framing alone, in lower case: "7e1".
func (s Setting) Format() string {
	return fmt.Sprintf("%d%c%d", s.DataBits, s.Parity, s.StopBits)
}

// raw is the speed with every bit let through: what other framings leave in the
// eighth bit can then be seen.
func raw(baud int) Setting { return Setting{baud, 8, 'n', 1} }

// askSettings is the order in which a silent scale is asked: the usual first, by
// the defaults that manuals give for these shapes, and once more after a while,
// because a scale may be busy when it is asked.
var askSettings = []Setting{
	{9600, 8, 'n', 1}, {9600, 7, 'e', 1}, {2400, 7, 'e', 1}, {19200, 8, 'n', 1},
	{1200, 7, 'o', 1}, {4800, 8, 'n', 1}, {9600, 8, 'o', 1}, {9600, 7, 'o', 1},
	{1200, 7, 'e', 1}, {4800, 7, 'e', 1}, {38400, 8, 'n', 1}, {2400, 7, 'n', 2},
	{9600, 8, 'e', 1},
	{9600, 8, 'n', 1}, {9600, 7, 'e', 1}, {2400, 7, 'e', 1}, {19200, 8, 'n', 1},
	{2400, 8, 'n', 1}, {19200, 7, 'e', 1}, {115200, 8, 'n', 1}, {9600, 7, 'n', 2},
	{2400, 7, 'o', 1}, {4800, 7, 'o', 1}, {1200, 8, 'n', 1}, {57600, 8, 'n', 1},
	{9600, 7, 'n', 1}, {600, 7, 'e', 1}, {300, 7, 'e', 1},
}

// bauds are the speeds, the usual first.
var bauds = []int{9600, 2400, 19200, 4800, 1200, 38400, 115200, 57600, 600, 300}

// huntSettings is the order in which a sender is looked for that was heard at the
// usual setting and not understood. Slower ones are told by what they leave and
// come late. The usual setting comes again, because noise may have been first.
// Framings of another length than ten bits do not show at 8N1 where the next
// start bit comes when none is expected.
var huntSettings = []Setting{
	{19200, 8, 'n', 1}, {9600, 8, 'n', 1}, {9600, 8, 'e', 1}, {9600, 8, 'o', 1},
	{38400, 8, 'n', 1}, {2400, 8, 'n', 1}, {9600, 7, 'n', 1}, {115200, 8, 'n', 1},
	{4800, 8, 'n', 1}, {1200, 8, 'n', 1}, {57600, 8, 'n', 1}, {19200, 8, 'e', 1},
	{2400, 8, 'e', 1}, {2400, 7, 'n', 1}, {4800, 8, 'e', 1}, {600, 8, 'n', 1},
	{300, 8, 'n', 1},
}
