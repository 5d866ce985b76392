package coating

import "fmt"

// Refusal says why there is no figure, in a sentence for the person who asked,
// with what would be needed. Ask marks a figure that is merely unlikely: it
// stands once the person has confirmed it.
type Refusal struct {
	Sentence string
	Ask      bool
}

// Error is the sentence.
func (r *Refusal) Error() string { return r.Sentence }

func refuse(format string, args ...any) error {
	return &Refusal{Sentence: fmt.Sprintf(format, args...)}
}

// sprintf writes the figures of a sentence; it stands here so that a sentence
// that asks and one that refuses are written alike.
func sprintf(format string, args ...any) string { return fmt.Sprintf(format, args...) }
