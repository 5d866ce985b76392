package ui

import (
	"fmt"
	"strings"

	"gramcup/mix"
)

func needOf(f *mix.Figures) *PlanNeed {
	n, j := f.Need, f.Amount.Job
	if n == nil {
		return nil
	}
	return &PlanNeed{
		Job: JobBody(j), JobText: j.Text(), MixML: micro(n.MixML), TheoreticalML: micro(n.TheoreticalML), AtGunML: micro(n.AtGunML),
		WetUM: micro(n.WetUM), VolumeSolids: micro(n.Solids), SolidsStated: n.Stated, Sentences: n.Text(),
	}
}

func sureOf(f *mix.Figures) PlanSure {
	s, c := f.Sure, f.Sure.Certainty
	out := PlanSure{
		Known: s.Known, Sentences: notNil(s.Sentences), WhyNot: s.WhyNot, Enough: s.Known && c.Weakest < 0,
		WouldDoKind: string(s.WouldDo.Kind), WouldDoML: s.WouldDo.ML, WouldDoG: s.WouldDo.Grams, CupML: s.CupML, Ratios: []PlanRatio{},
		RepeatabilityG: micro(c.Accuracy.RepeatabilityG), Measured: c.Accuracy.Measured, DensitiesAssumed: c.Assumed,
	}
	if f.Need != nil && out.WouldDoKind != "" {
		out.WouldDoKind = kindArea // with ml as what is mixed for it
	}
	switch {
	case s.WouldDo.ML > 0:
		out.WouldDoText = fmt.Sprintf("%.0f ml would do", s.WouldDo.ML)
	case s.WouldDo.Kind == mix.AmountFirst:
		out.WouldDoText = fmt.Sprintf("%.0f g of %s would do", s.WouldDo.Grams, f.Recipe.Components[0].Name)
	case s.WouldDo.Grams > 0:
		out.WouldDoText = fmt.Sprintf("%.0f g would do", s.WouldDo.Grams)
	}
	if !s.Known {
		return out
	}
	for i := 1; i < c.N; i++ {
		out.Ratios = append(out.Ratios, PlanRatio{
			Name: f.Recipe.Components[i].Name, Ratio: micro(c.Ratio[i].Value), Expanded: micro(c.Ratio[i].ExpandedRelative()), NeedG: micro(c.NeedG[i]),
		})
	}
	return out
}

func vocOf(f *mix.Figures) PlanVOC {
	v := f.VOC
	out := PlanVOC{
		Known: v.Known, WhyNot: v.WhyNot, Text: v.Text, LimitWhyNot: v.HeldWhyNot, Uses: notNil(f.Recipe.Uses),
		MaterialGL: micro(v.VOC.MaterialGL), RegulatoryGL: micro(v.VOC.RegulatoryGL),
		EuropeanGL: micro(v.VOC.EuropeanGL), EuropeanWholeGL: micro(v.VOC.EuropeanWholeGL),
		MaterialPM: micro(v.Sure.Spread.Material.PlusMinusGL()), RegulatoryPM: micro(v.Sure.Spread.Regulatory.PlusMinusGL()),
		EuropeanPM: micro(v.Sure.Spread.European.PlusMinusGL()), EuropeanWholePM: micro(v.Sure.Spread.EuropeanWhole.PlusMinusGL()), Counts: v.Sure.Counts,
		MoreReducerML: micro(v.MoreReducerML), ReducerText: v.ReducerText, NotAFinding: strings.TrimSpace(v.Assumes + " " + mix.NotAFinding),
	}
	if v.Held != nil {
		limit := limitBody(v.Held.Limit, false)
		out.Limit, out.FigureGL, out.SpareGL, out.Within = &limit, micro(v.Held.GL), micro(v.Held.Spare), v.Held.Within()
		out.FigurePM, out.TooNear = micro(v.Held.PlusMinusGL), v.Held.TooNear()
	}
	out.Stages = stagesOf(f)
	return out
}

func stagesOf(f *mix.Figures) PlanStages {
	x := f.VOC.Stages
	out := PlanStages{Over: notNil(f.Recipe.Over), Known: x.Known, WhyNot: x.WhyNot, GL: micro(x.GL), Text: x.Text, LimitWhyNot: x.HeldWhyNot, PlusMinusGL: micro(x.PlusMinusGL)}
	if x.Held != nil {
		limit := limitBody(x.Held.Limit, false)
		out.Limit, out.SpareGL, out.Within, out.TooNear = &limit, micro(x.Held.Spare), x.Held.Within(), x.Held.TooNear()
	}
	return out
}

func indexOf(f *mix.Figures) PlanIndex {
	x := f.Index
	return PlanIndex{Known: x.Known, Index: micro(x.Index), Low: micro(x.Low), High: micro(x.High), Text: x.Text, WhyNot: x.WhyNot}
}

func shopOf(f *mix.Figures, s mix.Settings) PlanShop {
	out := PlanShop{Set: s.ShopC != nil, Notes: notNil(f.Warmed.Notes), Shift: notNil(f.Warmed.ShiftText())}
	if s.ShopC != nil {
		out.C = *s.ShopC
	}
	return out
}
