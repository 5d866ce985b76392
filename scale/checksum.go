package scale

// xorOf is the exclusive or of all bytes: the block check of several shapes.
func xorOf(b []byte) byte {
	var x byte
	for _, c := range b {
		x ^= c
	}
	return x
}

// complementOf is what makes the low seven bits of the sum of all bytes zero.
func complementOf(b []byte) byte {
	var sum byte
	for _, c := range b {
		sum += c
	}
	return -sum & 0x7F
}

// hexDigit is the upper-case digit of a nibble.
func hexDigit(nibble byte) byte { return "0123456789ABCDEF"[nibble&15] }
