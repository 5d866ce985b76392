package main

import (
	"fmt"
	"io"
	"runtime/debug"
)

// versionCmd prints the version.
type versionCmd struct{}

// Run prints it.
func (c *versionCmd) Run(out io.Writer) error {
	_, err := fmt.Fprintf(out, "gramcup %s\n", version())
	return err
}

// version is what the build knows: the module's version or the revision.
func version() string {
	info, ok := debug.ReadBuildInfo()
	if !ok {
		return "unknown"
	}
	v := info.Main.Version
	if v != "" && v != "(devel)" {
		return v
	}
	for _, s := range info.Settings {
		if s.Key == "vcs.revision" && len(s.Value) >= 12 {
			return "revision " + s.Value[:12]
		}
	}
	return "development"
}
