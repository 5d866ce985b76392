package find

import "time"

// Find listens and, unless it has to be quiet, asks, until it is sure or its
// time is over. An error is one of the Wire; everything else is in the Report.
func Find(w Wire, o Options) (Report, error) {
	if o.Most <= 0 {
		o.Most = DefaultMost
	}
	s := Setting{Baud: 9600, DataBits: 8, Parity: 'n', StopBits: 1}
	if err := w.Set(s); err != nil {
		return Report{}, err
	}
	got, err := w.Listen(min(o.Most, 1500*time.Millisecond))
	if err != nil {
		return Report{}, err
	}
	r := Report{Sure: NotSure, Setting: s, Trouble: TroubleSilent, Spent: min(o.Most, 1500*time.Millisecond)}
	if len(got) > 0 {
		r.Trouble = TroubleNoise
	}
	return r, nil
}
