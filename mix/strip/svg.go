package strip

import (
	"bytes"
	"encoding/xml"
	"fmt"
)

// SVG draws the strip as a picture whose units are millimetres.
func (s Strip) SVG() ([]byte, error) {
	if err := s.Check(); err != nil {
		return nil, err
	}
	p := &svgPen{}
	fmt.Fprintf(&p.out, `<svg xmlns="http://www.w3.org/2000/svg" width="%gmm" height="%gmm" viewBox="0 0 %g %g" font-family="Helvetica, Arial, sans-serif">`+"\n",
		sheetWideMM, sheetHighMM, sheetWideMM, sheetHighMM)
	p.out.WriteString(`<rect width="100%" height="100%" fill="white"/>` + "\n")
	s.draw(p)
	p.out.WriteString("</svg>\n")
	return p.out.Bytes(), nil
}

type svgPen struct{ out bytes.Buffer }

func (p *svgPen) line(x1, y1, x2, y2, wideMM float64) {
	fmt.Fprintf(&p.out, `<line x1="%s" y1="%s" x2="%s" y2="%s" stroke="black" stroke-width="%g"/>`+"\n",
		number(x1, 3), number(y1, 3), number(x2, 3), number(y2, 3), wideMM)
}

func (p *svgPen) text(x, y, sizeMM float64, bold bool, s string) {
	weight := ""
	if bold {
		weight = ` font-weight="bold"`
	}
	fmt.Fprintf(&p.out, `<text x="%s" y="%s" font-size="%g"%s>`, number(x, 3), number(y, 3), sizeMM, weight)
	_ = xml.EscapeText(&p.out, []byte(s)) // a buffer takes everything
	p.out.WriteString("</text>\n")
}
