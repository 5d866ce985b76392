package main

import (
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"gramcup/mix"
	"gramcup/mix/book"
	"gramcup/mix/coating"
	"gramcup/scale"
	"gramcup/scale/port"
)

// bookOfABench is the book of a bench that mixed on 3 May 2026, on a scale of one
// gram that scatters by so much.
func bookOfABench(t *testing.T, noise scale.Mass, stills int) (folder string) {
	t.Helper()
	folder = t.TempDir()
	b, err := book.Open(folder)
	require.NoError(t, err)
	require.NoError(t, b.FillSample())
	at := time.Date(2026, 5, 3, 12, 0, 0, 0, time.Local)
	require.NoError(t, b.Append([]mix.Recorded{{Batch: "b1", Seq: 1, At: mix.Stamp{Boot: "boot", WallMS: at.UnixMilli()}, Event: mix.Started{
		Recipe: book.Sample()[0], Amount: mix.Amount{Kind: mix.AmountVolume, ML: 60}, Division: scale.Gram, Noise: noise, Stills: stills,
	}}}, nil, nil))
	require.NoError(t, b.Close())
	return folder
}

// know puts another scale into a book, as one that is taken on at the page.
func know(t *testing.T, folder string, k port.Known, at time.Time) {
	t.Helper()
	body, err := json.Marshal(k)
	require.NoError(t, err)
	b, err := book.Open(folder)
	require.NoError(t, err)
	require.NoError(t, b.PutKnownScale(body, at))
	require.NoError(t, b.Close())
}

// What the bench has measured of its scale is taken and said; 2·0.41/0.03 = 27.3 g
// of hardener for one that scatters by 0.3 g, 2·1.5/0.03 = 100 g for one that
// scatters by 1.5 g, each on 10.6 g in 60 ml: the figures of the page.
func TestPlanTakesTheScaleOfTheBench(t *testing.T) {
	plan := "plan " + slate + " --volume-ml 60"
	fine, loud, unmeasured := bookOfABench(t, 300*scale.Milligram, 6), bookOfABench(t, 1500*scale.Milligram, 6), bookOfABench(t, 0, 0)
	for _, c := range []struct{ args, scale, does string }{
		{plan + " --data " + fine, "Scale: measured on 3 May 2026, 1 g that scatters by less than its step (the book in " + fine + ").", "160 ml would do."},
		{plan + " --data " + loud, "Scale: measured on 3 May 2026, 1 g that scatters by 1.5 g (the book in " + loud + ").", "570 ml would do."},
		{plan + " --data " + unmeasured, "Scale: of 1 g in the batch of 3 May 2026; the bench has not measured what it scatters by (the book in " + unmeasured + ").", "380 ml would do."},
		{plan + " --data " + loud + " --repeatability-g 0.3", "Scale: of 1 g in the batch of 3 May 2026; what it scatters by was given here.", "160 ml would do."},
		{plan + " --data " + loud + " --cup 85x120", "Scale: measured on 3 May 2026, 1 g that scatters by 1.5 g", "By weight: a scale of 1 g that scatters by 1.5 g, as it was measured"},
		{"strip " + slate + " --volume-ml 300 --cup 85x120 --data " + loud, "Scale: measured on 3 May 2026, 1 g that scatters by 1.5 g", "By weight: a scale of 1 g that scatters by 1.5 g, as it was measured"},
	} {
		_, out, errs := gramcup(t, "", line(c.args)...)
		assert.Empty(t, errs)
		assert.Contains(t, out, c.scale, c.args)
		assert.Contains(t, out, c.does, c.args)
	}
	got := printed(t, line(plan+" --json --data "+loud)...)
	from := got["scale"].(map[string]any)
	assert.InDelta(t, 1.5, from["repeatability_g"], 1e-9)
	assert.Equal(t, true, from["repeatability_measured"])
	assert.Equal(t, loud, from["book"])
	assert.InDelta(t, 1.5, got["sure"].(map[string]any)["repeatability_g"], 1e-9)

	// What is given by hand is another scale, and nothing of the bench's is mixed in.
	_, out, _ := gramcup(t, "", line(plan+" --division 0.1g --data "+loud)...)
	assert.Contains(t, out, "Worked out for a scale of 0.1 g, taken to scatter by one division because nobody measured it.")
	assert.NotContains(t, out, "Scale:")
	assert.NotContains(t, printed(t, line(plan+" --json --division 0.1g --data "+loud)...), "scale")
}

// Without a book, or one that says nothing, a plan is what it was; a book that can
// not be read is said and is no reason to fail.
func TestPlanWithoutTheScaleOfABench(t *testing.T) {
	plan := "plan " + slate + " --volume-ml 60 --data "
	_, want, errs := gramcup(t, "", line(plan+t.TempDir())...)
	assert.Empty(t, errs)
	assert.NotContains(t, want, "Worked out for a scale")
	_, out, errs := gramcup(t, "", line(plan+filepath.Join(t.TempDir(), "no", "folder"))...)
	assert.Empty(t, errs)
	assert.Equal(t, want, out)
	_, out, _ = gramcup(t, "", line(plan+bookWithTub(t))...)
	assert.Equal(t, want, out, "a book without a batch")
	_, out, _ = gramcup(t, "", line("strip "+slate+" --volume-ml 300 --cup 85x120 --data "+t.TempDir())...)
	assert.Contains(t, out, "By weight: a scale of 0.1 g, taken to scatter by one division")

	damaged := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(damaged, book.FileName), []byte("a letter to the paint shop, and no database at all"), 0o600))
	status, out, errs := gramcup(t, "", line(plan+damaged)...)
	assert.Zero(t, status, errs)
	assert.Contains(t, out, "Scale: that of the bench is not taken: book "+filepath.Join(damaged, book.FileName)+": the book is damaged")
	assert.NotContains(t, out, "Worked out for a scale")
}

// What was measured holds for the scale that it was measured on.
func TestPlanAfterAnotherScaleWasTakenOn(t *testing.T) {
	folder := bookOfABench(t, 1500*scale.Milligram, 6)
	plan := line("plan " + slate + " --volume-ml 60 --data " + folder)
	same := port.Known{Identity: "/dev/ttyUSB0", Shape: "sma", Unit: "kg", Places: []int{2, 3}}
	know(t, folder, same, time.Now())
	_, out, _ := gramcup(t, "", plan...)
	assert.Contains(t, out, "Scale: measured on 3 May 2026, 1 g that scatters by 1.5 g", "three decimals of a kilogram are that step")
	same.Unit, same.Places = "g", []int{1}
	know(t, folder, same, time.Now())
	_, out, _ = gramcup(t, "", plan...)
	assert.Contains(t, out, "Scale: that of the bench is not taken: another one with steps of 0.1 g is known since the batch of 3 May 2026 on one of 1 g: give --division.")
	know(t, folder, same, time.Date(2026, 5, 2, 0, 0, 0, 0, time.Local))
	_, out, _ = gramcup(t, "", plan...)
	assert.Contains(t, out, "Scale: measured on 3 May 2026", "known before, and so set to that division by hand")
}

const ownLimits = `[[limit]]
set = "Booth permit"
category = "Surfacer"
g_l = 500
basis = "less water and exempt solvent"
source = "the permit on the wall"
date = "3 May 2026"
`

// A plan takes limits of one's own as voc does, and the strictest governs: the
// slate surfacer has 562.5 g/l, and 580 of the built-in ones allow that.
func TestPlanAgainstLimitsOfItsOwn(t *testing.T) {
	limits := filepath.Join(t.TempDir(), "limits.toml")
	require.NoError(t, os.WriteFile(limits, []byte(ownLimits), 0o600))
	plan := func(more ...string) (string, string) {
		_, out, errs := gramcup(t, "", append([]string{"plan", slate, "--volume-ml", "600"}, more...)...)
		return out, errs
	}
	out, errs := plan("--as", "US national, 40 CFR 59 subpart B: Primer and", "--as", "Booth permit", "--limits", limits)
	assert.Empty(t, errs)
	assert.Regexp(t, `6[23] g/l above the limit of 500 for Surfacer \(Booth permit\)`, out)
	assert.Contains(t, out, "Limit from: the permit on the wall, 3 May 2026.\nOf the 2 categories that it is used as this is the strictest, and it governs.\n")
	out, _ = plan("--as", "US national, 40 CFR 59 subpart B: Primer and")
	assert.Contains(t, out, "below the limit of 580")
	assert.NotContains(t, out, "the strictest")

	uses := changed(t, `basis = "volume"`, "basis = \"volume\"\nuses = [\"Booth permit: Surfacer\"]")
	_, out, _ = gramcup(t, "", "plan", uses, "--volume-ml", "600", "--limits", limits)
	assert.Contains(t, out, "above the limit of 500 for Surfacer (Booth permit)")
	got := printed(t, "plan", uses, "--volume-ml", "600", "--limits", limits, "--json")["limit"].(map[string]any)
	voc := printed(t, "voc", uses, "--limits", limits, "--json")
	assert.Equal(t, voc["limit"].(map[string]any)["g_l"], got["g_l"])
	assert.InDelta(t, voc["spare_g_l"], got["spare_g_l"], 1e-9, "one comparison, whoever prints it")

	_, errs = plan("--as", "spaceship")
	assert.Contains(t, errs, `--as "spaceship": no category is called that`)
	_, errs = plan("--limits", "/nowhere.toml")
	assert.Contains(t, errs, "--limits: /nowhere.toml does not exist")
	_, out, _ = gramcup(t, "", line("plan --ratio 4:1 --density 1.4,1.06 --volume-ml 60 --as surfacer")...)
	assert.Contains(t, out, "VOC: ", "asked for, and nothing is known of it")
}

// A product of the shelf is planned by its name, at the shop's temperature, against
// what it is used as there, the shop's own limits included.
func TestPlanOfTheShelf(t *testing.T) {
	folder := bookOfABench(t, 300*scale.Milligram, 6)
	b, err := book.Open(folder)
	require.NoError(t, err)
	r, found, err := b.Recipe("slate-surfacer")
	require.NoError(t, err)
	require.True(t, found)
	r.Uses = []string{"Booth permit: Surfacer"}
	for i := range r.Components {
		r.Components[i].Content.Volatile = 0.4
	}
	require.NoError(t, b.PutRecipe(r))
	warm := 26.0
	require.NoError(t, b.PutSettings(mix.Settings{ShopC: &warm, Limits: []mix.Limit{mix.NewLimit("Booth permit", "Surfacer", 500, string(coating.BasisRegulatory), "the permit on the wall", "3 May 2026")}}, time.Now()))

	// The bench goes on working.
	_, out, errs := gramcup(t, "", "plan", "slate SURFACER", "--volume-ml", "600", "--data", folder)
	assert.Empty(t, errs)
	assert.Contains(t, out, "at 26 °C")
	assert.Contains(t, out, "the limit of 500 for Surfacer (Booth permit)")
	assert.Contains(t, out, "Scale: measured on 3 May 2026")
	_, cold, _ := gramcup(t, "", "plan", "slate-surfacer", "--volume-ml", "600", "--shop-c", "20", "--data", folder)
	assert.NotContains(t, cold, "at 26 °C", "what is given by hand goes before")
	_, voc, errs := gramcup(t, "", "voc", "Slate surfacer", "--data", folder)
	assert.Empty(t, errs)
	assert.Contains(t, voc, "Slate surfacer, ready to spray")
	assert.Contains(t, voc, "the limit of 500 for Surfacer (Booth permit)", "what it is used as on the shelf, by the shop's own limit")
	assert.Contains(t, voc, "Densities at the shop's 26 °C, as the book in "+folder+" has it.")
	stricter := filepath.Join(t.TempDir(), "limits.toml")
	require.NoError(t, os.WriteFile(stricter, []byte(strings.Replace(ownLimits, "g_l = 500", "g_l = 490", 1)), 0o600))
	_, voc, _ = gramcup(t, "", "voc", "slate-surfacer", "--as", "Booth permit: surfacer", "--limits", stricter, "--data", folder)
	assert.Contains(t, voc, "the limit of 490 for Surfacer (Booth permit)", "what is typed goes before what is kept")
	_, strip, errs := gramcup(t, "", "strip", "slate surfacer", "--volume-ml", "300", "--cup", "85x120", "--data", folder)
	assert.Empty(t, errs)
	assert.Contains(t, strip, "Slate surfacer, 300 ml, 4 : 1 : 1 by volume")
	assert.Contains(t, strip, "Densities at the shop's 26 °C")
	assert.Contains(t, strip, "Scale: measured on 3 May 2026")
	require.NoError(t, b.Close())

	for _, command := range []string{"voc ferry --data ", "strip ferry --volume-ml 300 --cup 85x120 --data "} {
		_, _, errs = gramcup(t, "", line(command+folder)...)
		assert.Contains(t, errs, "recipe file ferry does not exist, and no product on the shelf of the book in "+folder+" is called that; there are: ", command)
	}
	_, _, errs = gramcup(t, "", "plan", "ferry", "--volume-ml", "600", "--data", folder)
	assert.Contains(t, errs, "recipe file ferry does not exist, and no product on the shelf of the book in "+folder+" is called that; there are: ")
	assert.Contains(t, errs, "Slate surfacer")
	none := t.TempDir()
	_, _, errs = gramcup(t, "", "plan", "ferry", "--volume-ml", "600", "--data", none)
	assert.Contains(t, errs, "recipe file ferry does not exist, and there is no book in "+none)
	_, _, errs = gramcup(t, "", "plan", "ferry.toml", "--volume-ml", "600", "--data", folder)
	assert.Contains(t, errs, "recipe file ferry.toml does not exist\n")
}
