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
