package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const slate = "../../testdata/recipes/slate-surfacer.toml"

// The worked cases, as a program of somebody else reads them. Sources stand
// beside the same figures in mix/coating.
func TestNumbersJSON(t *testing.T) {
	voc := printed(t, line("voc --json "+slate+" --as surfacer")...)
	figures := voc["voc"].(map[string]any)
	assert.InDelta(t, 562.5, figures["regulatory_g_l"], 0.01, "40 CFR 59.104(a)(1)")
	assert.InDelta(t, 4.694, figures["regulatory_lb_gal"], 0.001)
	assert.Equal(t, false, voc["within"])
	assert.InDelta(t, 540, voc["limit"].(map[string]any)["g_l"], 0)
	assert.Contains(t, voc["not_a_finding"], "not a finding")

	// V1 of mix/coating: ± 2.347443 g/l by the densities alone; too near to call
	// within 3 g/l of a limit.
	assert.InDelta(t, 2.347443, figures["regulatory_plus_minus_g_l"], 1e-5)
	assert.InDelta(t, 2.347443*0.0083454, figures["regulatory_plus_minus_lb_gal"], 1e-6)
	assert.Equal(t, "The ± counts the densities alone; the sheets give no ± of their VOC.", figures["plus_minus_counts"])
	assert.InDelta(t, 2.347443, voc["figure_plus_minus_g_l"], 1e-5)
	assert.Equal(t, false, voc["too_near_to_call"])

	stages := printed(t, line("voc --json --stages 750,700,500")...)
	assert.InDelta(t, 612.5, stages["stages_g_l"], 1e-9)

	density := printed(t, line("density water --json --water-g 49.783 --water-c 23 --paint-g 62.115 --paint-c 23 --height-mm 0 --division 0.001g")...)
	assert.InDelta(t, 1.24465, density["density_g_ml"], 1e-5, "ASTM D1475")
	assert.InDelta(t, 10.3871, density["density_lb_gal"], 1e-4)
	assert.InDelta(t, 49.9057, density["vessel_ml"], 1e-4)

	warm := printed(t, line("density at 1.05 --json --shop-c 30 --per-k 0.0009")...)
	assert.InDelta(t, 1.04063, warm["density_g_ml"], 1e-5)

	plan := printed(t, line("plan --json "+slate+" --area-m2 2 --coats 2 --dry-um 25 --loss 0 --dead-ml 0 --division 1g")...)
	need := plan["need"].(map[string]any)
	assert.InDelta(t, 2*2*25/(1000*0.446666667*0.65)*1000, need["mix_ml"], 1e-3)
	assert.Equal(t, false, need["volume_solids_stated"])
	assert.InDelta(t, 562.5, plan["voc"].(map[string]any)["material_g_l"], 0.01)
	sure := plan["sure"].(map[string]any)
	assert.InDelta(t, 2/0.03, sure["components"].([]any)[1].(map[string]any)["need_g"], 1e-9)
	assert.Greater(t, sure["smallest_ml"], 300.0)

	grey := printed(t, line("grey --json --card 0:91 --card 10:68 --card 50:44 --card 100:30 --wanted mid --step mid=60 --light 1.45 --dark 1.38")...)
	assert.InDelta(t, 0.185, grey["dark_share_by_volume"], 0.005)
	assert.InDelta(t, grey["dark_ml"].(float64)*1.38, grey["dark_g"], 1e-9)

	marks := printed(t, line("strip --json "+slate+" --volume-ml 300 --cup 85x120")...)
	assert.InDelta(t, 35.245, marks["components"].([]any)[0].(map[string]any)["mark_mm"], 0.001, "200 ml over π·42.5² mm²")
}

// What cannot be answered is refused in a sentence.
func TestNumbersRefuse(t *testing.T) {
	dir := t.TempDir()
	write := func(name, text string) string {
		path := filepath.Join(dir, name)
		require.NoError(t, os.WriteFile(path, []byte(text), 0o600))
		return path
	}
	unknown := write("unknown.toml", "name = \"x\"\nbasis = \"volume\"\nparst = 4\n")
	text, err := os.ReadFile(slate)
	require.NoError(t, err)
	silent := write("silent.toml", strings.Replace(string(text), "volatile = 0.25, ", "", 1))
	nowhere := write("limits.toml", "[[limit]]\nset = \"Ours\"\ncategory = \"Clear\"\ng_l = 420\nbasis = \"less water\"\n")
	for _, c := range []struct {
		args string
		says string
	}{
		{"plan " + unknown + " --mass-g 100", "there is no key parst"},
		{"plan " + filepath.Join(dir, "none.toml") + " --mass-g 100", "does not exist"},
		{"plan " + slate + " --ratio 4:1 --mass-g 100", "says the ratio and the densities already"},
		{"plan " + slate + " --area-m2 2", "The dry film of a coat is 0 µm"},
		{"plan " + slate + " --mass-g 500 --area-m2 2", "exactly one of"},
		{"plan --ratio 4:1 --density 1.42,1.06 --area-m2 2 --dry-um 25", "has no volume solids"},
		{"plan " + slate + " --mass-g 500 --shop-c 70", "A shop at 70 °C can not be right"},
		{"voc " + silent, "Slate hardener: its VOC is not known."},
		{"voc", "which mix?"},
		{"voc " + slate + " --as nothing-like-it", "no category is called that"},
		{"voc --stages 720", "at least a base and a clear"},
		{"voc " + slate + " --limits " + nowhere, "say where the limit comes from"},
		{"density water --water-g 2 --paint-g 3", "take a vessel of at least 5 ml"},
		{"density water --water-g 100 --paint-g 400", "A density of 3.993 g/ml can not be right"},
		{"density water --water-g 100 --paint-g 130 --kind soup", `--kind "soup" is not known`},
		{"density ratios --first 1.3 --volume 4 --weight 100:19", "write two numbers like 4:1"},
		{"density at 1.05 --shop-c 90", "A shop at 90 °C can not be right"},
		{"grey --card 0:91 --card 100:30 --wanted 60", "a grey needs at least 3 of your own"},
		{"grey --card 0:91 --card 50:44 --card 100:30 --wanted 10", "draw down a darker mix"},
		{"grey --card 0:91 --card 50:44 --card 100:30 --wanted dim --step mid=60", "neither an L* nor a step; steps are: mid"},
		{"strip " + slate + " --volume-ml 300", "which cup?"},
		{"strip " + slate + " --volume-ml 3000 --cup 85x120", "do not fit into this cup"},
		{"strip " + slate + " --volume-ml 300 --cup wide", "write 85x120"},
		{"strip " + slate + " --volume-ml 300 --cup 85x120 --out x.doc", "ends in .svg or .pdf"},
	} {
		status, out, errs := gramcup(t, "", line(c.args)...)
		assert.NotZero(t, status, c.args)
		assert.Empty(t, out, c.args)
		assert.Contains(t, errs, c.says, c.args)
	}
}

// The strip is written once and never over another file.
func TestStripFiles(t *testing.T) {
	for _, ext := range []string{".svg", ".pdf"} {
		path := filepath.Join(t.TempDir(), "strip"+ext)
		args := line("strip " + slate + " --volume-ml 300 --cup 70/95x120 --out " + path)
		status, out, errs := gramcup(t, "", args...)
		require.Zero(t, status, errs)
		assert.Contains(t, out, "print it at 100 %")
		picture, err := os.ReadFile(path)
		require.NoError(t, err)
		assert.NotEmpty(t, picture)
		status, _, errs = gramcup(t, "", args...)
		assert.Equal(t, 1, status)
		assert.Contains(t, errs, "a strip never overwrites a file")
	}
}
