package main

import (
	"errors"
	"fmt"
	"io/fs"
	"slices"
	"strings"

	"gramcup/mix"
	"gramcup/mix/coating"
)

// limitFlags say what a mix is held against.
type limitFlags struct {
	As     []string `placeholder:"CATEGORY" sep:"none" help:"A category that the mix is used as, or a part of its name; several, and the strictest governs. Without it those that the recipe names under uses. gramcup voc --list shows them."`
	Limits string   `placeholder:"FILE.toml" help:"Further limits of your own: tables [[limit]] with set, category, g_l, basis, source and date."`
}

// strictest is said where a mix is held against several limits.
const strictest = "Of the %d categories that it is used as this is the strictest, and it governs."

// known are the built-in limits and the shop's own.
func (c limitFlags) known() ([]coating.Limit, error) {
	all := coating.Limits()
	if c.Limits == "" {
		return all, nil
	}
	var file struct {
		Limit []limitJSON `toml:"limit"`
	}
	meta, err := decodeTOML(c.Limits, &file)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil, fmt.Errorf("--limits: %s does not exist", c.Limits)
	case err != nil:
		return nil, fmt.Errorf("--limits %s: %w", c.Limits, err)
	case len(meta.Undecoded()) > 0:
		return nil, fmt.Errorf("--limits %s: there is no key %s; a [[limit]] has set, category, g_l, basis, source and date", c.Limits, meta.Undecoded()[0])
	}
	for _, l := range file.Limit {
		row := coating.Limit{Set: l.Set, Category: l.Category, GL: l.GL, Basis: coating.Basis(l.Basis), Source: l.Source, Date: l.Date}
		if err := row.Check(); err != nil {
			return nil, fmt.Errorf("--limits %s: %w", c.Limits, err)
		}
		all = append(all, row)
	}
	if err := (mix.Settings{Limits: all[len(coating.Limits()):]}).Check(); err != nil {
		return nil, fmt.Errorf("--limits %s: %w", c.Limits, err)
	}
	return all, nil
}

// knownBeside are a shop's own limits: those that are kept, and those of the file. One
// that is typed goes before one of the same name.
func (c limitFlags) knownBeside(kept []coating.Limit) ([]coating.Limit, error) {
	known, err := c.known()
	if err != nil {
		return nil, err
	}
	typed := known[len(coating.Limits()):]
	left := slices.DeleteFunc(slices.Clone(kept), func(l coating.Limit) bool {
		return slices.ContainsFunc(typed, func(t coating.Limit) bool { return t.Name() == l.Name() })
	})
	return append(left, typed...), nil
}

// pickLimits finds each category by a part of its name or of its table's.
func pickLimits(known []coating.Limit, names []string) (picked []coating.Limit, err error) {
	for _, name := range names {
		if strings.TrimSpace(name) == "" {
			return nil, errors.New("--as is empty: give a category or a part of its name; gramcup voc --list shows them")
		}
		found := 0
		for _, l := range known {
			if strings.Contains(strings.ToLower(l.Set+": "+l.Category), strings.ToLower(name)) {
				picked = append(picked, l)
				found++
			}
		}
		if found == 0 {
			return nil, fmt.Errorf("--as %q: no category is called that; gramcup voc --list shows them", name)
		}
	}
	return picked, nil
}
