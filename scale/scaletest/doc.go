// Package scaletest holds the conformance suites: Codec for every family of
// lines, Source for every wire. A new codec or wire calls its suite in a few
// lines, and its own test then only holds its quirks.
package scaletest
