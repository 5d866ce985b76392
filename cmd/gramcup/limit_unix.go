//go:build unix

package main

import (
	"os/signal"
	"syscall"
)

// limitIsAnError makes a limit on the size of files an error of the write that
// meets it, which the book knows how to take, and not the end of the program.
func limitIsAnError() { signal.Ignore(syscall.SIGXFSZ) }
