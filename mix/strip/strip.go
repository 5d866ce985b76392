package strip

import (
	"fmt"
	"strconv"
	"strings"

	"gramcup/mix/coating"
)

// Mark is one level on the strip.
type Mark struct {
	HeightMM float64 // above the inner bottom of the cup
	Label    string  // what is poured up to here
}

// Strip is what is drawn.
type Strip struct {
	Title string   // recipe and amount
	Lines []string // what else a person must know, a line each
	Marks []Mark   // by rising height
}

// The sheet is A4 (ISO 216), upright, in millimetres from its upper left corner.
const (
	sheetWideMM = 210.0
	sheetHighMM = 297.0
	marginMM    = 15.0
	bottomMM    = 277.0 // where height 0 is drawn
	tallestMM   = 225.0 // that leaves room for the head
	stripLeftMM = 25.0
	stripWideMM = 40.0
	labelMM     = 70.0
	checkMM     = 185.0 // of the check line
	checkLongMM = 100.0
	tightMM     = 4.5 // labels nearer than this are moved apart
)

// ForCup makes the strip of a recipe for a cup: names and volumes in
// millilitres in the order of pouring.
func ForCup(title string, v coating.Vessel, names []string, volumesML []float64, lines ...string) (Strip, error) {
	levels, err := coating.Levels(v, volumesML)
	if err != nil {
		return Strip{}, err
	}
	s := Strip{Title: title, Lines: lines}
	sum := 0.0
	for i, h := range levels {
		sum += volumesML[i]
		s.Marks = append(s.Marks, Mark{HeightMM: h, Label: fmt.Sprintf("%s to here: %s mm, %s ml in all", names[i], number(h, 1), number(sum, 0))})
	}
	return s, s.Check()
}

// Check refuses a strip that can not be drawn on the sheet.
func (s Strip) Check() error {
	if len(s.Marks) == 0 {
		return &coating.Refusal{Sentence: "The strip has no mark: name at least one component."}
	}
	last := 0.0
	for _, m := range s.Marks {
		if !(m.HeightMM > last) {
			return &coating.Refusal{Sentence: fmt.Sprintf("A mark at %.4g mm follows one at %.4g mm: the marks must rise.", m.HeightMM, last)}
		}
		last = m.HeightMM
	}
	if last > tallestMM {
		return &coating.Refusal{Sentence: fmt.Sprintf("The highest mark is at %.0f mm and the sheet has room for %.0f: take a wider cup or a smaller amount.", last, tallestMM)}
	}
	return nil
}

func number(x float64, digits int) string { return strconv.FormatFloat(x, 'f', digits, 64) }

// pen draws in millimetres from the upper left corner of the sheet.
type pen interface {
	line(x1, y1, x2, y2, wideMM float64)
	text(x, y, sizeMM float64, bold bool, s string)
}

// draw is the picture, the same for every kind of file.
func (s Strip) draw(p pen) {
	y := marginMM + 6
	p.text(marginMM, y, 6, true, s.Title)
	for _, l := range s.Lines {
		for _, part := range wrap(l, 95) {
			y += 5
			p.text(marginMM, y, 3.6, false, part)
		}
	}
	s.drawScale(p)
	drawCheck(p)
}

// drawScale is the strip itself: its outline, a tick each millimetre, and the
// marks over its whole width.
func (s Strip) drawScale(p pen) {
	top := s.Marks[len(s.Marks)-1].HeightMM + 8
	right := stripLeftMM + stripWideMM
	p.line(stripLeftMM, bottomMM, right, bottomMM, 0.5)
	p.line(stripLeftMM, bottomMM, stripLeftMM, bottomMM-top, 0.2)
	p.line(right, bottomMM, right, bottomMM-top, 0.2)
	p.line(stripLeftMM, bottomMM-top, right, bottomMM-top, 0.2)
	for mm := 1; float64(mm) < top; mm++ {
		long := 2.0
		switch {
		case mm%10 == 0:
			long = 6
			p.text(stripLeftMM+7, bottomMM-float64(mm)+1, 2.6, false, strconv.Itoa(mm))
		case mm%5 == 0:
			long = 4
		}
		p.line(stripLeftMM, bottomMM-float64(mm), stripLeftMM+long, bottomMM-float64(mm), 0.1)
	}
	p.text(labelMM, bottomMM+1.2, 3.6, false, "0: the inner bottom of the cup. Cut here.")
	free := bottomMM - tightMM
	for i, m := range s.Marks {
		at := bottomMM - m.HeightMM
		p.line(stripLeftMM, at, right, at, 0.5)
		p.text(right-7, at-0.8, 3.6, true, string(rune('A'+i)))
		label := min(at, free)
		free = label - tightMM
		p.line(right, at, labelMM-1, label, 0.15)
		p.text(labelMM, label+1.2, 3.6, false, string(rune('A'+i))+"  "+m.Label)
	}
}

// drawCheck is the line that shows whether the printer kept the size.
func drawCheck(p pen) {
	top := bottomMM - checkLongMM
	p.line(checkMM, bottomMM, checkMM, top, 0.3)
	for mm := 0; mm <= int(checkLongMM); mm += 10 {
		p.line(checkMM-2, bottomMM-float64(mm), checkMM+2, bottomMM-float64(mm), 0.2)
	}
	p.text(checkMM-32, top-7, 3.2, true, "This line is 100 mm long.")
	p.text(checkMM-32, top-3, 3.2, false, "If not: print at 100 %, no fitting.")
}

// wrap breaks a text at blanks into lines of at most so many letters.
func wrap(s string, most int) (lines []string) {
	line := ""
	for _, word := range strings.Fields(s) {
		if line != "" && len(line)+1+len(word) > most {
			lines, line = append(lines, line), ""
		}
		if line != "" {
			line += " "
		}
		line += word
	}
	if line != "" {
		lines = append(lines, line)
	}
	return lines
}
