package simulator

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// pager hands out lines one by one, as SMA SCP-0499 has it for its About (A,
// B) and Information (I, N) dialogues: after the last line there is none.
type pager struct {
	lines []string
	at    int
}

func (p *pager) rewind() { p.at = 0 }

func (p *pager) next() (string, bool) {
	if p.at >= len(p.lines) {
		return "", false
	}
	p.at++
	return p.lines[p.at-1], true
}

// aboutPages are the About lines: three letters, a colon, at most 25
// characters (SMA SCP-0499 5.5). The texts are made up.
func aboutPages(o Options) pager {
	return pager{lines: []string{
		"SMA:2/1.0",
		"MFG:simulated",
		"MOD:" + o.Preset.Name + " bench",
		"REV:1",
		"SN :" + strconv.FormatUint(o.Seed, 10),
		"END:",
	}}
}

// infoPages are the Information lines: type, capacity with its unit, count-by
// and decimals, and the level 2 commands that are understood.
func infoPages(o Options) pager {
	return pager{lines: []string{
		"SMA:2/1.0",
		"TYP:S",
		"CAP:" + capacity(o.Preset),
		"CMD:TCR",
		"END:",
	}}
}

// capacity is "g  :6000.0:1:1": unit, full capacity, count-by, decimals.
func capacity(p Preset) string {
	division := strconv.FormatFloat(p.DivisionG, 'f', -1, 64)
	_, fraction, _ := strings.Cut(division, ".")
	places := len(fraction)
	countBy := int(math.Round(p.DivisionG * math.Pow10(places)))
	return fmt.Sprintf("g  :%.*f:%d:%d", places, p.MaxG, countBy, places)
}
