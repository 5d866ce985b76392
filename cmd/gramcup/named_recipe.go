package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"gramcup/mix"
	"gramcup/mix/book"
)

// namedRecipe is the recipe of a file, or the product of that name or id on the shelf
// of the book in folder. With a product comes what its shop has set for all of them.
func namedRecipe(name, folder string) (r mix.Recipe, shop mix.Settings, err error) {
	_, err = os.Stat(name)
	if errors.Is(err, fs.ErrNotExist) && filepath.Ext(name) != ".toml" && filepath.Base(name) == name {
		return fromShelf(name, folder)
	}
	r, err = readRecipe(name)
	return r, mix.Settings{}, err
}

// warmRecipe is a named recipe with its densities at the temperature that its shop has
// set, and what is to be said of that.
func warmRecipe(name, folder string) (r mix.Recipe, shop mix.Settings, said []string, err error) {
	if r, shop, err = namedRecipe(name, folder); err != nil || shop.ShopC == nil {
		return r, shop, nil, err
	}
	w, err := shop.Warm(r)
	if err != nil {
		return r, shop, nil, err
	}
	said = append([]string{fmt.Sprintf("Densities at the shop's %.4g °C, as the book in %s has it.", *shop.ShopC, folder)}, w.Notes...)
	return w.Recipe, shop, said, nil
}

func fromShelf(name, folder string) (r mix.Recipe, shop mix.Settings, err error) {
	found, names := false, []string(nil)
	err = ask(folder, func(b *book.Book) error {
		shelf, err := b.Recipes()
		if err != nil {
			return err
		}
		for _, one := range shelf {
			names = append(names, one.Name)
			if !found && (one.ID == name || strings.EqualFold(one.Name, name)) {
				r, found = one, true
			}
		}
		shop, err = b.Settings()
		return err
	})
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return r, shop, fmt.Errorf("recipe file %s does not exist, and there is no book in %s whose shelf could have a product of that name: --data names its folder", name, folder)
	case err != nil:
		return r, shop, err
	case !found:
		return r, shop, fmt.Errorf("recipe file %s does not exist, and no product on the shelf of the book in %s is called that; there are: %s", name, folder, strings.Join(names, ", "))
	}
	return r, shop, nil
}
