package ui

import (
	"fmt"
	"time"

	"gramcup/scale"
	"gramcup/scale/checkup"
)

// state is everything a page shows of the check. plate, if given, is what
// weights are asked for; else the plate of the last check.
func (d *CheckDesk) state(now time.Time, plate *checkup.Setup) (CheckState, error) {
	last, err := d.latest()
	if err != nil {
		return CheckState{}, err
	}
	d.mu.Lock()
	out := CheckState{
		Version: d.version, Said: d.said, NotNow: d.startNotText(), Identity: d.identity, Division: checkup.Grams(d.division()),
		Advice: []CheckAdvice{}, Cautions: checkup.Cautions(), Source: checkup.LimitSource, Says: checkup.Disclaimer,
		Broken: d.broken(now), PutAway: d.putAway(now),
	}
	var view *checkup.View
	var record *checkup.Record
	if d.on() {
		v := d.walk.View(now.Sub(d.began))
		v.Waits = d.waits(v.Waits)
		view = &v
		if r, ok := d.walk.Record(); ok {
			record = &r
		}
	}
	d.mu.Unlock()
	d.settled()
	for c := scale.WeightE1; c <= scale.WeightM3; c++ {
		out.WeightsAs = append(out.WeightsAs, c.String())
	}
	out.Walk = walkOf(view, record)
	out.due(last, d.config.Every, now)
	out.advise(last, plate)
	return out, nil
}

func walkOf(v *checkup.View, r *checkup.Record) *CheckWalk {
	if v == nil {
		return nil
	}
	w := &CheckWalk{
		Step: string(v.Step), Sentence: v.Sentence, Waits: v.Waits, Place: string(v.Place), Still: v.Still, ThisIsIt: v.ThisIsIt,
		Readings: append([]checkup.Reading{}, v.Taken...), Of: v.Of, Nominal: checkup.Grams(v.Setup.Nominal),
		Weight: weightName(checkup.Name(v.Setup.Nominal), v.Setup.WeightClass.String(), v.Setup.WeightID),
		Limit:  checkup.Grams(v.Limits.Limit), ZeroLimit: checkup.Grams(v.Limits.Zero), SpreadLimit: checkup.Grams(v.Limits.Spread),
		Class: v.Limits.Class.String(), Guessed: v.Guessed, CornersNote: v.Corners, Record: r,
	}
	if r != nil {
		w.Verdict, w.WhatNow = r.Verdict(), r.Advice()
	}
	return w
}

func weightName(nominal, class, id string) string {
	name := nominal + ", class " + class
	if id != "" {
		name += ", " + id
	}
	return name
}

// due says when the last check was, with its result, and when the next is due.
func (s *CheckState) due(last *checkup.Kept, every checkup.Every, now time.Time) {
	if last == nil {
		s.DueText = "No check of this scale is in the book yet."
		return
	}
	s.Last = &CheckLast{Kept: *last, Verdict: last.Verdict(), Weight: weightName(checkup.Name(last.Nominal.Mass()), last.WeightClass, last.WeightID)}
	at := time.UnixMilli(last.AtMS)
	day := at.Format(time.DateOnly)
	due, ok := every.After(at)
	if ok {
		s.DueMS, s.Overdue = due.UnixMilli(), !now.Before(due)
	}
	switch {
	case !ok:
		s.DueText = "No next check is planned: check_every is set to never."
	case s.Overdue:
		s.DueText = fmt.Sprintf("The next check was due on %s (%s, which is the shop's own choice).", due.Format(time.DateOnly), every)
	default:
		s.DueText = fmt.Sprintf("The next check is due on %s (%s, which is the shop's own choice).", due.Format(time.DateOnly), every)
	}
	switch {
	case !last.Passed:
		s.Line = fmt.Sprintf("The last check of the scale, on %s, was not passed: see Scale.", day)
	case s.Overdue:
		s.Line = fmt.Sprintf("The scale has been due for a check since %s: see Scale.", due.Format(time.DateOnly))
	}
}

// advise says which weights fit the plate.
func (s *CheckState) advise(last *checkup.Kept, plate *checkup.Setup) {
	var p checkup.Setup
	switch {
	case plate != nil:
		p = *plate
	case last != nil:
		p.Capacity = last.Capacity.Mass()
		if last.Interval != last.Division {
			p.Interval = last.Interval.Mass()
		}
		if !last.Guessed {
			p.Class, _ = scale.ParseClass(last.Class) // an unknown one is none
		}
	}
	p.Division = s.Division.Mass()
	s.Plate = CheckPlate{Capacity: checkup.Grams(p.Capacity), Interval: checkup.Grams(p.Interval)}
	if p.Class != scale.ClassNone {
		s.Plate.Class = p.Class.String()
	} else if guess := p.Guess(); guess != scale.ClassNone {
		s.Plate.Guess = guess.String()
	}
	list, usual, err := checkup.Advise(p)
	if err != nil {
		s.Missing = sentence(err)
		return
	}
	s.Usual = usual
	for _, a := range list {
		row := CheckAdvice{Nominal: checkup.Grams(a.Nominal), Name: checkup.Name(a.Nominal), Limit: checkup.Grams(a.Limit), Coarsest: a.Coarsest, Corners: a.Corners, Fits: []string{}}
		for c := scale.WeightE1; c <= scale.WeightM3; c++ {
			if own, err := scale.WeightError(a.Nominal, c); err == nil && scale.WeightGoodEnough(own, a.Limit) {
				row.Fits = append(row.Fits, c.String())
			}
		}
		s.Advice = append(s.Advice, row)
	}
}
