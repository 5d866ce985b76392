package coating

// Exact conversions. The gallon is 231 cubic inches (NIST Handbook 44, appendix
// C) and the pound 453.59237 g; everything else follows from these two and the
// inch of 25.4 mm.
const (
	LitresPerUSGallon = 3.785411784
	LitresPerUKGallon = 4.54609
	MLPerUSFluidOunce = 29.5735295625
	MLPerUKFluidOunce = 28.4130625
	GramsPerPound     = 453.59237
	GramsPerOunce     = 28.349523125
	MicrometresPerMil = 25.4
	M2PerSquareFoot   = 0.09290304
	litresPerUM2      = 1000.0 // a litre at one micrometre covers so many square metres
	gramsPerKilogram  = 1000.0
	millilitresPerL   = 1000.0
	percent           = 100.0
	poundsPerGalPerGL = LitresPerUSGallon / GramsPerPound
)

// LbPerGallon turns grams a litre into pounds a US gallon.
func LbPerGallon(gramsPerLitre float64) float64 { return gramsPerLitre * poundsPerGalPerGL }

// GramsPerLitre turns pounds a US gallon into grams a litre.
func GramsPerLitre(lbPerGallon float64) float64 { return lbPerGallon / poundsPerGalPerGL }

// Celsius turns degrees Fahrenheit into Celsius.
func Celsius(fahrenheit float64) float64 { return (fahrenheit - 32) / 1.8 }
