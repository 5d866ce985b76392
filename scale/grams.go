package scale

import "math/big"

// appendExactGrams multiplies in whole numbers of picograms, so nothing is
// lost, and keeps the decimals that the scale sent (they tell its step): for a
// metric unit the point only moves. It allocates and is not for the live path.
func appendExactGrams(dst []byte, d Decimal, picograms int64) []byte {
	const gramExponent = 12 // 1 g = 10^12 pg
	exponent, factor := gramExponent, picograms
	for exponent > 0 && factor%10 == 0 {
		factor /= 10
		exponent--
	}
	n := new(big.Int).SetUint64(d.Coefficient)
	n.Mul(n, big.NewInt(factor))
	places := int(d.Places) + exponent
	// A unit larger than a gram leaves zeros in factor that belong to the
	// point: kg has factor 1000 here when exponent reached 0.
	for places > 0 && factor%10 == 0 {
		factor /= 10
		places--
		n.Div(n, big.NewInt(10))
	}
	s := n.String()
	for len(s) <= places {
		s = "0" + s
	}
	if d.Negative {
		dst = append(dst, '-')
	}
	dst = append(dst, s[:len(s)-places]...)
	if places > 0 {
		dst = append(dst, '.')
		dst = append(dst, s[len(s)-places:]...)
	}
	return dst
}
