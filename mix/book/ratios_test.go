package book

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"gramcup/mix"
)

// TestSampleHasTheRatiosOfTheTrade: a newcomer finds on the shelf what stands on
// tins: with a percentage, with two and three parts, by hundred.
func TestSampleHasTheRatiosOfTheTrade(t *testing.T) {
	var all []string
	for _, r := range Sample() {
		all = append(all, mix.RatioText(r))
	}
	for _, want := range []string{"2 : 1 + 10 % of ", "4 : 1 : 1 by ", "5 : 1 : 1 by ", "100 : 30 by ", "10 : 1 by ", "8 : 4 : 1 by "} {
		found := false
		for _, ratio := range all {
			found = found || strings.HasPrefix(ratio, want)
		}
		require.True(t, found, "%s… is on the shelf: %q", want, all)
	}
}
