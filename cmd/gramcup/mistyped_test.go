package main

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"
)

const (
	allCommands = "there are serve, demo, plan, voc, density, grey, strip, level, decode, scale, sim and version, and gramcup --help says what each does\n"
	ofTheScale  = "there are find, list, listen, record, try, replay, check and checks, and gramcup scale --help says what each does\n"
)

// A word that is not known is named, with the nearest that is and all that there
// are; where none is near none is made up.
func TestMistypedCommands(t *testing.T) {
	for args, says := range map[string]string{
		"bogus":       `there is no command "bogus"; ` + allCommands,
		"scal":        `there is no command "scal", the nearest is "scale"; ` + allCommands,
		"Plan":        `there is no command "Plan", the nearest is "plan"; ` + allCommands,
		"find":        `there is no command "find", but there is "scale find"; ` + allCommands,
		"scale bogus": `there is no command "scale bogus"; ` + ofTheScale,
		"scale fidn":  `there is no command "scale fidn", the nearest is "scale find"; ` + ofTheScale,
		"scale chekc": `there is no command "scale chekc", the nearest is "scale check"; ` + ofTheScale,
		"density watr": `there is no command "density watr", the nearest is "density water"; ` +
			"there are water, ratios and at, and gramcup density --help says what each does\n",
		"scale":          "gramcup scale stands alone: behind it comes one of find, list, listen, record, try, replay, check and checks, and gramcup scale --help says what each does\n",
		"scale list all": `scale list does not know what to do with "all": it takes flags alone, and gramcup scale list --help lists them` + "\n",
		"plan a.toml b":  `plan does not know what to do with "b": it takes RECIPE.toml and flags, and gramcup plan --help lists them` + "\n",
	} {
		status, out, errs := gramcup(t, "", line(args)...)
		assert.Equal(t, 2, status, args)
		assert.Empty(t, out)
		assert.Equal(t, "gramcup: "+says, errs)
	}
}

// The same for a flag, whose place may be wrong and not its letters.
func TestMistypedFlags(t *testing.T) {
	for args, says := range map[string]string{
		"plan --jsn":               "plan has no flag --jsn, the nearest is --json; there are --help, --version, --ratio, ",
		"plan --volume-mi=3":       "plan has no flag --volume-mi, the nearest is --volume-ml; there are ",
		"plan --colour red":        "plan has no flag --colour; there are --help, ",
		"scale check --wieght 1kg": "scale check has no flag --wieght, the nearest is --weight; there are --help, --version, --config, --scale, --line, ",
		"scale --for 3s list":      "scale has no flag --for, it belongs behind scale find, scale listen, scale record and scale try; there are --help and --version, and gramcup scale --help says what each is for\n",
		"serve --no-aks":           "serve has no flag --no-aks, the nearest is --no-ask; there are ",
		"version -x":               "version has no flag -x; there are --help and --version, and gramcup version --help says what each is for\n",
		"plan --ratio":             "nothing stands behind --ratio: it needs a value, and gramcup plan --help shows one\n",
	} {
		status, out, errs := gramcup(t, "", line(args)...)
		assert.Equal(t, 2, status, args)
		assert.Empty(t, out)
		assert.Contains(t, errs, "gramcup: "+says)
		assert.Equal(t, 1, strings.Count(errs, "\n"), errs)
	}
	_, help, _ := gramcup(t, "", "plan", "--help")
	_, _, errs := gramcup(t, "", "plan", "--jsn")
	_, list, _ := strings.Cut(errs, "there are ")
	list, _, _ = strings.Cut(list, ", and gramcup")
	for _, flag := range strings.Split(strings.ReplaceAll(list, " and ", ", "), ", ") {
		assert.Contains(t, help, flag, "what is listed exists")
	}
}

// Slips are a distance, and one slip of a hand is one.
func TestSlips(t *testing.T) {
	for _, c := range []struct {
		a, b string
		n    int
	}{{"", "", 0}, {"scale", "scale", 0}, {"scal", "scale", 1}, {"sscale", "scale", 1}, {"scsle", "scale", 1}, {"sacle", "scale", 1}, {"", "sim", 3}, {"voc", "sim", 3}} {
		assert.Equal(t, c.n, slips(c.a, c.b), "%q to %q", c.a, c.b)
	}
	rapid.Check(t, func(t *rapid.T) {
		word := rapid.StringOfN(rapid.RuneFrom([]rune("abc")), 0, 6, -1)
		a, b := word.Draw(t, "a"), word.Draw(t, "b")
		assert.Equal(t, slips(a, b), slips(b, a))
		assert.Equal(t, a == b, slips(a, b) == 0)
		assert.LessOrEqual(t, slips(a, b), max(len(a), len(b)))
	})
}
