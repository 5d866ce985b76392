//go:build !linux

package book

import "errors"

// diskError needs a limit on the size of files.
func diskError(string) error { return errors.ErrUnsupported }

// noRoom needs it too.
func noRoom(string) error { return errors.ErrUnsupported }
