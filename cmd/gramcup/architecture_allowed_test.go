package main

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// allowed lists, for each package, everything of this module and from outside
// that it may import. What nobody thought of forbidding is not allowed either.
var allowed = map[string]string{
	"gramcup/scale":           "",
	"gramcup/scale/scaletest": "gramcup/scale github.com/stretchr/testify/assert github.com/stretchr/testify/require pgregory.net/rapid go.uber.org/goleak",
	"gramcup/scale/find":      "gramcup/scale",
	"gramcup/scale/pan":       "gramcup/scale",
	"gramcup/scale/checkup":   "gramcup/scale gramcup/scale/pan",
	"gramcup/scale/port":      "gramcup/scale go.bug.st/serial golang.org/x/sys/unix",
	"gramcup/mix":             "gramcup/scale gramcup/mix/coating",
	"gramcup/mix/coating":     "gramcup/scale",
	"gramcup/mix/strip":       "gramcup/mix/coating",
	"gramcup/mix/measure":     "gramcup/mix/coating gramcup/scale gramcup/scale/pan",
	// The book keeps the record of a check, and the page leads through one:
	// checkup is values and a pure walk, as mix is for a batch.
	"gramcup/mix/book":  "gramcup/mix gramcup/scale gramcup/scale/checkup modernc.org/sqlite modernc.org/sqlite/lib golang.org/x/sys/unix golang.org/x/sys/windows",
	"gramcup/mix/bench": "gramcup/mix gramcup/scale",
	// The page leads through measuring a density (measure is a pure walk too), and
	// hands out the strip of a cup.
	"gramcup/ui": "gramcup/mix/bench gramcup/mix gramcup/mix/coating gramcup/mix/measure gramcup/mix/strip gramcup/scale gramcup/scale/checkup github.com/gorilla/websocket " +
		"github.com/prometheus/client_golang/prometheus github.com/prometheus/client_golang/prometheus/promhttp",
	"gramcup/simulator": "gramcup/scale golang.org/x/sys/unix",
}

func TestOnlyWhatIsAllowedIsImported(t *testing.T) {
	own, _ := listPackages(t)
	for path, p := range own {
		if strings.HasPrefix(path, "gramcup/cmd/") {
			continue // it puts everything together
		}
		may, known := allowed[path]
		require.True(t, known, "%s is new: say in this table what it may import", path)
		for _, imp := range p.Imports {
			if !isStandard(imp) {
				require.Contains(t, strings.Fields(may), imp, "%s imports %s", path, imp)
			}
		}
	}
}
