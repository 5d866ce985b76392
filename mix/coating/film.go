package coating

import "math"

// Job is what is to be painted and how. Shares are fractions of one.
type Job struct {
	AreaM2       float64
	Coats        int
	DryUM        float64 // dry film of one coat, in micrometres
	VolumeSolids float64 // of the ready-to-spray mix
	Transfer     float64 // transfer efficiency: what stays on the part
	Loss         float64 // of what is mixed, lost by cup, sieve and gun wash
	DeadML       float64 // stays in cup, filter and hose whatever the amount
}

// Need is what a job takes.
type Need struct {
	CoverM2L      float64 // one litre covers so much in one coat, nothing lost
	WetUM         float64 // the wet film of one coat to look for with a comb
	TheoreticalML float64 // with nothing lost
	AtGunML       float64 // through the gun
	MixML         float64 // to mix
}

// maxCoats and the like bound what is plausible; they catch a slipped digit.
const (
	maxCoats  = 20
	minAreaM2 = 0.001
	maxAreaM2 = 500.0
	minDryUM  = 1.0
	maxDryUM  = 1000.0
)

// Amount works out what a job takes. A litre at one micrometre covers 1000 m²,
// so a litre of mix covers 1000 times its volume solids over the dry film
// (geometry; the constant agrees with 231/144·1000 ft²·mil/gal). Transfer
// efficiency is the mass of solids on the part over the mass sprayed (South
// Coast AQMD, spray equipment transfer efficiency). Loss and dead volume are a
// convention: the mix is what goes through the gun over (1 - loss), and the
// dead volume on top.
func Amount(j Job) (Need, error) {
	if err := j.check(); err != nil {
		return Need{}, err
	}
	n := Need{
		CoverM2L: litresPerUM2 * j.VolumeSolids / j.DryUM,
		WetUM:    j.DryUM / j.VolumeSolids,
	}
	n.TheoreticalML = j.AreaM2 * float64(j.Coats) / n.CoverM2L * millilitresPerL
	n.AtGunML = n.TheoreticalML / j.Transfer
	n.MixML = n.AtGunML/(1-j.Loss) + j.DeadML
	return n, nil
}

func (j Job) check() error {
	switch {
	case !(j.AreaM2 >= minAreaM2 && j.AreaM2 <= maxAreaM2):
		return refuse("The area is %.4g m²: give %.4g to %.0f m².", j.AreaM2, minAreaM2, maxAreaM2)
	case j.Coats < 1 || j.Coats > maxCoats:
		return refuse("%d coats: give 1 to %d.", j.Coats, maxCoats)
	case !(j.DryUM >= minDryUM && j.DryUM <= maxDryUM):
		return refuse("The dry film of a coat is %.4g µm: give %.0f to %.0f µm; it stands on the product sheet.", j.DryUM, minDryUM, maxDryUM)
	case !(j.VolumeSolids > 0 && j.VolumeSolids <= 1):
		return refuse("The volume solids are %.4g %%: without the figure for the ready-to-spray mix, above 0 and up to 100 %%, no amount can be worked out; it stands on the product sheet.", j.VolumeSolids*percent)
	case !(j.Transfer > 0 && j.Transfer <= 1):
		return refuse("The transfer efficiency is %.4g %%: give one above 0 and up to 100 %%; 65 %% is what rules ask of a gun on a whole panel.", j.Transfer*percent)
	case !(j.Loss >= 0 && j.Loss < 1):
		return refuse("The loss is %.4g %%: give 0 to below 100 %%.", j.Loss*percent)
	case !(j.DeadML >= 0 && !math.IsInf(j.DeadML, 0)):
		return refuse("The dead volume is %.4g ml: give 0 or more.", j.DeadML)
	}
	return nil
}

// Leftover is what remains of a mix after the job, in millilitres, and what it
// cost at a price for a litre of the mix.
func (n Need) Leftover(mixedML, pricePerL float64) (ml, cost float64) {
	ml = math.Max(0, mixedML-n.MixML)
	return ml, ml / millilitresPerL * pricePerL
}

// Thinned is the volume solids after adding thinner, in millilitres for each
// millilitre of the mix.
func Thinned(volumeSolids, thinner float64) float64 { return volumeSolids / (1 + thinner) }

// WetFilmUM is the wet film that dries to a dry one, both in micrometres.
func WetFilmUM(dryUM, volumeSolids float64) float64 { return dryUM / volumeSolids }

// MixSolids is the volume solids of a mix from those of its parts by volume.
// Volumes are taken to add (ASTM D5201 does the same); measured solids can
// differ (ASTM D2697), so this is an estimate.
func MixSolids(volumes, solids []float64) (float64, error) {
	if len(volumes) != len(solids) || len(volumes) == 0 {
		return 0, refuse("%d volumes and %d volume solids: each component needs both.", len(volumes), len(solids))
	}
	sum, all := 0.0, 0.0
	for i, v := range volumes {
		if !(v >= 0) || !(solids[i] >= 0 && solids[i] <= 1) {
			return 0, refuse("Component %d: a volume of 0 or more and volume solids from 0 to 100 %% are needed.", i+1)
		}
		sum, all = sum+v*solids[i], all+v
	}
	if all == 0 {
		return 0, refuse("All volumes are 0: there is no mix.")
	}
	return sum / all, nil
}

// DryFromMassUM is the dry film, in micrometres, that a mass of wet paint makes
// on an area: for checking a film by what the cup has lost.
func DryFromMassUM(grams, densityGML, volumeSolids, areaM2 float64) float64 {
	ml := grams / densityGML
	return ml * volumeSolids / areaM2 // a millilitre on a square metre is a micrometre
}

// Panel is a common panel with a rough area. The figures are common practice
// without a source: a start for the picker, to be edited.
type Panel struct {
	Name   string
	AreaM2 float64
}

// Panels lists the picker, one side of each, in square metres.
func Panels() []Panel {
	return []Panel{
		{"Door edge or small repair", 0.1},
		{"Mirror cover pair", 0.1},
		{"Front wing", 0.7},
		{"Front door", 1.1},
		{"Rear door", 1.0},
		{"Rear wing", 1.2},
		{"Bonnet", 1.6},
		{"Boot lid or tailgate", 1.3},
		{"Bumper", 1.0},
		{"Roof", 2.2},
		{"Sliding door, minibus", 2.4},
		{"Side wall, minibus", 4.5},
		{"Roof, minibus", 7.0},
	}
}
