//go:build !linux

package simulator

import "errors"

// Pty is a pseudo-terminal. It exists on Linux only.
type Pty struct {
	Path string // of the side to open
	Link string // a stable name that points to Path
}

var errNoPty = errors.New("a simulated scale on a pseudo-terminal needs Linux: use the built-in practice bench here")

// OpenPty fails: pseudo-terminals are made on Linux only.
func OpenPty(string) (*Pty, error) { return nil, errNoPty }

// Read fails.
func (p *Pty) Read([]byte) (int, error) { return 0, errNoPty }

// Write fails.
func (p *Pty) Write([]byte) (int, error) { return 0, errNoPty }

// Close does nothing.
func (p *Pty) Close() error { return nil }
