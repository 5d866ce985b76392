package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"gramcup/mix"
	"gramcup/mix/book"
	"gramcup/mix/coating"
)

// ofBook is what a plan takes out of the book and of files beside its recipe.
type ofBook struct {
	bench      ofScale
	own        []coating.Limit // the shop's own, of --limits and, for a product of the shelf, of the book
	categories []coating.Limit // that --as names
}

// prepare reads what was asked for before anything is printed.
func (c *planCmd) prepare() (err error) {
	known, err := c.known()
	if err != nil {
		return err
	}
	typed := known[len(coating.Limits()):]
	kept := slices.DeleteFunc(c.own, func(l coating.Limit) bool { // what is typed goes before
		return slices.ContainsFunc(typed, func(t coating.Limit) bool { return t.Name() == l.Name() })
	})
	c.own = append(kept, typed...)
	if c.categories, err = pickLimits(append(coating.Limits(), c.own...), c.As); err != nil {
		return err
	}
	c.bench, err = c.scaleFlags.of(c.Data)
	return err
}

// whichRecipe is the file's, the shelf's or the flags'.
func (c *planCmd) whichRecipe() (mix.Recipe, error) {
	if c.File == "" {
		return c.recipe()
	}
	if c.Ratio != "" || c.Density != "" || c.ExtraPercent != 0 {
		return mix.Recipe{}, fmt.Errorf("%s says the ratio and the densities already: leave out --ratio, --density and --extra-percent", c.File)
	}
	_, err := os.Stat(c.File)
	if errors.Is(err, fs.ErrNotExist) && filepath.Ext(c.File) != ".toml" && filepath.Base(c.File) == c.File {
		return c.fromShelf()
	}
	return readRecipe(c.File)
}

// fromShelf is the product of that name or id in the book, with the limits that
// the shop has typed there and at the temperature that it has set.
func (c *planCmd) fromShelf() (r mix.Recipe, err error) {
	found, names := false, []string(nil)
	err = ask(c.Data, func(b *book.Book) error {
		shelf, err := b.Recipes()
		if err != nil {
			return err
		}
		for _, one := range shelf {
			names = append(names, one.Name)
			if !found && (one.ID == c.File || strings.EqualFold(one.Name, c.File)) {
				r, found = one, true
			}
		}
		settings, err := b.Settings()
		if c.own = settings.Limits; c.ShopC == nil {
			c.ShopC = settings.ShopC
		}
		return err
	})
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return r, fmt.Errorf("recipe file %s does not exist, and there is no book in %s whose shelf could have a product of that name: --data names its folder", c.File, c.Data)
	case err != nil:
		return r, err
	case !found:
		return r, fmt.Errorf("recipe file %s does not exist, and no product on the shelf of the book in %s is called that; there are: %s", c.File, c.Data, strings.Join(names, ", "))
	}
	return r, nil
}
