package main

import (
	"fmt"
	"time"

	"gramcup/mix"
)

// jobFlags say how the paint is put on.
type jobFlags struct {
	Coats    int     `group:"amount" default:"2" help:"Coats over the area."`
	DryUM    float64 `name:"dry-um" group:"amount" default:"0" placeholder:"40" help:"Dry film of one coat in micrometres, from the sheet."`
	Transfer float64 `group:"amount" default:"0.65" help:"Transfer efficiency, an assumption: 0.65 is what rules ask of a gun on a whole panel, small parts have less."`
	Loss     float64 `group:"amount" default:"0.05" help:"What is lost of the mix, a fraction, an assumption."`
	DeadML   float64 `name:"dead-ml" group:"amount" default:"30" help:"What stays in cup, filter and hose, an assumption."`
}

// needJSON is what a job takes.
type needJSON struct {
	MixML         float64 `json:"mix_ml"`
	TheoreticalML float64 `json:"theoretical_ml"`
	AtGunML       float64 `json:"at_gun_ml"`
	WetUM         float64 `json:"wet_um"`
	CoverM2L      float64 `json:"cover_m2_l"`
	VolumeSolids  float64 `json:"volume_solids"`
	SolidsStated  bool    `json:"volume_solids_stated"`
}

// leftJSON is what remains of a mix after the job.
type leftJSON struct {
	OfML float64 `json:"of_ml"` // what would be mixed
	ML   float64 `json:"left_ml"`
	Cost float64 `json:"left_cost,omitempty"` // in the shop's money, 0 where a price is not known
}

// around is what stands around the grams: the cost, what a full cup would leave
// over, and the next cup.
func (c *planCmd) around(r *mix.Recipe, a mix.Amount, p *mix.Plan, j *planJSON) (said []string) {
	q := mix.Question{Amount: a, Now: time.Now()}
	if c.AreaM2 != nil {
		job := c.job()
		q.Job = &job
	}
	f, err := r.Figures(q)
	if err != nil {
		return nil // the plan itself was worked out, and says what can not be
	}
	if f.CostKnown {
		j.Cost = f.Cost * p.TotalML / f.Plan.TotalML // an area is rounded up to whole millilitres there
		said = append(said, fmt.Sprintf("%.2f in material.", j.Cost))
	}
	for _, l := range f.Left {
		j.Left = append(j.Left, leftJSON{OfML: l.OfML, ML: l.ML, Cost: l.Cost})
		said = append(said, l.Text)
	}
	if cup := mix.NextCupML(p.TotalML); cup > 0 && p.TotalML > 0 {
		j.NextCupML = cup
		said = append(said, fmt.Sprintf("The next usual cup holds %.0f ml.", cup))
	}
	return said
}

// job is what the flags say is to be painted.
func (c *planCmd) job() mix.Job {
	return mix.Job{AreaM2: *c.AreaM2, Coats: c.Coats, DryUM: c.DryUM, Transfer: c.Transfer, Loss: c.Loss, DeadML: c.DeadML}
}
