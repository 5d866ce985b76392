package mix

import (
	"fmt"
	"math"

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

// UsedJob is what a recipe was put on with, and when.
type UsedJob struct {
	Job     Job
	SinceMS int64 // Unix time
}

// Usual figures for a job that says nothing else: what rules ask of a gun on a
// whole panel (South Coast AQMD, Puget Sound Clean Air Agency), and a gun cup
// that is not quite emptied (common practice, no source). They are assumptions
// and are shown as such.
const (
	UsualTransfer = 0.65
	UsualLoss     = 0.05
	UsualDeadML   = 30.0
	// SmallTransfer is for small parts, where most of the fan goes past: common
	// practice, no source, within the 20 to 50 % that a tester of guns measured.
	SmallTransfer = 0.40
	// SmallM2 is an area up to which a part counts as small.
	SmallM2 = 0.3
)

// Film is how a kind of coating is usually put on.
type Film struct {
	Coats int
	DryUM float64 // dry film of one coat, in micrometres
}

// UsualFilm is how a recipe is usually put on, by the kind of its first
// component: common practice, no source, a start to be edited.
func (r *Recipe) UsualFilm() Film {
	if len(r.Components) > 0 {
		switch r.Components[0].Content.Kind {
		case coating.KindSurfacer:
			return Film{2, 50}
		case coating.KindEpoxy:
			return Film{1, 40}
		case coating.KindEtch:
			return Film{1, 12}
		case coating.KindSolventBase, coating.KindWaterBase:
			return Film{2, 10}
		case coating.KindClear:
			return Film{2, 28}
		}
	}
	return Film{2, 30}
}

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

// Text is the job in a few words: "2.2 m², 2 coats of 40 µm"; "" for none.
func (j Job) Text() string {
	if j == (Job{}) {
		return ""
	}
	coats := "1 coat"
	if j.Coats != 1 {
		coats = fmt.Sprintf("%d coats", j.Coats)
	}
	return fmt.Sprintf("%s m², %s of %s µm", number(j.AreaM2), coats, number(j.DryUM))
}

// AmountFor is the volume that a job takes, in whole millilitres upwards, with
// the job that it came from; mixML, if not 0, is mixed in its place.
func (r *Recipe) AmountFor(j Job, mixML float64) (Amount, Need, error) {
	n, err := r.ForJob(j)
	if err != nil {
		return Amount{}, n, err
	}
	if mixML == 0 {
		mixML = math.Ceil(n.MixML - 1e-9)
	}
	return Amount{Kind: AmountVolume, ML: mixML, Job: j}, n, nil
}
