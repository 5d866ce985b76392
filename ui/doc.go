// Package ui is the face of the bench on the network: the server with its
// gates, the stream to the pages, commands, sessions and metrics. It shows
// what the bench publishes and hands commands over; it decides nothing.
package ui
