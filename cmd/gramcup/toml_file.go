package main

import (
	"fmt"
	"io"
	"os"
	"strings"

	"github.com/BurntSushi/toml"
)

// mostTOMLBytes is far more than any file of ours; more is another kind of file.
const mostTOMLBytes = 1 << 20

// decodeTOML reads a file of ours into a struct. Keys are written in small
// letters: the library takes G_ML for g_ml, so that a file with both would give
// now the one value and now the other.
func decodeTOML(path string, into any) (toml.MetaData, error) {
	var none toml.MetaData
	f, err := os.Open(path)
	if err != nil {
		return none, err
	}
	defer func() { _ = f.Close() }()
	text, err := io.ReadAll(io.LimitReader(f, mostTOMLBytes+1))
	if err != nil {
		return none, err
	}
	if len(text) > mostTOMLBytes {
		return none, fmt.Errorf("it is longer than %d bytes: that is another kind of file", mostTOMLBytes)
	}
	meta, err := toml.Decode(string(text), into)
	if err != nil {
		return meta, err
	}
	for _, key := range meta.Keys() {
		if name := key.String(); name != strings.ToLower(name) {
			return meta, fmt.Errorf("the key %s: keys are written in small letters, as %s", name, strings.ToLower(name))
		}
	}
	return meta, nil
}
