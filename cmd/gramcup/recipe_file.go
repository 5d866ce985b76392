package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"slices"
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
	meta, err := decodeTOML(path, &r)
	var syntax toml.ParseError
	switch {
	case errors.As(err, &syntax):
		return r, fmt.Errorf("recipe file %s, line %d: %s%s", path, syntax.Position.Line, syntax.Message, commaHint(path, syntax.Position.Line))
	case errors.Is(err, fs.ErrNotExist):
		return r, fmt.Errorf("recipe file %s does not exist", path)
	case err != nil && strings.Contains(err.Error(), "incompatible types"):
		_, key, _ := strings.Cut(err.Error(), `last key "`)
		key, _, _ = strings.Cut(key, `"`)
		return r, fmt.Errorf("recipe file %s: %s needs another kind of value: numbers stand without quotes, text stands in them", path, key)
	case err != nil:
		return r, fmt.Errorf("recipe file %s: %w", path, err)
	}
	var unknown []string
	for _, key := range meta.Undecoded() {
		unknown = append(unknown, key.String())
	}
	if len(unknown) > 0 {
		sort.Strings(unknown)
		unknown = slices.Compact(unknown)
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

// commaHint says what would be right where a line of the file has a comma between
// two digits: the parser only says that it did not expect one.
func commaHint(path string, line int) string {
	text, err := os.ReadFile(path)
	lines := strings.Split(string(text), "\n")
	if err != nil || line < 1 || line > len(lines) || !regexp.MustCompile(`= *\d+,\d`).MatchString(lines[line-1]) {
		return ""
	}
	return "; a number is written with a point, as in 1.40"
}
