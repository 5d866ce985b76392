package mix

import (
	"fmt"

	"gramcup/mix/coating"
)

// Job is what is to be painted, as a person says it.
type Job struct {
	AreaM2   float64 `json:"area_m2"`
	Coats    int     `json:"coats"`
	DryUM    float64 `json:"dry_um"`   // dry film of one coat
	Transfer float64 `json:"transfer"` // transfer efficiency, a fraction
	Loss     float64 `json:"loss"`     // a fraction of what is mixed
	DeadML   float64 `json:"dead_ml"`  // stays in cup, filter and hose
}

// Usual figures for a job that says nothing else: what rules ask of a gun on a
// whole panel (South Coast AQMD, Puget Sound Clean Air Agency), and a gun cup
// that is not quite emptied (common practice, no source). They are assumptions
// and are shown as such.
const (
	UsualTransfer = 0.65
	UsualLoss     = 0.05
	UsualDeadML   = 30.0
)

// Need is what a job takes of a recipe.
type Need struct {
	coating.Need
	Solids float64 // the volume solids that were used
	Stated bool    // they stand on the sheet; else they are worked out
}

// ForJob works out how much of the ready-to-spray mix a job takes.
func (r *Recipe) ForJob(j Job) (Need, error) {
	p, err := r.Plan(Amount{Kind: AmountMass, Grams: 1000})
	if err != nil {
		return Need{}, err
	}
	solids, stated, err := r.Solids(&p)
	if err != nil {
		return Need{}, err
	}
	n, err := coating.Amount(coating.Job{
		AreaM2: j.AreaM2, Coats: j.Coats, DryUM: j.DryUM, VolumeSolids: solids,
		Transfer: j.Transfer, Loss: j.Loss, DeadML: j.DeadML,
	})
	return Need{Need: n, Solids: solids, Stated: stated}, err
}

// Text says the need in sentences.
func (n Need) Text() []string {
	from := "as the sheet gives them"
	if !n.Stated {
		from = "worked out from the components, an estimate"
	}
	return []string{
		fmt.Sprintf("Mix %.0f ml. Look for a wet film of %.0f µm a coat.", n.MixML, n.WetUM),
		fmt.Sprintf("%.0f ml stay on the part, %.0f ml go through the gun; volume solids %.1f %%, %s.", n.TheoreticalML, n.AtGunML, 100*n.Solids, from),
	}
}
