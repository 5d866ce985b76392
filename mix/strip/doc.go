// Package strip draws a stick strip: a paper scale at true size that stands in a
// cup beside a stick, with the marks of one recipe and one amount. It draws to
// bytes, SVG or PDF, and touches nothing else. A line of 100 mm on the sheet
// shows whether the printer kept the size.
package strip
