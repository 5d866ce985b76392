package strip

import (
	"bytes"
	"fmt"
)

// pointsPerMM turns millimetres into the points of a PDF, 72 to an inch (ISO
// 32000-1, 8.3.2.3).
const pointsPerMM = 72 / 25.4

// PDF draws the strip as one A4 page. The file uses the two standard Helvetica
// fonts, which every reader has (ISO 32000-1, 9.6.2.2), and asks the printer
// not to scale (12.2, PrintScaling).
func (s Strip) PDF() ([]byte, error) {
	if err := s.Check(); err != nil {
		return nil, err
	}
	p := &pdfPen{}
	s.draw(p)
	const font = "<< /Type /Font /Subtype /Type1 /BaseFont /%s /Encoding /WinAnsiEncoding >>"
	objects := []string{
		"<< /Type /Catalog /Pages 2 0 R /ViewerPreferences << /PrintScaling /None >> >>",
		"<< /Type /Pages /Kids [3 0 R] /Count 1 >>",
		fmt.Sprintf("<< /Type /Page /Parent 2 0 R /MediaBox [0 0 %.3f %.3f] /Contents 6 0 R /Resources << /Font << /F1 4 0 R /F2 5 0 R >> >> >>",
			sheetWideMM*pointsPerMM, sheetHighMM*pointsPerMM),
		fmt.Sprintf(font, "Helvetica"),
		fmt.Sprintf(font, "Helvetica-Bold"),
		fmt.Sprintf("<< /Length %d >>\nstream\n%sendstream", p.out.Len(), p.out.String()),
	}
	var out bytes.Buffer
	out.WriteString("%PDF-1.7\n%\xe2\xe3\xcf\xd3\n")
	var at []int
	for i, o := range objects {
		at = append(at, out.Len())
		fmt.Fprintf(&out, "%d 0 obj\n%s\nendobj\n", i+1, o)
	}
	table := out.Len()
	fmt.Fprintf(&out, "xref\n0 %d\n0000000000 65535 f \n", len(objects)+1)
	for _, offset := range at {
		fmt.Fprintf(&out, "%010d 00000 n \n", offset)
	}
	fmt.Fprintf(&out, "trailer\n<< /Size %d /Root 1 0 R >>\nstartxref\n%d\n%%%%EOF\n", len(objects)+1, table)
	return out.Bytes(), nil
}

// pdfPen writes a page's content; a PDF counts from the lower left corner.
type pdfPen struct{ out bytes.Buffer }

func (p *pdfPen) line(x1, y1, x2, y2, wideMM float64) {
	fmt.Fprintf(&p.out, "%.3f w %.3f %.3f m %.3f %.3f l S\n", wideMM*pointsPerMM,
		x1*pointsPerMM, (sheetHighMM-y1)*pointsPerMM, x2*pointsPerMM, (sheetHighMM-y2)*pointsPerMM)
}

func (p *pdfPen) text(x, y, sizeMM float64, bold bool, s string) {
	font := "F1"
	if bold {
		font = "F2"
	}
	fmt.Fprintf(&p.out, "BT /%s %.3f Tf %.3f %.3f Td (", font, sizeMM*pointsPerMM, x*pointsPerMM, (sheetHighMM-y)*pointsPerMM)
	for _, r := range s {
		p.out.Write(winAnsi(r))
	}
	p.out.WriteString(") Tj ET\n")
}

// winAnsi is a letter in the font's encoding, which is Latin-1 but for a few;
// what it does not have becomes a question mark.
func winAnsi(r rune) []byte {
	switch {
	case r == '(' || r == ')' || r == '\\':
		return []byte{'\\', byte(r)}
	case r >= ' ' && r < 0x7F || r >= 0xA0 && r <= 0xFF:
		return []byte{byte(r)}
	case r == '–':
		return []byte{0x96}
	case r == '’':
		return []byte{0x92}
	}
	return []byte{'?'}
}
