//go:build !unix

package main

// limitIsAnError is nothing to do on a system without such a signal.
func limitIsAnError() {}
