package scale

import (
	"fmt"
	"strings"
)

// shown is what a display has at one moment. Weights are in tenths of a gram.
type shown struct {
	tenths int
	moving bool
	net    bool
	over   bool
	under  bool
	unit   string // "" is g
}

func (s shown) unitText() string {
	if s.unit == "" {
		return "g"
	}
	return s.unit
}

// number is the weight in the unit of the display.
func (s shown) number() string {
	g := float64(s.tenths) / 10
	switch s.unit {
	case "kg":
		return fmt.Sprintf("%.4f", g/1000)
	case "oz":
		return fmt.Sprintf("%.3f", g/28.349523125)
	case "pc":
		return fmt.Sprintf("%.0f", g/10) // pieces of 10 g
	}
	return fmt.Sprintf("%.1f", g)
}

// signed is the number with its sign apart, plus where there is none.
func (s shown) signed(plus byte) (sign byte, number string) {
	if n, ok := strings.CutPrefix(s.number(), "-"); ok {
		return '-', n
	}
	return plus, s.number()
}

// pick is one of two by a condition.
func pick[T any](yes bool, a, b T) T {
	if yes {
		return a
	}
	return b
}

func smaLine(s shown) string {
	status := ' '
	switch {
	case s.over:
		status = 'O'
	case s.under:
		status = 'U'
	case s.tenths == 0 && !s.moving:
		status = 'Z'
	}
	return fmt.Sprintf("\n%c1%c%c %10s%-3s\r", status, pick(s.net, 'N', 'G'), pick(s.moving, 'M', ' '), s.number(), s.unitText())
}

func csvLine(s shown) string {
	status := pick(s.moving, "US", "ST")
	sign, number := s.signed('+')
	switch {
	case s.over || s.under:
		status, number = "OL", "9999.9"
	case s.unit == "pc":
		status = pick(s.moving, "US", "QT")
	}
	return fmt.Sprintf("%s,%s,%c%7s%2s\r\n", status, pick(s.net, "NT", "GS"), sign, number, s.unitText())
}

func headerLine(s shown) string {
	status := pick(s.moving, "US", "ST")
	sign, number := s.signed('+')
	switch {
	case s.over || s.under:
		status, number = "OL", "99999.99"
	case s.unit == "pc":
		status, s.unit = pick(s.moving, "US", "QT"), "PC"
	}
	return fmt.Sprintf("%s,%c%s%s%3s\r\n", status, sign, strings.Repeat("0", 8-len(number)), number, s.unitText())
}

func lettersLine(s shown) string {
	switch {
	case s.over:
		return "S +\r\n"
	case s.under:
		return "S -\r\n"
	}
	return fmt.Sprintf("S %c %10s %s\r\n", pick(s.moving, 'D', 'S'), s.number(), s.unitText())
}

func echoLine(s shown) string {
	mark := pick(s.moving, '?', ' ')
	switch {
	case s.over:
		mark = '^'
	case s.under:
		mark = 'v'
	}
	sign, number := s.signed(' ')
	return fmt.Sprintf("SI %c %c%9s %-3s\r\n", mark, sign, number, s.unitText())
}

func signedLine(s shown) string {
	switch {
	case s.over:
		return "     H        \r\n"
	case s.under:
		return "     L        \r\n"
	}
	sign, number := s.signed('+')
	if s.tenths == 0 {
		sign = ' '
	}
	return fmt.Sprintf("%c%9s %-3s\r\n", sign, number, pick(s.moving, "", strings.Replace(s.unitText(), "pc", "pcs", 1)))
}

func trailingLine(s shown) string {
	if s.over || s.under {
		return ""
	}
	return fmt.Sprintf("%11s %s %c%s\r\n", s.number(), strings.Replace(s.unitText(), "pc", "PCS", 1), pick(s.moving, '?', ' '), pick(s.net, " NET", ""))
}

func polarityLine(s shown) string {
	sign, number := s.signed('+')
	if s.over || s.under {
		return fmt.Sprintf("%c%7s%2s E\r\n", sign, "", s.unitText())
	}
	return fmt.Sprintf("%c%7s%2s %c\r\n", sign, number, s.unitText(), pick(s.moving, 'U', 'S'))
}
