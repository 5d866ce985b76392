package main

import (
	"fmt"

	"gramcup/mix"
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
	if c.own, err = c.knownBeside(c.own); err != nil {
		return err
	}
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
	r, shop, err := namedRecipe(c.File, c.Data)
	if c.own = shop.Limits; c.ShopC == nil {
		c.ShopC = shop.ShopC
	}
	return r, err
}
