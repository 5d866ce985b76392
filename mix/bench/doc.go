// Package bench is the one goroutine that owns the batch. Whatever happens at
// the bench comes to it as an input, and it does the same things with each, in
// this order:
//
//	r := mix.Step(batch, pan, input)
//	1. the book appends r.Events      fails? nothing changes, health says why
//	2. batch = fold(Apply, r.Events)
//	3. publish                        pages and metrics
//	4. ask the scale for r.Effect
//	5. set the timer to r.WakeAt
//
// It knows neither the database nor the network: they come through the small
// interfaces that it declares.
package bench
