package scale

const (
	binaryLength = 6
	binaryHeader = 0xFF
)

// BinaryFrames tells that a stream is binary and that no codec here reads it:
// shape S18, described in a manual. A frame has six bytes: FF, flags, three
// bytes of two decimal digits each, the unit (0 or 1). Two of them in a row are
// looked for anywhere in data. It returns a *FrameError that holds the first,
// or nil where there are none. It is for finding out what a scale speaks, so
// that the answer is more than noise.
func BinaryFrames(data []byte) error {
	for at := 0; at+2*binaryLength <= len(data); at++ {
		if isBinaryFrame(data[at:]) && isBinaryFrame(data[at+binaryLength:]) {
			return frameError(data[at:at+binaryLength], 0, "binary, unsupported: frames of six bytes that begin with FF; set the scale to send text")
		}
	}
	return nil
}

func isBinaryFrame(b []byte) bool {
	for _, digits := range b[2:5] {
		if digits>>4 > 9 || digits&15 > 9 {
			return false
		}
	}
	return b[0] == binaryHeader && b[1] != binaryHeader && b[5] <= 1
}
