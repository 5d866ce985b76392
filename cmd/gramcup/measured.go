package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"slices"
	"strings"

	"gramcup/mix"
	"gramcup/mix/book"
	"gramcup/scale"
	"gramcup/scale/port"
)

// scaleFlags say how well the scale weighs. Where a division is given by hand that
// is another scale than the one of the bench, and nothing is taken from its book.
type scaleFlags struct {
	Division string `placeholder:"0.1g" help:"The scale's division; how sure the ratio would be is worked out for it. Without it the scale is taken that the bench has measured, if the book in --data knows one."`
	repeatFlag
}

// ofScale is how well a scale weighs, and where that is from.
type ofScale struct {
	mix.Accuracy
	said string     // a sentence; "" where it was given by hand or nothing is known
	book *scaleJSON // nil where it was not taken from a book
}

// scaleJSON is a scale that was taken from the book.
type scaleJSON struct {
	DivisionG      float64 `json:"division_g"`
	RepeatabilityG float64 `json:"repeatability_g"`
	Measured       bool    `json:"repeatability_measured"`
	SinceMS        int64   `json:"since_ms"`
	Book           string  `json:"book"`
}

// of is the scale of the flags, or that of the bench whose book lies in a folder.
// Its division is 0 where none is known; a folder that has no book, or one that can
// not be read, is no reason to fail.
func (f scaleFlags) of(folder string) (s ofScale, err error) {
	division, err := parseDivision(f.Division)
	if err != nil {
		return s, err
	}
	if s.Accuracy, err = f.accuracy(division); err != nil || division > 0 {
		return s, err
	}
	s.Accuracy = mix.Accuracy{}
	var m book.MeasuredScale
	var found bool
	err = ask(folder, func(b *book.Book) (err error) {
		if m, found, err = b.MeasuredScale(); err != nil || !found {
			return err
		}
		return sameScale(b, m)
	})
	switch {
	case errors.Is(err, fs.ErrNotExist), err == nil && !found:
		return s, nil
	case err != nil:
		return ofScale{said: "Scale: that of the bench is not taken: " + strings.TrimSuffix(err.Error(), ".") + "."}, nil
	}
	day := m.At.Format("2 Jan 2006")
	if f.RepeatabilityG != nil {
		s.Accuracy, _ = f.accuracy(m.Division) // looked at above
		s.said = fmt.Sprintf("Scale: of %.4g g in the batch of %s; what it scatters by was given here.", m.Division.Grams(), day)
	} else if s.Accuracy = mix.AccuracyOf(m.Division, scale.Manner{Noise: m.Noise, Stills: m.Stills, Repeats: m.Repeats}); s.Checked.N > 0 {
		s.said = fmt.Sprintf("Scale: in the batch of %s %s (the book in %s).", day, s.Text(), folder)
	} else if s.Measured {
		text := strings.TrimSuffix(strings.TrimPrefix(s.Text(), "a scale of "), ", as it was measured")
		s.said = fmt.Sprintf("Scale: measured on %s, %s (the book in %s).", day, text, folder)
	} else {
		s.said = fmt.Sprintf("Scale: of %.4g g in the batch of %s; the bench has not measured what it scatters by (the book in %s).", m.Division.Grams(), day, folder)
	}
	s.book = &scaleJSON{DivisionG: s.DivisionG, RepeatabilityG: s.RepeatabilityG, Measured: s.Measured, SinceMS: m.At.UnixMilli(), Book: folder}
	return s, nil
}

// sameScale refuses what was measured of a scale that another one has taken the
// place of since: it is known later, and shows another step.
func sameScale(b *book.Book, m book.MeasuredScale) error {
	body, at, ok, err := b.KnownScale()
	if err != nil || !ok || !at.After(m.At) {
		return err
	}
	var k port.Known
	if err := json.Unmarshal(body, &k); err != nil {
		return fmt.Errorf("the book's known scale can not be read: %w", err)
	}
	unit, ok := scale.ParseUnit([]byte(k.Unit))
	if !ok || len(k.Places) == 0 {
		return nil
	}
	step, err := scale.Decimal{Coefficient: 1, Places: uint8(slices.Max(k.Places)), Lead: 1}.Mass(unit)
	if err == nil && step != m.Division {
		err = fmt.Errorf("another one with steps of %v is known since the batch of %s on one of %v: give --division", step, m.At.Format("2 Jan 2006"), m.Division)
	}
	return err
}
