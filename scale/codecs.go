package scale

// Codecs lists every family of lines that is known, in a fixed order, each as it
// is usually set.
func Codecs() []Codec {
	return []Codec{
		SMA{},
		CSV{},
		Header{},
		Letters{},
		Echo{},
		Signed{},
		Trailing{},
		Polarity{},
		StatusBytes{},
		Polled{},
		Handshake{},
		CRFirst{},
	}
}

// Variants lists the families once more with their other settings. Where a usual
// codec reads a variant too, the variant says what is written.
func Variants() []Codec {
	return []Codec{
		CSV{Map: 'b'},
		CSV{Map: 'c'},
		CSV{Map: 'd'},
		Echo{Wide: true},
		Signed{Label: true},
		Polarity{Wide: true},
		StatusBytes{Checksum: true},
		Polled{Reversed: true},
		Polled{Third: true},
		Handshake{Wide: true},
		Framed{},
		Prefix{},
		Prefix{Endless: true},
		XorDigits{Unit: UnitGram},
	}
}
