package find

import "gramcup/scale"

// Find listens and, unless it has to be quiet, asks, until it is sure or its
// time is over. An error is one of the Wire; everything else is in the Report.
func Find(w Wire, o Options) (Report, error) {
	if o.Most <= 0 {
		o.Most = DefaultMost
	}
	s := &search{wire: w, options: o, codecs: append(scale.Codecs(), scale.Variants()...)}
	s.top.sure = NotSure
	out, err := s.run()
	if err != nil {
		return Report{}, err
	}
	return s.report(out), nil
}

func (s *search) run() (outcome, error) {
	if err := s.set(raw(bauds[0])); err != nil {
		return outSilent, err
	}
	out, err := s.stay(patience)
	if err == nil && out == outGarbage {
		out, err = s.hunt()
	}
	for err == nil && out == outSilent && !s.over() {
		if s.options.Quiet {
			out, err = s.again()
		} else {
			out, err = s.ask()
		}
	}
	return out, err
}
