// Package mix is the batch: the recipe and its ratio, the plan in grams, and
// the state machine that leads the pour.
//
// It only computes. Step looks at the state and one input and answers with
// what should now be saved, shown and asked of the scale; Apply folds saved
// events back into a state. Nothing here waits, writes, logs or asks the time,
// so a batch can be opened again from its events as it was.
//
//	Step(batch, pan, input) ─► Ready{Events, Effects, Live, WakeAt}
//	Apply(batch, event)     ─► batch
package mix
