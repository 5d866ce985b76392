package scale

// Codecs lists every family of lines that is known, each as it is usually set:
// the open standard, then the shapes S1 to S17 in their order. The families whose
// lines do not say their unit stand here in grams.
func Codecs() []Codec {
	return []Codec{
		SMA{},
		CSV{},                      // S1
		Header{},                   // S2
		Letters{},                  // S3
		Echo{},                     // S4
		Signed{},                   // S5
		Trailing{},                 // S6
		Polarity{},                 // S7
		StatusBytes{},              // S8
		Polled{},                   // S9
		Handshake{},                // S10
		XorDigits{Unit: UnitGram},  // S11
		Reversed{Unit: UnitGram},   // S12
		Prefix{},                   // S13
		Framed{},                   // S14
		CRFirst{},                  // S15
		Labelled{Label: ModeGross}, // S16
		Bare{Unit: UnitGram},       // S17
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
		Polled{Alone: true},
		Handshake{Wide: true},
		Prefix{Endless: true},
		Framed{Short: true, Unit: UnitGram},
		Labelled{Label: ModeNet},
		Bare{Unit: UnitGram, Width: 8},
		Bare{Unit: UnitGram, Dollar: true},
	}
}
