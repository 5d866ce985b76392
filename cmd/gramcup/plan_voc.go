package main

import (
	"fmt"

	"gramcup/mix"
	"gramcup/mix/coating"
)

// heldJSON is where the VOC stands to the limit that governs.
type heldJSON struct {
	limitJSON
	FigureGL float64 `json:"figure_g_l"`
	SpareGL  float64 `json:"spare_g_l"` // negative above the limit
	Within   bool    `json:"within"`

	PlusMinusGL float64 `json:"figure_plus_minus_g_l"` // k = 2, 0 where none is known
	TooNear     bool    `json:"too_near_to_call"`      // the limit lies within the ±
}

// content adds what follows from the sheet: VOC and index. Where the sheet says
// nothing of VOC at all, nothing is said either.
func (c *planCmd) content(r, sheet *mix.Recipe, p *mix.Plan, j *planJSON) (said []string) {
	asked := len(c.As) > 0
	for _, comp := range r.Components {
		asked = asked || comp.Content.Volatile > 0 || comp.Content.VOCGL > 0
	}
	if asked {
		v, err := sheet.VOC(p)
		var sure mix.VOCSure
		if err == nil {
			sure, err = sheet.VOCSure(p, c.bench.Accuracy)
		}
		if err != nil {
			j.VOCWhyNot = err.Error()
			said = append(said, "VOC: "+err.Error())
		} else {
			j.VOC = vocOf(v, sure)
			said = append(said, fmt.Sprintf("VOC %s ready to spray, less water and exempt solvent (%.2f lb/gal); calculated from the sheet's figures, not a finding.", mix.VOCText(v.RegulatoryGL, j.VOC.RegulatoryPM), coating.LbPerGallon(v.RegulatoryGL)), sure.Counts)
			if assumes := r.VOCAssumes(); assumes != "" {
				said = append(said, assumes)
			}
			said = append(said, c.held(r, v, sure, j)...)
		}
	}
	if index, err := r.Index(p); err == nil {
		j.Index = &index
		said = append(said, fmt.Sprintf("Urethane index %.2f; it goes with the hardener, per cent for per cent.", index))
	}
	return said
}

// held compares with the limits that --as names, or those that the recipe is used
// as, if there are any; the strictest governs.
func (c *planCmd) held(r *mix.Recipe, v coating.VOC, sure mix.VOCSure, j *planJSON) []string {
	limits, err := c.categories, error(nil)
	if len(c.As) == 0 {
		limits, err = mix.Settings{Limits: c.own}.LimitsOf(r)
	}
	if err == nil && len(limits) == 0 {
		return nil
	}
	var held coating.Comparison
	if err == nil {
		held, err = v.Compare(limits)
	}
	if err != nil {
		j.LimitWhy = err.Error()
		return []string{err.Error()}
	}
	held = sure.Held(held)
	j.Limit = &heldJSON{*limitOf(held.Limit), held.GL, held.Spare, held.Within(), held.PlusMinusGL, held.TooNear()}
	said := []string{mix.HeldText(held), mix.LimitFrom(held.Limit)}
	if n := len(limits); n > 1 {
		said = append(said, fmt.Sprintf(strictest, n))
	}
	return said
}
