package mix

import (
	"errors"
	"fmt"

	"gramcup/mix/coating"
)

// Content is what a product sheet says of a component beyond ratio and density.
// The zero value of a field means that the sheet does not say it; nothing is
// taken in its place. Shares are fractions of one.
type Content struct {
	// Kind tells a likely density from a slip; "" is anything.
	Kind coating.Kind `json:"kind,omitempty" toml:"kind,omitempty"`
	// VolumeSolids is the share of the volume that stays as film.
	VolumeSolids float64 `json:"volume_solids,omitempty" toml:"volume_solids,omitempty"`
	// SolventGML is the density in g/mL of what evaporates beside water and exempt
	// solvent: with it, volume solids follow from Volatile where they are not given.
	SolventGML float64 `json:"solvent_g_ml,omitempty" toml:"solvent_g_ml,omitempty"`
	// Volatile is the share of the mass that evaporates, with water and exempt
	// solvent in it; Water and Exempt are theirs.
	Volatile float64 `json:"volatile,omitempty" toml:"volatile,omitempty"`
	Water    float64 `json:"water,omitempty" toml:"water,omitempty"`
	Exempt   float64 `json:"exempt,omitempty" toml:"exempt,omitempty"`
	// ExemptGML is the density of the exempt solvent in g/mL.
	ExemptGML float64 `json:"exempt_g_ml,omitempty" toml:"exempt_g_ml,omitempty"`
	// VOCGL is the VOC that the sheet states, in g/L, where it gives no shares.
	// Plain says that there is neither water nor exempt solvent in the product.
	VOCGL float64 `json:"voc_g_l,omitempty" toml:"voc_g_l,omitempty"`
	Plain bool    `json:"plain,omitempty" toml:"plain,omitempty"`
	// OHValue, in mg KOH a gram, and NCOPercent, by weight, are of a urethane's
	// two sides as supplied.
	OHValue    float64 `json:"oh_value_mg_g,omitempty" toml:"oh_value_mg_g,omitempty"`
	NCOPercent float64 `json:"nco_percent,omitempty" toml:"nco_percent,omitempty"`
}

func (c Content) check() error {
	for name, share := range map[string]float64{
		"volume_solids": c.VolumeSolids, "volatile": c.Volatile, "water": c.Water, "exempt": c.Exempt,
	} {
		if !(share >= 0 && share <= 1) {
			return fmt.Errorf("%s is %v, it is a fraction between 0 and 1: 0.40 for 40 %%", name, share)
		}
	}
	for name, x := range map[string]float64{"exempt_g_ml": c.ExemptGML, "solvent_g_ml": c.SolventGML, "voc_g_l": c.VOCGL, "oh_value_mg_g": c.OHValue, "nco_percent": c.NCOPercent} {
		if !finite(x) || x < 0 {
			return fmt.Errorf("%s is %v, it can not be negative", name, x)
		}
	}
	if c.Kind != coating.KindSomethingElse {
		for _, r := range coating.Rows() {
			if r.Kind == c.Kind {
				return nil
			}
		}
		return fmt.Errorf("kind %q is not known: leave it out, or use one of %s", c.Kind, kindNames())
	}
	return nil
}

func kindNames() string {
	s := ""
	for _, r := range coating.Rows() {
		if s != "" {
			s += ", "
		}
		s += string(r.Kind)
	}
	return s
}

// Part is component i as the VOC arithmetic wants it, with no volume yet.
func (r *Recipe) Part(i int) coating.Part {
	c := r.Components[i]
	return coating.Part{
		Name: nameOf(r, i), DensityGML: c.Density.GPerML,
		Composed: c.Content.Volatile > 0 || c.Content.Water > 0 || c.Content.Exempt > 0, Volatile: c.Content.Volatile, Water: c.Content.Water, Exempt: c.Content.Exempt,
		ExemptDensityGML: c.Content.ExemptGML, StatedGL: c.Content.VOCGL, Plain: c.Content.Plain,
	}
}

// VOC is the VOC of a plan, ready to spray, per litre as its densities hold: r is
// the recipe as the sheets have it, whatever the temperature that the plan is
// poured at, for a warm shop must not buy room below a limit. It is refused where
// a component's content or volume is not known.
func (r *Recipe) VOC(p *Plan) (coating.VOC, error) {
	parts, err := r.parts(p)
	if err != nil {
		return coating.VOC{}, err
	}
	return coating.MixVOC(parts, usualWaterC)
}

// parts are the components of a plan as the VOC arithmetic wants them.
func (r *Recipe) parts(p *Plan) ([]coating.Part, error) {
	parts := make([]coating.Part, 0, p.N)
	for i, t := range p.Targets[:p.N] {
		if t.VolumeML == 0 {
			return nil, &coating.Refusal{Sentence: nameOf(r, i) + " has no density, so its volume in the mix is not known, and the VOC of a litre neither: measure it or copy it from the sheet."}
		}
		part := r.Part(i)
		part.VolumeML = t.VolumeML
		if t.MassG > 0 && part.DensityGML > 0 {
			part.VolumeML = t.MassG / part.DensityGML
		}
		parts = append(parts, part)
	}
	return parts, nil
}

// Solids is the volume solids of the ready-to-spray mix: the sheet's figure, or
// worked out from the components of a plan. stated tells which.
func (r *Recipe) Solids(p *Plan) (share float64, stated bool, err error) {
	if r.VolumeSolids > 0 {
		return r.VolumeSolids, true, nil
	}
	var volumes, solids []float64
	for i, t := range p.Targets[:p.N] {
		c := r.Components[i]
		of, err := c.volumeSolids()
		if err != nil {
			return 0, false, &coating.Refusal{Sentence: nameOf(r, i) + ": " + err.Error()}
		}
		if leaves := c.Role == RoleReducer && (c.Content.Volatile == 0 || c.Content.Volatile == 1); of == 0 && !leaves {
			return 0, false, &coating.Refusal{Sentence: nameOf(r, i) + " has no volume solids, so no amount can be worked out from an area: copy them from the product sheet, or give those of the ready-to-spray mix."}
		}
		if t.VolumeML == 0 {
			return 0, false, &coating.Refusal{Sentence: nameOf(r, i) + " has no density, so its share of the volume is not known: measure it or copy it from the sheet."}
		}
		volumes, solids = append(volumes, t.VolumeML), append(solids, of)
	}
	share, err = coating.MixSolids(volumes, solids)
	return share, false, err
}

// volumeSolids is the sheet's figure, or what follows from what is volatile by
// weight and the densities; 0 where neither is known.
func (c *Component) volumeSolids() (float64, error) {
	x := c.Content
	if x.VolumeSolids > 0 || x.Volatile == 0 || x.SolventGML == 0 || !c.Density.Known() {
		return x.VolumeSolids, nil
	}
	return coating.SolidsFromWeight(c.Density.GPerML, coating.Evaporates{
		Volatile: x.Volatile, Water: x.Water, Exempt: x.Exempt, SolventGML: x.SolventGML, ExemptGML: x.ExemptGML}, usualWaterC)
}

// Index is the urethane index of a plan, with the amounts of its first
// component, of every further base and of its hardener.
func (r *Recipe) Index(p *Plan) (float64, error) {
	h := r.hardener()
	if h < 0 {
		return 0, errNoHardener
	}
	var grams [MaxComponents]float64
	for i := range p.N {
		grams[i] = p.Targets[i].MassG
	}
	return r.indexOf(&grams, h)
}

// errNoHardener is returned where an index makes no sense.
var errNoHardener = errors.New("the recipe has no hardener, so it has no index")

// indexOf counts the groups by weight, so that neither density nor the basis of
// the ratio plays a part. A further base counts as the first one does: an OH value
// is of a gram, so theirs add up by weight.
func (r *Recipe) indexOf(grams *[MaxComponents]float64, hardener int) (float64, error) {
	baseG, oh := grams[0], r.Components[0].Content.OHValue
	for i, c := range r.Components[1:] {
		if c.Role != RoleBase || grams[i+1] == 0 {
			continue
		}
		if c.Content.OHValue == 0 {
			return 0, &coating.Refusal{Sentence: missingText(r, i+1, "OH value")}
		}
		oh = (baseG*oh + grams[i+1]*c.Content.OHValue) / (baseG + grams[i+1])
		baseG += grams[i+1]
	}
	return coating.Index(
		coating.Resin{Parts: baseG, DensityGML: 1, OHValue: oh},
		coating.Curing{Parts: grams[hardener], DensityGML: 1, NCOPercent: r.Components[hardener].Content.NCOPercent})
}
