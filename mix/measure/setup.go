package measure

import (
	"fmt"

	"gramcup/mix/coating"
	"gramcup/scale"
)

// Setup is what is known before the first reading.
type Setup struct {
	Name     string                // of the component, for the sentences
	Kind     coating.Kind          // tells a likely density from a slip
	HeightMM float64               // of the mark above the inner bottom
	TempC    float64               // of water and paint, which stood in the same room
	Division scale.Mass            // the scale's step
	Accuracy coating.ScaleAccuracy // what one reading is worth
	Known    *Vessel               // a cup whose mark was measured before; nil begins with water
}

// Vessel is a cup whose mark was measured with water.
type Vessel struct {
	Empty    scale.Mass      // the dry cup
	Water    coating.Weighed // net, to the mark
	WaterC   float64
	HeightMM float64 // of the mark
	ML       float64 // up to the mark
}

// The heights of a mark that are believed, in millimetres: a lower one is read
// too badly, a higher one stands in no mixing cup.
const (
	LowestMarkMM  = 20.0
	HighestMarkMM = 300.0
)

// check says what of the setup can not be right.
func (s Setup) check() error {
	if _, err := coating.WaterDensityGML(s.TempC); err != nil {
		return err
	}
	if s.Division <= 0 {
		return fmt.Errorf("the step of the scale is not known yet: wait for its first weight")
	}
	if s.Known == nil && !(s.HeightMM >= LowestMarkMM && s.HeightMM <= HighestMarkMM) {
		return fmt.Errorf("a mark %.4g mm above the bottom: give %.0f to %.0f mm, measured inside; the higher it stands, the surer it is read", s.HeightMM, LowestMarkMM, HighestMarkMM)
	}
	return nil
}

// leastContent is the smallest filling that is believed to be one: 5 g, and
// twenty steps of a coarse scale.
func (s Setup) leastContent() scale.Mass { return max(5*scale.Gram, 20*s.Division) }

// leastCup is the lightest cup.
func (s Setup) leastCup() scale.Mass { return max(2*scale.Gram, 5*s.Division) }

// sameCup is how far the cup may be from what it weighed and still be it, dry:
// what is left of the water would be weighed as paint.
func (s Setup) sameCup() scale.Mass { return max(200*scale.Gram/1000, 2*s.Division) }
