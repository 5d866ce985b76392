package main

import (
	"errors"
	"fmt"
	"io/fs"
	"path/filepath"
	"sort"
	"strings"

	"github.com/BurntSushi/toml"

	"gramcup/mix"
)

// recipeHelp teaches the file by its shortest useful form.
const recipeHelp = `A recipe file is TOML; testdata/recipes/slate-surfacer.toml shows every key:

  name = "Slate surfacer"
  basis = "volume"
  [[components]]
  name = "Slate surfacer"
  role = "base"
  parts = 4
  tolerance = 0.02
  density = { g_ml = 1.40, source = "product sheet" }`

// readRecipe reads a recipe file strictly: a key that does not exist is a slip
// that silence would hide.
func readRecipe(path string) (mix.Recipe, error) {
	var r mix.Recipe
	meta, err := toml.DecodeFile(path, &r)
	var syntax toml.ParseError
	switch {
	case errors.As(err, &syntax):
		return r, fmt.Errorf("recipe file %s, line %d: %s", path, syntax.Position.Line, syntax.Message)
	case errors.Is(err, fs.ErrNotExist):
		return r, fmt.Errorf("recipe file %s does not exist", path)
	case err != nil:
		return r, fmt.Errorf("recipe file %s: %w", path, err)
	}
	var unknown []string
	for _, key := range meta.Undecoded() {
		unknown = append(unknown, key.String())
	}
	if len(unknown) > 0 {
		sort.Strings(unknown)
		return r, fmt.Errorf("recipe file %s: there is no key %s; testdata/recipes shows every key", path, strings.Join(unknown, ", "))
	}
	if r.ID == "" {
		r.ID = strings.TrimSuffix(filepath.Base(path), filepath.Ext(path))
	}
	for i := range r.Components {
		d := &r.Components[i].Density
		if d.Known() && d.ReferenceC == 0 {
			d.ReferenceC = 20 // as ParseDensity has it: where a sheet says nothing it means 20 °C
		}
	}
	if err := r.Check(); err != nil {
		return r, fmt.Errorf("recipe file %s: %w", path, err)
	}
	return r, nil
}
