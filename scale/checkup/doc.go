// Package checkup leads a person through the check of a scale with a test
// weight, hands-free: it watches the readings and takes each one by itself
// when it stands still near what is expected; what does not fit is said in a
// sentence and waited for. What comes out is a Record with a verdict for one's
// own trust, and never a legal verification.
//
// The package is pure. Time enters as data, as the time since any fixed moment
// of one run, so that a walk can be replayed from what a scale has sent.
package checkup
