package main

import (
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// changed is the slate surfacer with lines of its file replaced.
func changed(t *testing.T, pairs ...string) string {
	t.Helper()
	text, err := os.ReadFile(slate)
	require.NoError(t, err)
	for i := 0; i < len(pairs); i += 2 {
		require.Contains(t, string(text), pairs[i])
		text = []byte(strings.Replace(string(text), pairs[i], pairs[i+1], 1))
	}
	path := filepath.Join(t.TempDir(), "recipe.toml")
	require.NoError(t, os.WriteFile(path, text, 0o600))
	return path
}

const bothUses = "basis = \"volume\"\nuses = [\"US national, 40 CFR 59 subpart B: Primer and primer surfacer\", \"EU, Directive 2004/42/EC annex II B: (c)(i) Surfacer, filler, general metal primer\"]"

// A recipe that names its categories is held against them, the strictest governs,
// and --as looks at others instead.
func TestVOCOfTheRecipesUses(t *testing.T) {
	path := changed(t, `basis = "volume"`, bothUses)
	got := printed(t, "voc", path, "--json")
	assert.InDelta(t, 540, got["limit"].(map[string]any)["g_l"], 0, "540 is stricter than 580")
	assert.InDelta(t, -22.5, got["spare_g_l"], 0.01)
	assert.Equal(t, false, got["within"])
	assert.Len(t, got["categories"], 2)
	got = printed(t, "voc", path, "--json", "--as", "US national, 40 CFR 59 subpart B: Primer and")
	assert.InDelta(t, 580, got["limit"].(map[string]any)["g_l"], 0)
	assert.Equal(t, true, got["within"])
	_, out, _ := gramcup(t, "", "voc", path)
	assert.Contains(t, out, "Of the 2 categories that it is used as this is the strictest, and it governs.")
	assert.Contains(t, out, "562 ± 3 g/l less water: 22 g/l ABOVE the limit of 540")
	assert.Contains(t, out, "Limit from: nibusinessinfo.co.uk, Solvent limits in vehicle refinishing products, since 1 January 2007 (from memory).")

	plan := printed(t, "plan", path, "--json", "--volume-ml", "600")
	assert.InDelta(t, -22.5, plan["limit"].(map[string]any)["spare_g_l"], 0.01)
	_, out, _ = gramcup(t, "", "plan", path, "--volume-ml", "600")
	assert.Contains(t, out, "22 g/l above the limit of 540 for (c)(i) Surfacer")
	assert.Contains(t, out, "Limit from: nibusinessinfo.co.uk, Solvent limits in vehicle refinishing products, since 1 January 2007 (from memory).\n", "where it is decided on")
	assert.Contains(t, out, "VOC 562 ± 3 g/l ready to spray, less water and exempt solvent (4.69 lb/gal)")
	assert.Contains(t, out, "The ± counts the densities alone; the sheets give no ± of their VOC.")
	_, out, _ = gramcup(t, "", "plan", path, "--volume-ml", "300", "--division", "1g")
	assert.Contains(t, out, "VOC 562 ± 6 g/l ready to spray")
	assert.Contains(t, out, "The ± counts the densities and the scale; the sheets give no ± of their VOC.")

	gone := changed(t, `basis = "volume"`, "basis = \"volume\"\nuses = [\"Gone: Clear\"]")
	_, _, errs := gramcup(t, "", "voc", gone)
	assert.Contains(t, errs, `is used as "Gone: Clear", and no limit is called that any more`)
	_, out, _ = gramcup(t, "", "plan", gone, "--volume-ml", "600")
	assert.Contains(t, out, `no limit is called that any more`)
}

// A limit within the ± is too near to call, in words and in JSON; each limit stands
// with its own source and date, also in a table whose rows are of different days.
func TestVOCTooNearToCall(t *testing.T) {
	path := filepath.Join(t.TempDir(), "limits.toml")
	row := "[[limit]]\nset = \"Ours\"\ncategory = %q\ng_l = %v\nbasis = \"less water and exempt solvent\"\nsource = \"the permit\"\ndate = %q\n"
	require.NoError(t, os.WriteFile(path, fmt.Appendf(nil, row+row, "Near", 564, "3 May 2026", "Far", 566, "9 June 2026"), 0o600))
	_, out, _ := gramcup(t, "", line("voc "+slate+" --as Near --limits "+path)...)
	assert.Contains(t, out, "562 ± 3 g/l less water and exempt solvent, too near to call: the limit of 564 for Near (Ours) lies within the ±.\nLimit from: the permit, 3 May 2026.\n")
	assert.Contains(t, out, "reach the limit, and by its ± it may be there already; the sheet may allow less.")
	assert.Equal(t, true, printed(t, line("voc "+slate+" --json --as Near --limits "+path)...)["too_near_to_call"])
	_, out, _ = gramcup(t, "", line("voc "+slate+" --as Far --limits "+path)...)
	assert.Contains(t, out, "562 ± 3 g/l less water and exempt solvent: 4 g/l below the limit of 566 for Far (Ours).\nLimit from: the permit, 9 June 2026.\n")
	_, out, _ = gramcup(t, "", line("voc --list --limits "+path)...)
	assert.Contains(t, out, "the permit, 3 May 2026\n")
	assert.Contains(t, out, "the permit, 9 June 2026\n")
	_, out, _ = gramcup(t, "", line("voc --stages 720,500")...)
	assert.Contains(t, out, "No ± is known: the figures were typed without one.")
}

// In a warm shop each density moves, by 1.40/1.0056 at 28 °C, and beyond 10 K
// there is a warning, in words and in JSON; the same on every command.
func TestWarmShopOnTheCommandLine(t *testing.T) {
	got := printed(t, "plan", slate, "--json", "--volume-ml", "600", "--shop-c", "28")
	base := got["components"].([]any)[0].(map[string]any)
	assert.InDelta(t, 1.40/1.0056, base["density_g_ml"], 1e-9)
	assert.InDelta(t, 28, base["density_reference_c"], 0)
	assert.Equal(t, "1.392 g/ml at 28 °C, invented, moved from 20 °C, ± 0.008", base["density_provenance"])
	assert.Empty(t, got["notes"])
	for _, args := range []string{"plan " + slate + " --volume-ml 600 --shop-c 31", "plan " + slate + " --volume-ml 600 --shop-c 9"} {
		_, out, errs := gramcup(t, "", line(args)...)
		assert.Empty(t, errs)
		assert.Regexp(t, `Slate surfacer.*: The paint is at (31|9) °C and its density holds for 20 °C: more than 10 K apart the correction is a guess.`, out, args)
		require.NotEmpty(t, printed(t, line(args+" --json")...)["notes"], args)
	}
	// 562.5 g/l as the sheets have it: a warm shop buys no room below a limit.
	plan := printed(t, "plan", slate, "--json", "--volume-ml", "600", "--shop-c", "28")
	assert.InDelta(t, 562.5, plan["voc"].(map[string]any)["material_g_l"], 0.01)
}

// How sure, for the scale that there is: its division alone, or what was measured
// of it; and beside it stick and cup.
func TestSureOnTheCommandLine(t *testing.T) {
	_, out, _ := gramcup(t, "", line("plan "+slate+" --volume-ml 60 --division 1g")...)
	assert.Contains(t, out, "The Slate hardener of 10.6 g is too small for a scale of 1 g: 380 ml would do.\n")
	assert.Contains(t, out, "Worked out for a scale of 1 g, taken to scatter by one division because nobody measured it.\n")
	// 2·0.41/0.03 = 27.33 g of hardener are 154.7 ml of the mix.
	_, out, _ = gramcup(t, "", line("plan "+slate+" --volume-ml 60 --division 1g --repeatability-g 0.3")...)
	assert.Contains(t, out, "The Slate hardener of 10.6 g is too small for a scale of 1 g: 160 ml would do.\n")
	assert.Contains(t, out, "a scale of 1 g that scatters by less than its step, as it was measured")
	sure := printed(t, line("plan --json "+slate+" --volume-ml 60 --division 1g --repeatability-g 0.3")...)["sure"].(map[string]any)
	assert.Equal(t, true, sure["repeatability_measured"])
	assert.InDelta(t, 154.717, sure["smallest_ml"], 1e-3)

	got := printed(t, line("plan --json "+slate+" --volume-ml 300 --division 0.1g --cup 85x120")...)
	compare := got["compare"].(map[string]any)["components"].([]any)
	hardener := compare[1].(map[string]any)
	assert.InDelta(t, 0.2407, hardener["stick_error_fraction"], 1e-4, "1.5 mm at both ends of 8.811 mm")
	assert.InDelta(t, 0.2407, hardener["cup_mark_error_fraction"], 1e-4)
	// 2·√((√2·0.104083/53)² + (0.004/1.06)²)
	assert.InDelta(t, 0.009371, hardener["scale_error_fraction"], 1e-6)
	strip := printed(t, line("strip --json "+slate+" --volume-ml 300 --cup 85x120")...)
	assert.Equal(t, compare, strip["components"], "one comparison, whoever prints it")
	_, out, _ = gramcup(t, "", line("plan "+slate+" --volume-ml 300 --division 0.1g --cup 85x120")...)
	assert.Regexp(t, `Slate hardener +50\.0 +44\.1 +± 24\.1 % +± 24\.1 % +± 0\.9 %`, out)
	_, out, _ = gramcup(t, "", line("plan "+slate+" --volume-ml 300 --cup 85x120")...)
	assert.Contains(t, out, "By weight: the step of the scale is not known yet")
}

// What a job costs, what a full cup leaves over and which cup is next: 2 m² in two
// coats of 25 µm at 44.667 % and 65 % are 344.43 ml; a litre of 4:1:1 at 26, 44 and
// 11 is 26.50, a cup of 400 ml leaves 55.57 ml or 1.47.
func TestCostAndLeftOver(t *testing.T) {
	args := "plan " + slate + " --area-m2 2 --dry-um 25 --loss 0 --dead-ml 0"
	got := printed(t, line(args+" --json")...)
	assert.InDelta(t, 0.34443*26.5, got["cost"], 1e-3)
	assert.InDelta(t, 400, got["next_cup_ml"], 0)
	left := got["left"].([]any)[0].(map[string]any)
	assert.InDelta(t, 55.57, left["left_ml"], 0.01)
	assert.InDelta(t, 1.473, left["left_cost"], 1e-3)
	_, out, _ := gramcup(t, "", line(args)...)
	assert.Contains(t, out, "9.13 in material.\nA full cup of 400 ml would leave 56 ml over: 1.47 in material.\nThe next usual cup holds 400 ml.\n")
	_, out, _ = gramcup(t, "", line("plan --ratio 4:1 --basis weight --mass-g 500")...)
	assert.NotContains(t, out, "in material")
	assert.NotContains(t, out, "usual cup", "nobody knows its volume")
}

// By weight no density is needed, and an unusual one is asked about.
func TestPlansWithoutOrWithOddDensities(t *testing.T) {
	_, out, errs := gramcup(t, "", line("plan --ratio 100:30 --basis weight --mass-g 500 --division 0.1g")...)
	require.Empty(t, errs)
	assert.Regexp(t, `B hardener +115\.4 +- +23\.08 %`, out)
	assert.Contains(t, out, "B hardener: no density.")
	_, out, errs = gramcup(t, "", "plan", changed(t, "g_ml = 1.06", "g_ml = 1.31"), "--volume-ml", "300")
	require.Empty(t, errs)
	assert.Contains(t, out, "Slate hardener: 1.310 g/ml is unusual for hardener: most lie between 0.95 and 1.12.")
}

// What cannot be known is refused by the sentence that a person reads: VOC that
// can not be averaged, limits that can not be compared with, densities that can
// not be.
func TestVOCAndDensityRefusals(t *testing.T) {
	const volatile = "volatile = 0.40,"
	for _, c := range []struct {
		args []string
		says string
	}{
		{[]string{"voc", changed(t, volatile, "voc_g_l = 420,")}, "gramcup voc: Slate surfacer: its sheet states 420 g/l, and it is not said that it holds no water and no exempt solvent. Such a figure can not be averaged with others: give its volatile, water and exempt shares by weight.\n"},
		{[]string{"voc", changed(t, volatile, "")}, "Slate surfacer: its VOC is not known. Give its volatile, water and exempt shares by weight, or the VOC on its sheet; it is never taken as 0.\n"},
		{[]string{"voc", changed(t, volatile, "volatile = 0.40, exempt = 0.1,")}, "Slate surfacer holds exempt solvent but its density is not given: without it the volume to take off is not known.\n"},
		{[]string{"voc", changed(t, volatile, "volatile = 0.40, water = 0.5,")}, "water and exempt solvent together (50 %) are more than all that is volatile (40 %): the volatile share includes them.\n"},
		{[]string{"voc", changed(t, volatile, "voc_g_l = 2400, plain = true,")}, "a VOC of 2400 g/l can not be right: no solvent is heavier than 2000 g/l.\n"},
		{[]string{"voc", changed(t, volatile, "volatile = 40,")}, "volatile is 40, it is a fraction between 0 and 1: 0.40 for 40 %\n"},
		{[]string{"voc", changed(t, "g_ml = 1.40", "g_ml = 0.59")}, "density 0.59 g/mL can not be right: paint, hardener and reducer lie between 0.6 and 3 g/mL\n"},
		{[]string{"voc", changed(t, "g_ml = 1.40", "g_ml = 3.01")}, "density 3.01 g/mL can not be right"},
		{[]string{"voc", changed(t, "g_ml = 1.40", "g_ml = 1,40")}, "a number is written with a point, as in 1.40\n"},
		{[]string{"voc", changed(t, "g_ml = 1.40", `g_ml = "1.40"`)}, "components.density.g_ml needs another kind of value: numbers stand without quotes, text stands in them\n"},
		{[]string{"voc", changed(t, volatile, "volatil = 0.40,")}, "there is no key components.content.volatil; testdata/recipes shows every key\n"},
		{[]string{"voc", "--stages", "700,500", "--as", "EU"}, "counts each coating on its own, and has no figure for stages together\n"},
		{[]string{"voc", "--stages", "1e308,1e308"}, "give 0 to 2000 for both; no solvent is heavier.\n"},
		{[]string{"voc", slate, "--as", ""}, "--as is empty: give a category"},
		{[]string{"plan", slate, "--volume-ml", "600", "--shop-c", "NaN"}, "--shop-c: A shop at NaN °C can not be right: give -10 to 50 °C.\n"},
		{line("density water --water-g 1e308 --paint-g 1.2e308"), "a bench scale carries at most 100000 g\n"},
		{line("grey --card 0:93 --card 50:44 --card 100:25 --wanted 60 --volume-ml nan"), "--volume-ml NaN: give the undercoat wanted in millilitres, above 0 and at most 100000\n"},
		{line("density water --water-g 100 --paint-g 59"), "A density of 0.5889 g/ml can not be right: paint, hardener and reducer lie between 0.6 and 3.0 g/ml. Was it grams a litre, or pounds a gallon?\n"},
		{line("density water --water-g 100 --paint-g 302"), "A density of 3.015 g/ml can not be right"},
		{line("density water --water-g 100 --paint-g 130 --paint-c 200"), "Paint at 200 °C can not be right: give -10 to 50 °C.\n"},
		{line("density water --water-g 100 --paint-g 130 --height-mm=-3"), "--height-mm -3: give the height of the mark above the bottom"},
		{line("density at 1.05 --shop-c 20 --reference-c 1e308"), "can not be right: give -10 to 50 °C.\n"},
		{line("density at 0.5 --shop-c 20"), "A density of 0.5 g/ml can not be right"},
		{line("plan " + slate + " --area-m2 1e-300 --dry-um 40"), "The area is 1e-300 m²: give 0.001 to 500 m².\n"},
		{line("plan " + slate + " --area-m2 2 --dry-um 1e-300"), "give 1 to 1000 µm; it stands on the product sheet.\n"},
		{line("plan " + slate + " --volume-ml 1,5"), `--volume-ml: "1,5" is not a number here: write it with a point, as in 1.5`},
		{line("plan " + slate + " --volume-ml 300 --coats 1.5"), `--coats: "1.5" is not a whole number`},
		{line("plan " + slate + " --volume-ml 300 --division 1g --repeatability-g NaN"), "--repeatability-g NaN: give 0 to 1000 g\n"},
		{line("strip " + slate + " --volume-ml 300 --fills 20:60,60:1e308"), "can not be right: give at most 100000 ml and 1000 mm.\n"},
		{[]string{"plan", changed(t, "g_ml = 1.40", "g_ml = 1.40, G_ML = 1.1"), "--volume-ml", "300"}, "keys are written in small letters, as components.density.g_ml\n"},
		{[]string{"plan", changed(t, `name = "Slate surfacer"`, `name = "Slate \u001b[2Jsurfacer"`), "--volume-ml", "300"}, "characters that can not be seen: type it anew\n"},
		{[]string{"plan", changed(t, "parts = 4", "parts = 1e-300"), "--volume-ml", "300"}, "no bench can weigh so little\n"},
		{[]string{"plan", "/dev/zero", "--volume-ml", "300"}, "it is longer than 1048576 bytes: that is another kind of file\n"},
		{line("strip " + slate + " --volume-ml 300 --fills 20,60"), "write each filling as its height in mm and its millilitres, like 20:60,60:220\n"},
	} {
		status, out, errs := gramcup(t, "", c.args...)
		assert.NotZero(t, status, c.args)
		assert.Empty(t, out, c.args)
		assert.Contains(t, errs, c.says, c.args)
		assert.Equal(t, 1, strings.Count(errs, "\n"), errs)
	}
	// Nothing more can be added, or nothing that is added matters: both are said.
	for says, path := range map[string]string{
		"The mix is at 562 g/l already, the limit is 540: no reducer can be added.":                      changed(t, `basis = "volume"`, bothUses),
		"This reducer never takes the mix to 580 g/l: the limit sets no largest amount, the sheet does.": changed(t, "volatile = 1.0", "volatile = 1.0, water = 1.0", `basis = "volume"`, strings.Replace(bothUses, ", \"EU, Directive 2004/42/EC annex II B: (c)(i) Surfacer, filler, general metal primer\"", "", 1)),
	} {
		_, out, errs := gramcup(t, "", "voc", path)
		assert.Empty(t, errs)
		assert.Contains(t, out, says)
	}
	// The unlikely is asked about: on the command line a sentence beside it.
	for _, c := range []string{"density water --water-g 100 --paint-g 130 --kind hardener", "density ratios --first 1.36 --volume 4:1 --weight 100:23.8 --kind hardener"} {
		_, out, _ := gramcup(t, "", line(c)...)
		assert.Regexp(t, `1\.29\d g/ml is unusual for hardener: most lie between 0\.95 and 1\.12\. Look at the sheet or weigh it again, and take it if it is so\.`, out)
		assert.Contains(t, printed(t, line(c+" --json")...)["note"], "is unusual for hardener")
	}
}

// 100:19.5 is 19.45 to 19.55: 0.0289/19.5 = 0.148 %, with half a per cent of the
// first density 0.521 %.
func TestDensityFromRatiosSaysHowSure(t *testing.T) {
	got := printed(t, line("density ratios --json --first 1.36 --volume 4:1 --weight 100:19.5")...)
	assert.InDelta(t, 1.0608, got["density_g_ml"], 1e-9)
	assert.InDelta(t, 1.0608*0.0052145, got["uncertainty_g_ml"], 1e-6)
	rough := printed(t, line("density ratios --json --first 1.36 --volume 4:1 --weight 100:20")...)
	assert.Greater(t, rough["uncertainty_g_ml"], 2*got["uncertainty_g_ml"].(float64))
	_, out, _ := gramcup(t, "", line("density ratios --first 1.36 --volume 4:1 --weight 100:19.5")...)
	assert.Contains(t, out, "1.061 g/ml ± 0.011 (8.85 lb/gal): the 19.5 is rounded")
	assert.Regexp(t, `density = \{ g_ml = 1\.0608, reference_c = 20, u_g_ml = 0\.0055, since_ms = \d{13}, source = "both ratios on the tin" \}`, out)
}

// Names of JSON figures say their unit, or that they are a fraction or a count.
func TestJSONNamesHaveUnits(t *testing.T) {
	unit := regexp.MustCompile(`(^g_l|_g|_ml|_g_ml|_g_l|_lb_gal|_um|_mm|_c|_ms|_m2_l|_per_l|_fraction|_relative)$`)
	plain := map[string]bool{"ratio": true, "index": true, "volume_solids": true, "expanded_relative": true, "cost": true, "left_cost": true}
	for _, args := range []string{
		"plan " + changed(t, `basis = "volume"`, bothUses) + " --json --area-m2 2 --dry-um 40 --division 0.1g --cup 85x120 --shop-c 28",
		"voc " + slate + " --json --as surfacer", "voc --json --stages 720,500",
		"density water --json --water-g 99.8 --paint-g 106.3", "density ratios --json --first 1.36 --volume 4:1 --weight 100:19.5", "density at 1.05 --json --shop-c 28",
		"strip " + slate + " --json --volume-ml 300 --cup 85x120",
	} {
		everyNumber(printed(t, line(args)...), func(name string) {
			assert.True(t, unit.MatchString(name) || plain[name], "%s: the name %q does not say its unit", args, name)
		})
	}
}

// everyNumber calls f with the name of each number in a JSON object.
func everyNumber(v any, f func(name string)) {
	switch x := v.(type) {
	case map[string]any:
		for name, inner := range x {
			if _, number := inner.(float64); number {
				f(name)
			}
			everyNumber(inner, f)
		}
	case []any:
		for _, inner := range x {
			everyNumber(inner, f)
		}
	}
}

// The simulated painter pours by the densities of the shop's temperature.
func TestDemoInAWarmShop(t *testing.T) {
	cold := printed(t, line("demo --once --json --recipe slate-surfacer")...)
	warm := printed(t, line("demo --once --json --recipe slate-surfacer --shop-c 29")...)
	of := func(o map[string]any, i int) map[string]any { return o["components"].([]any)[i].(map[string]any) }
	for i := range 3 {
		assert.Contains(t, of(cold, i)["density_provenance"], "at 20 °C, invented")
		assert.Contains(t, of(warm, i)["density_provenance"], "at 29 °C, invented, moved from 20 °C")
		assert.InDelta(t, 29, of(warm, i)["density_reference_c"], 0)
		c, w := of(cold, i)["target_g"].(float64), of(warm, i)["target_g"].(float64)
		assert.InDelta(t, of(warm, i)["density_g_ml"].(float64)/of(cold, i)["density_g_ml"].(float64), w/c, 0.006, "grams follow the density, to a division")
		assert.Less(t, w, c)
	}
	_, out, _ := gramcup(t, "", line("demo --once --recipe slate-surfacer --shop-c 29")...)
	assert.Contains(t, out, "g/ml at 29 °C, invented, moved from 20 °C")
	_, _, errs := gramcup(t, "", line("demo --once --shop-c 90")...)
	assert.Contains(t, errs, "A shop at 90 °C can not be right")
}

// The README's examples print what stands there, line for line: what it leaves
// out is left out, and nothing else.
func TestReadmeExamples(t *testing.T) {
	text, err := os.ReadFile("../../README.md")
	require.NoError(t, err)
	seen := map[string]bool{}
	for _, block := range regexp.MustCompile("(?s)```\n(\\$ gramcup .*?)```").FindAllStringSubmatch(string(text), -1) {
		command, shown, _ := strings.Cut(block[1], "\n")
		args := words(strings.TrimPrefix(command, "$ gramcup "))
		for i, a := range args {
			if a == "slate-surfacer.toml" {
				args[i] = slate
			}
			if a == "strip.pdf" {
				args[i] = filepath.Join(t.TempDir(), a)
			}
		}
		seen[args[0]] = true
		_, out, errs := gramcup(t, "", args...)
		require.Empty(t, errs, command)
		for _, want := range strings.Split(shown, "\n") {
			assert.Contains(t, out, strings.TrimSpace(want), command)
		}
	}
	for _, command := range []string{"plan", "voc", "density", "strip", "grey"} {
		assert.True(t, seen[command], "the README has an example of %s", command)
	}
}

// words splits a command line as a shell does, quotes and all.
func words(s string) (list []string) {
	for _, m := range regexp.MustCompile(`"([^"]*)"|(\S+)`).FindAllStringSubmatch(s, -1) {
		list = append(list, m[1]+m[2])
	}
	return list
}
