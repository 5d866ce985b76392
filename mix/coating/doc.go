// Package coating is the arithmetic of paint around the ratio: film and amount,
// VOC, density and temperature, how sure a ratio is, the undercoat's grey, the
// marks of a cup, and the index of a urethane mix.
//
// Everything here is a function of its arguments: nothing waits, writes, logs or
// reads a clock. Computed physics is float64 with the unit in the name. What can
// not be known is refused with a *Refusal, whose sentence a person can act on;
// nothing is assumed in its place.
package coating
