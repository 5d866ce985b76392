package coating

// The water formula of Tanaka et al., Metrologia 38 (2001) 301-309: air-free
// water at 101.325 kPa.
const (
	tanaka1 = -3.983035 // °C
	tanaka2 = 301.797   // °C
	tanaka3 = 522528.9  // °C²
	tanaka4 = 69.34881  // °C
	tanaka5 = 999.974950
)

// The range over which the formula was published, in °C.
const (
	waterLowC  = 0.0
	waterHighC = 40.0
)

// WaterDensityGML is the density of clean water in g/ml at a temperature
// between 0 and 40 °C, after Tanaka et al. 2001. Outside that the water is
// refused: it would be ice, or the formula a guess.
func WaterDensityGML(celsius float64) (float64, error) {
	if !(celsius >= waterLowC && celsius <= waterHighC) {
		return 0, refuse("Water at %.4g °C: the density of water is known here from 0 to 40 °C. Let it reach the temperature of the room.", celsius)
	}
	d := celsius + tanaka1
	kgM3 := tanaka5 * (1 - d*d*(celsius+tanaka2)/(tanaka3*(celsius+tanaka4)))
	return kgM3 / gramsPerKilogram, nil
}

// Air buoyancy at 1.2 kg/m³ of air, for a scale adjusted with steel weights of
// 8000 kg/m³ (Harvey, Analytical Chemistry 2.1, appendix 9, eq. A9.1).
const (
	airGML   = 0.0012
	steelGML = 8.0
)

// InVacuum is the factor by which what a scale shows of a liquid of this
// density, in g/ml, is short of its mass. Between two paints it is some 0.04 %:
// it is left out of mixing and stands here to show that it may be.
func InVacuum(densityGML float64) float64 {
	return 1 + (1/densityGML-1/steelGML)*airGML
}
