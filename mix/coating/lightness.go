package coating

import "math"

// The CIE 1976 lightness (CIE 15; ISO/CIE 11664-4): below this share of white it
// is a straight line.
const (
	cieKappa   = 24389.0 / 27.0  // 903.3
	cieEpsilon = 216.0 / 24389.0 // 0.008856
)

// LightnessOf is L* of a luminous reflectance, given as a share of the perfect
// white.
func LightnessOf(reflectance float64) float64 {
	if reflectance <= cieEpsilon {
		return cieKappa * reflectance
	}
	return 116*math.Cbrt(reflectance) - 16
}

// ReflectanceOf is the luminous reflectance, a share of the perfect white, that
// has this L*.
func ReflectanceOf(lightness float64) float64 {
	if lightness <= cieKappa*cieEpsilon {
		return lightness / cieKappa
	}
	f := (lightness + 16) / 116
	return f * f * f
}

// AbsorptionRatio is K/S of a film that hides, from its reflectance (Kubelka and
// Munk 1931): (1-R)²/2R.
func AbsorptionRatio(reflectance float64) float64 {
	return (1 - reflectance) * (1 - reflectance) / (2 * reflectance)
}

// HidingReflectance is the reflectance of a film that hides, from its K/S: the
// inverse of AbsorptionRatio.
func HidingReflectance(ks float64) float64 {
	// 1 + ks - √(ks² + 2ks) loses its digits where ks is large.
	return 1 / (1 + ks + math.Sqrt(ks*ks+2*ks))
}
