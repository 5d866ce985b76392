package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"sort"
	"strings"

	"github.com/BurntSushi/toml"
	"github.com/alecthomas/kong"

	"gramcup/scale"
)

// configFile is the file's content: a table for each command that has one, its
// keys the flags without their dashes. Flag goes before environment, that
// before the file, and that before the default.
type configFile struct {
	Serve serveFile `toml:"serve"`
	// OwnLine describes the lines of a scale that no built-in shape reads; they
	// are used with line = "own".
	OwnLine *scale.OwnLine `toml:"own_line"`
}

// serveFile is the [serve] table. Pointers tell absent from empty.
type serveFile struct {
	Scale    *string  `toml:"scale"`
	Line     *string  `toml:"line"`
	Ask      *bool    `toml:"ask"`
	Division *string  `toml:"division"`
	Wait     *bool    `toml:"wait"`
	Listen   *string  `toml:"listen"`
	Data     *string  `toml:"data"`
	Station  *string  `toml:"station"`
	Host     []string `toml:"host"`
	Record   *string  `toml:"record"`

	CheckEvery *string `toml:"check_every"`
}

// serveKeys lists the keys, for the message about one that does not exist.
const serveKeys = "scale, line, ask, division, wait, listen, data, station, host, record, check_every"

// ownKeys lists those of a scale of your own.
const ownKeys = "pattern, end, unit, still, moving, net, gross, tare, over, under, wait"

// codec is the built-in shape of that name, or the described one.
func (f configFile) codec(name string) (scale.Codec, error) {
	if name != "own" {
		return scale.CodecByName(name)
	}
	if f.OwnLine == nil {
		return nil, fmt.Errorf("line own: the config file has no table [own_line] that describes it")
	}
	return scale.NewOwn(*f.OwnLine)
}

// readConfig reads a file strictly: a key that does not exist is a mistake
// that somebody made, and silence would hide it.
func readConfig(path string) (configFile, error) {
	var c configFile
	meta, err := decodeTOML(path, &c)
	var syntax toml.ParseError
	switch {
	case errors.As(err, &syntax):
		return c, fmt.Errorf("config file %s, line %d: %s", path, syntax.Position.Line, syntax.Message)
	case errors.Is(err, fs.ErrNotExist):
		return c, fmt.Errorf("config file %s does not exist", path)
	case err != nil && strings.Contains(err.Error(), "incompatible types"):
		where, _, _ := strings.Cut(strings.TrimPrefix(err.Error(), "toml: "), ": incompatible")
		return c, fmt.Errorf("config file %s, %s: this needs another kind of value: text stands in quotes, true and false do not", path, where)
	case err != nil && strings.Contains(err.Error(), "expected table"):
		where, _, _ := strings.Cut(strings.TrimPrefix(err.Error(), "toml: "), ": type mismatch")
		return c, fmt.Errorf("config file %s, %s: this is a table: write its name in brackets on a line of its own, such as [own_line], and its keys on the lines below", path, where)
	case err != nil:
		return c, fmt.Errorf("config file %s: %w", path, err)
	}
	var unknown []string
	for _, key := range meta.Undecoded() {
		unknown = append(unknown, key.String())
	}
	if len(unknown) > 0 {
		sort.Strings(unknown)
		return c, fmt.Errorf("config file %s: there is no key %s; in [serve] there are %s, in [own_line] %s", path, strings.Join(unknown, ", "), serveKeys, ownKeys)
	}
	return c, nil
}

// values gives each key as the flag would be typed.
func (f serveFile) values() map[string]any {
	v := map[string]any{}
	for key, p := range map[string]*string{
		"scale": f.Scale, "line": f.Line, "division": f.Division, "listen": f.Listen,
		"data": f.Data, "station": f.Station, "record": f.Record, "check-every": f.CheckEvery,
	} {
		if p != nil {
			v[key] = *p
		}
	}
	for key, p := range map[string]*bool{"ask": f.Ask, "wait": f.Wait} {
		if p != nil {
			v[key] = *p
		}
	}
	if len(f.Host) > 0 {
		v["host"] = strings.Join(f.Host, ",")
	}
	return v
}

// resolver puts the file between environment and default. Kong asks resolvers
// after the environment, so one that is set there is left alone.
func (f serveFile) resolver() kong.Resolver {
	values := f.values()
	return kong.ResolverFunc(func(_ *kong.Context, _ *kong.Path, flag *kong.Flag) (any, error) {
		for _, env := range flag.Envs {
			if _, set := os.LookupEnv(env); set {
				return nil, nil
			}
		}
		return values[flag.Name], nil
	})
}

// configPath is the file that is read when none is named: the user's own, if
// it is there.
func configPath() string {
	path := userConfigFile()
	if _, err := os.Stat(path); err != nil {
		return ""
	}
	return path
}

// userConfigFile is the user's own, there or not; "" where a user has none.
func userConfigFile() string {
	dir, err := os.UserConfigDir()
	if err != nil {
		return ""
	}
	return filepath.Join(dir, "gramcup", "config.toml")
}

// stateFolder is where the book is kept unless told otherwise.
func stateFolder() string {
	if dir := os.Getenv("XDG_STATE_HOME"); filepath.IsAbs(dir) {
		return filepath.Join(dir, "gramcup")
	}
	home, err := os.UserHomeDir()
	if err != nil {
		return "gramcup-data"
	}
	return filepath.Join(home, ".local", "state", "gramcup")
}
