package coating_test

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// outside is one check against something outside this program. The figure and
// its source stand side by side; got works it out anew.
type outside struct {
	id, source string
	want       float64
	within     float64 // absolute
	got        func() (float64, error)
}

// TestOutsideChecks compares every figure and prints the table.
func TestOutsideChecks(t *testing.T) {
	all := append(mixChecks(), filmChecks()...)
	all = append(all, unitChecks()...)
	all = append(all, vocChecks()...)
	all = append(all, limitChecks()...)
	all = append(all, densityRowChecks()...)
	all = append(all, densityChecks()...)
	all = append(all, waterChecks()...)
	all = append(all, sureChecks()...)
	all = append(all, vocSureChecks()...)
	all = append(all, urethaneChecks()...)
	all = append(all, greyChecks()...)
	var table strings.Builder
	seen := map[string]bool{}
	for _, c := range all {
		require.NotEmpty(t, c.source, c.id)
		require.False(t, seen[c.id], "%s stands twice", c.id)
		require.Positive(t, c.within, c.id)
		seen[c.id] = true
		got, err := c.got()
		if assert.NoError(t, err, c.id) {
			assert.InDelta(t, c.want, got, c.within, "%s: %s", c.id, c.source)
		}
		fmt.Fprintf(&table, "%-44s %14.6f %14.6f ± %-9.2g %s\n", c.id, c.want, got, c.within, c.source)
	}
	t.Logf("%d checks\n%-44s %14s %14s   %-9s %s\n%s", len(all), "check", "outside", "here", "within", "source", table.String())
}

// sure wraps a figure that can not be refused.
func sure(x float64) func() (float64, error) {
	return func() (float64, error) { return x, nil }
}
