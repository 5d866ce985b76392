package scale

import (
	"bytes"
	"fmt"
	"slices"
	"strings"
)

// A pattern that somebody wrote in a hurry may match a line and yet cut its
// number in two: .*(?P<value>[0-9.]+) takes the 6 of 412.6, because the star
// takes what it can get. The line fits, so only what stands around the number
// tells, and it is looked at here.

// parts are the texts of a match, nil for a part that is not in this line.
func parts(text []byte, at []int) [][]byte {
	m := make([][]byte, len(at)/2)
	for i := range m {
		if at[2*i] >= 0 {
			m[i] = text[at[2*i]:at[2*i+1]]
		}
	}
	return m
}

// word is what a part holds; ok is false where the pattern has no such part.
func (o *Own) word(m [][]byte, part string) (string, bool) {
	i, ok := o.part[part]
	if !ok {
		return "", false
	}
	return strings.TrimSpace(string(m[i])), true
}

// ownEdges refuses a line whose number goes on where the part value ends: a
// digit, a point or a comma beside it, and a minus or a bracket, also beyond
// blanks, which would change its sign. What lies in another named part is
// somebody's intention, as far as that part holds a word that it is described to
// hold, or nothing but one digit: a greedy part is no better than no part.
func (o *Own) ownEdges(piece, text []byte, at []int) error {
	v := o.part["value"]
	from, to := at[2*v], at[2*v+1]
	before, after := from-1, to
	if goesOnBefore(text, from, to) && !o.meant(text, at, before) {
		return frameError(piece, before, fmt.Sprintf("the number goes on in front of the part value, which took only %q: the pattern cuts it in two", text[from:to]))
	}
	if goesOnBehind(text, to) && !o.meant(text, at, after) {
		return frameError(piece, after, fmt.Sprintf("the number goes on behind the part value, which took only %q: the pattern cuts it in two", text[from:to]))
	}
	for before >= 0 && text[before] == ' ' {
		before--
	}
	for after < len(text) && text[after] == ' ' {
		after++
	}
	for _, i := range []int{before, after} {
		switch {
		case i < 0 || i >= len(text) || o.meant(text, at, i):
		case text[i] == '-' && i == before:
			return frameError(piece, i, "a minus stands in front of the number and outside every part of the pattern: write (?P<sign>[+-]?) where it stands")
		case text[i] == '-':
			return frameError(piece, i, "a minus stands behind the number and outside every part of the pattern: write (?P<sign>-?) where it stands")
		case text[i] == '(' && i == before || text[i] == ')' && i == after:
			return frameError(piece, i, "the number stands in brackets, which often means a minus: a pattern can not say that, and without it the sign would be wrong")
		}
	}
	return nil
}

// goesOnBefore reports whether a digit, a point or a comma of the number stands
// in front of it. The comma of a list is none: it has a word on its other side,
// or the number has a point and no thousands in front of the comma.
func goesOnBefore(text []byte, from, to int) bool {
	if from == 0 || text[from-1] != ',' {
		return from > 0 && (isDigit(text[from-1]) || text[from-1] == '.')
	}
	other := byte(' ')
	if from > 1 {
		other = text[from-2]
	}
	point := bytes.IndexByte(text[from:to], '.') >= 0
	return isDigit(other) || !point && (other == ' ' || other == '+' || other == '-')
}

// goesOnBehind is the same behind it, where only digits follow a decimal comma.
func goesOnBehind(text []byte, to int) bool {
	switch {
	case to == len(text):
		return false
	case text[to] == ',':
		return to+1 < len(text) && isDigit(text[to+1])
	}
	return isDigit(text[to]) || text[to] == '.'
}

// meant reports whether a byte lies in a part that may stand so close to the
// number.
func (o *Own) meant(text []byte, at []int, i int) bool {
	for name, n := range o.part {
		from, to := at[2*n], at[2*n+1]
		if name == "value" || i < from || i >= to {
			continue
		}
		word := strings.TrimSpace(string(text[from:to]))
		if name == "sign" || len(word) == 1 && isDigit(word[0]) || slices.Contains(o.line.wordsOf(name), word) {
			return true
		}
	}
	return false
}

// wordsOf are those that a part is described to hold.
func (l OwnLine) wordsOf(part string) []string {
	switch part {
	case "stable":
		return slices.Concat(l.Still, l.Moving)
	case "mode":
		return slices.Concat(l.Net, l.Gross, l.Tare)
	case "status":
		return slices.Concat(l.Over, l.Under, l.Wait)
	}
	return nil
}

// sign reads the part sign. A sign that is none would otherwise be a plus.
func (o *Own) sign(piece []byte, at []int) (minus bool, err error) {
	n, ok := o.part["sign"]
	v := o.part["value"]
	if !ok || at[2*n] < 0 || at[2*v] <= at[2*n] && at[2*n+1] <= at[2*v+1] && at[2*n] < at[2*n+1] {
		return false, nil // none, or within the number, which is read with it
	}
	switch text := bytes.TrimSpace(piece[at[2*n]:at[2*n+1]]); {
	case len(text) > 1 || len(text) == 1 && text[0] != '+' && text[0] != '-':
		return false, frameError(piece, at[2*n], fmt.Sprintf("the part sign holds %q: a sign is +, - or a blank", text))
	case len(text) == 1 && bytes.ContainsAny(piece[at[2*v]:at[2*v+1]], "+-"):
		return false, frameError(piece, at[2*n], "there are two signs: one in the part sign and one in the part value")
	default:
		return len(text) == 1 && text[0] == '-', nil
	}
}

// checkEnd refuses ends at which no line ends, or every line is cut. In the
// single quotes of the settings file a \r is a backslash and an r, and no line
// of a scale has that at its end.
func (l OwnLine) checkEnd() error {
	for i := range len(l.End) {
		switch c := l.End[i]; {
		case c == '\\':
			return fmt.Errorf("the end of your own line holds a backslash: in single quotes \\r is two characters, so write end = \"\\r\\n\" in double quotes")
		case c == ' ' || c == '+' || c == '-' || c == '.' || isDigit(c) || isLetter(c):
			return fmt.Errorf("the end of your own line holds %q, which stands within lines as well: give the bytes that end one, usually end = \"\\r\\n\"", c)
		case c >= 0x80:
			return fmt.Errorf("the end of your own line holds %q, which is more than one byte: give plain ASCII, usually end = \"\\r\\n\"", l.End)
		}
	}
	return nil
}

// noEnd is the reason of a piece that is as long as any line may be and has no
// end.
func (o *Own) noEnd() string {
	return fmt.Sprintf("%d bytes came without %s, at which your own line is said to end: look at what the bytes end with and set end to it", MaxPiece, o.Ends())
}

// Ends is the bytes that end a line, in words: "\\r or \\n".
func (o *Own) Ends() string {
	var ends []string
	for i := range len(o.line.End) {
		ends = append(ends, string(AppendEscaped(nil, []byte{o.line.End[i]})))
	}
	return strings.Join(ends, " or ")
}
