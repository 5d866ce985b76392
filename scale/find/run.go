package find

import "gramcup/scale"

// Find listens and, unless it has to be quiet, asks, until it is sure or its
// time is over. An error is one of the Wire; everything else is in the Report.
func Find(w Wire, o Options) (Report, error) {
	if o.Most <= 0 {
		o.Most = DefaultMost
	}
	s := &search{wire: w, options: o, think: think, codecs: append(scale.Codecs(), scale.Variants()...)}
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
	for texts := 0; err == nil && out != outFound && !s.over(); {
		switch out {
		case outSilent:
			if s.options.Quiet {
				out, err = s.again()
			} else {
				out, err = s.ask()
			}
		case outGarbage:
			out, err = s.hunt()
		case outText, outLines:
			// What came may have been the noise before the lines, or the lines
			// before a pause.
			if texts++; texts > textsMost {
				return out, nil
			}
			out, err = s.stayOn()
		}
	}
	return out, err
}

// textsMost is how often text without a shape is listened to again.
const textsMost = 2

// stayOn listens once more where text came.
func (s *search) stayOn() (outcome, error) {
	to := s.talk
	if s.top.best != nil {
		to = s.top.setting
	}
	if err := s.set(to); err != nil {
		return outSilent, err
	}
	out, err := s.stay(patience)
	if out == outSilent {
		out = outText // it was heard, so that asking is of no use
	}
	return out, err
}
