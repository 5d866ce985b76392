package scale

// Codecs lists every family of lines that is known, in a fixed order.
func Codecs() []Codec { return []Codec{SMA{}, CSV{}} }
