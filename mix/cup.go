package mix

import (
	"fmt"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"gramcup/mix/coating"
)

// Cup is a cup that was measured with water at two or more heights, as it was
// weighed: what follows from that is worked out anew each time.
type Cup struct {
	ID       string    `json:"id"`
	Name     string    `json:"name"`
	AtMS     int64     `json:"at_ms"`       // when it was measured, Unix time
	WaterC   float64   `json:"water_c"`     // the temperature of the water
	EmptyG   float64   `json:"empty_g"`     // the dry cup
	Scale    string    `json:"scale"`       // the identity of the scale
	ReadingG float64   `json:"reading_u_g"` // standard uncertainty of one reading of it
	Fills    []CupFill `json:"fills"`       // by rising height
}

// CupFill is one filling of a cup with water.
type CupFill struct {
	HeightMM float64 `json:"height_mm"` // above the inner bottom
	WaterG   float64 `json:"water_g"`   // without the cup
}

// MaxCupNameRunes bounds the name of a cup.
const MaxCupNameRunes = 40

// Check refuses a cup that can not be, or whose name could be taken for
// something else.
func (c Cup) Check() error {
	switch n := utf8.RuneCountInString(c.Name); {
	case strings.TrimSpace(c.Name) != c.Name || n == 0 || n > MaxCupNameRunes || strings.ContainsFunc(c.Name, func(r rune) bool { return !unicode.IsPrint(r) }):
		return fmt.Errorf("the cup is called %q: give it a name of 1 to %d letters, without blanks around it", c.Name, MaxCupNameRunes)
	case !(c.EmptyG > 0) || !(c.ReadingG >= 0):
		return fmt.Errorf("the empty cup %s weighs %.4g g: that must be above 0", c.Name, c.EmptyG)
	case len(c.Fills) > coating.MaxFills:
		return fmt.Errorf("the cup %s was measured at %d heights: at most %d are kept", c.Name, len(c.Fills), coating.MaxFills)
	}
	if _, err := ParseCup(c.Name); err == nil {
		return fmt.Errorf("%q is a size and not a name: call the cup something that is none", c.Name)
	}
	_, err := c.Vessel()
	return err
}

// Vessel is the cup as the marks need it. Air buoyancy, 0.1 % of the volume, is
// left out as it is in mixing.
func (c Cup) Vessel() (coating.Filled, error) {
	rho, err := coating.WaterDensityGML(c.WaterC)
	if err != nil {
		return coating.Filled{}, err
	}
	f := coating.Filled{ReadingML: c.ReadingG / rho, LevelMM: coating.LevelReadMM}
	for _, x := range c.Fills {
		f.Fills = append(f.Fills, coating.Fill{HeightMM: x.HeightMM, VolumeML: x.WaterG / rho})
	}
	return f, f.Check()
}

// Text is where the cup comes from, for a person: "weighed with water at 20 °C on
// 26 Nov 2026: 30 mm 92 ml, 60 mm 215 ml".
func (c Cup) Text() string {
	text := fmt.Sprintf("weighed with water at %.4g °C on %s", c.WaterC, time.UnixMilli(c.AtMS).Format("2 Jan 2006"))
	f, err := c.Vessel()
	if err != nil {
		return text
	}
	for i, x := range f.Fills {
		sep := ", "
		if i == 0 {
			sep = ": "
		}
		text += fmt.Sprintf("%s%.4g mm %.0f ml", sep, x.HeightMM, x.VolumeML)
	}
	return text
}
