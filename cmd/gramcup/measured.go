package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"slices"
	"strings"
	"time"

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
		m, found, err = newestScale(b)
		return err
	})
	switch {
	case errors.Is(err, fs.ErrNotExist), err == nil && !found:
		return s, nil
	case err != nil:
		return ofScale{said: "Scale: that of the bench is not taken: " + strings.TrimSuffix(err.Error(), ".") + "."}, nil
	}
	day := m.At.Format("2 Jan 2006")
	seen, checkedSince := "in the batch of "+day, m.Repeats.AtMS >= m.At.UnixMilli()
	if m.Repeats.AtMS == m.At.UnixMilli() {
		seen = "in the scale check of " + day
	}
	if f.RepeatabilityG != nil {
		s.Accuracy, _ = f.accuracy(m.Division) // looked at above
		s.said = fmt.Sprintf("Scale: of %.4g g %s; what it scatters by was given here.", m.Division.Grams(), seen)
	} else if s.Accuracy = mix.AccuracyOf(m.Division, scale.Manner{Noise: m.Noise, Stills: m.Stills, Repeats: m.Repeats}); s.Checked.N > 0 && checkedSince {
		s.said = fmt.Sprintf("Scale: %s (the book in %s).", s.Text(), folder)
	} else if s.Checked.N > 0 {
		s.said = fmt.Sprintf("Scale: %s %s (the book in %s).", seen, s.Text(), folder)
	} else if s.Measured {
		text := strings.TrimSuffix(strings.TrimPrefix(s.Text(), "a scale of "), ", as it was measured")
		s.said = fmt.Sprintf("Scale: measured on %s, %s (the book in %s).", day, text, folder)
	} else {
		s.said = fmt.Sprintf("Scale: of %.4g g in the batch of %s; the bench has not measured what it scatters by (the book in %s).", m.Division.Grams(), day, folder)
	}
	s.book = &scaleJSON{DivisionG: s.DivisionG, RepeatabilityG: s.RepeatabilityG, Measured: s.Measured, SinceMS: m.At.UnixMilli(), Book: folder}
	return s, nil
}

// newestScale is what the book knows of the scale of its bench: from the newest batch,
// or from a check of the known scale that was kept after it.
func newestScale(b *book.Book) (m book.MeasuredScale, found bool, err error) {
	if m, found, err = b.MeasuredScale(); err != nil {
		return m, false, err
	}
	k, at, known, err := knownScale(b)
	if err != nil || !known {
		return m, found, err
	}
	check, checked, err := b.LastCheck(k.Identity)
	if err != nil {
		return m, false, err
	}
	if r := check.Repeats(); checked && r.N > 0 && check.AtMS > m.At.UnixMilli() {
		if check.Division.Mass() != m.Division { // another scale than that of the batch, or no batch
			m = book.MeasuredScale{Division: check.Division.Mass(), At: time.UnixMilli(check.AtMS)}
		}
		m.Repeats = r
		return m, true, nil
	}
	if found && at.After(m.At) {
		err = sameScale(k, m)
	}
	return m, found && err == nil, err
}

// knownScale is the scale that the bench lets in.
func knownScale(b *book.Book) (k port.Known, at time.Time, ok bool, err error) {
	body, at, ok, err := b.KnownScale()
	if err != nil || !ok {
		return k, at, false, err
	}
	if err := json.Unmarshal(body, &k); err != nil {
		return k, at, false, fmt.Errorf("the book's known scale can not be read: %w", err)
	}
	return k, at, true, nil
}

// sameScale refuses what was measured of a scale that another one has taken the
// place of since: it shows another step.
func sameScale(k port.Known, m book.MeasuredScale) error {
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
