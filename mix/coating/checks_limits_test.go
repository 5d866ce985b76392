package coating_test

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"gramcup/mix/coating"
)

// limitRow is a row as its source prints it: the US table gives lb/gal too.
type limitRow struct {
	category string
	gl, lb   float64
	basis    coating.Basis
}

const (
	usTable  = "US national, 40 CFR 59 subpart B"
	euTable  = "EU, Directive 2004/42/EC annex II B"
	usSource = "40 CFR 59.102 table 1, by 9VAC5-40-6990 table 4-48A"
	usMemory = "40 CFR 59.102 table 1, from a public restatement and from memory; 9VAC5-40-6990 prints 5 less"
	euSource = "nibusinessinfo.co.uk; letters by the Danish EPA's fact sheet"
)

func limitRows() map[string][]limitRow {
	return map[string][]limitRow{
		usTable: {
			{"Pretreatment wash primer", 780, 6.5, coating.BasisRegulatory},
			{"Primer and primer surfacer", 580, 4.8, coating.BasisRegulatory},
			{"Primer sealer", 550, 4.6, coating.BasisRegulatory},
			{"Topcoat of one or two stages", 600, 5.0, coating.BasisRegulatory},
			{"Topcoat of more than two stages", 630, 5.2, coating.BasisRegulatory},
			{"Multi-colored topcoat", 680, 5.7, coating.BasisRegulatory},
			{"Specialty coating", 840, 7.0, coating.BasisRegulatory},
		},
		euTable: {
			{"(a)(i) Preparatory product", 850, 0, coating.BasisEuropeanWhole},
			{"(a)(ii) Pre-cleaner", 200, 0, coating.BasisEuropeanWhole},
			{"(b) Bodyfiller and stopper", 250, 0, coating.BasisEuropean},
			{"(c)(i) Surfacer, filler, general metal primer", 540, 0, coating.BasisEuropean},
			{"(c)(ii) Wash primer", 780, 0, coating.BasisEuropean},
			{"(d) Topcoat: base, clear, single stage", 420, 0, coating.BasisEuropean},
			{"(e) Special finish", 840, 0, coating.BasisEuropean},
		},
	}
}

// limitOf is the built-in row of a name.
func limitOf(set, category string) (coating.Limit, error) {
	for _, l := range coating.Limits() {
		if l.Set == set && l.Category == category {
			return l, nil
		}
	}
	return coating.Limit{}, fmt.Errorf("no limit is called %s: %s", set, category)
}

func limitChecks() (list []outside) {
	for _, set := range []string{usTable, euTable} {
		for _, row := range limitRows()[set] {
			source := map[string]string{usTable: usSource, euTable: euSource}[set]
			if row.gl == 580 || row.gl == 630 {
				source = usMemory
			}
			list = append(list, outside{set[:2] + " " + row.category + ", g/l", source, row.gl, 1e-9, func() (float64, error) {
				l, err := limitOf(set, row.category)
				return l.GL, err
			}})
			if row.lb != 0 { // printed roughly: 630 g/l is 5.26 lb/gal and stands as 5.2
				list = append(list, outside{set[:2] + " " + row.category + ", lb/gal", source + "; printed rounded", row.lb, 0.06, func() (float64, error) {
					l, err := limitOf(set, row.category)
					return coating.LbPerGallon(l.GL), err
				}})
			}
		}
	}
	return list
}

// Each row counts by the volume that its rule says, and what was not seen in
// print says so.
func TestLimitsSayWhatTheyAre(t *testing.T) {
	n := 0
	for set, rows := range limitRows() {
		for _, row := range rows {
			n++
			l, err := limitOf(set, row.category)
			require.NoError(t, err)
			assert.Equal(t, row.basis, l.Basis, l.Name())
			assert.NoError(t, l.Check())
			switch {
			case set == euTable:
				assert.Contains(t, l.Date, "(from memory)", l.Name())
			case row.gl == 580 || row.gl == 630:
				assert.Contains(t, l.Source, "from memory; the page itself was not seen", l.Name())
			default:
				assert.Contains(t, l.Source, "9VAC5-40-6990", l.Name())
			}
		}
	}
	assert.Len(t, coating.Limits(), n, "each row is held against its source")
}

// At the limit is within it, a gram above is not.
func TestWithin(t *testing.T) {
	limit, err := limitOf(usTable, "Primer sealer")
	require.NoError(t, err)
	for gl, within := range map[float64]bool{550: true, 551: false, 549: true} {
		v, err := coating.MixVOC([]coating.Part{plain(1000, gl)}, 20)
		require.NoError(t, err)
		c, err := v.Compare([]coating.Limit{limit})
		require.NoError(t, err)
		assert.Equal(t, within, c.Within(), gl)
	}
}

// densityRowChecks are the rows that a typed density is asked about by.
func densityRowChecks() (list []outside) {
	const source = "common practice, no source: for asking again only"
	for _, want := range []coating.Row{
		{Kind: "primer surfacer", LowGML: 1.30, HighGML: 1.75}, {Kind: "epoxy primer", LowGML: 1.25, HighGML: 1.65},
		{Kind: "etch primer", LowGML: 0.88, HighGML: 1.10}, {Kind: "hardener", LowGML: 0.95, HighGML: 1.12},
		{Kind: "reducer", LowGML: 0.80, HighGML: 0.96}, {Kind: "solvent base", LowGML: 0.92, HighGML: 1.30},
		{Kind: "water base", LowGML: 1.00, HighGML: 1.20}, {Kind: "clear", LowGML: 0.93, HighGML: 1.04},
	} {
		bound := func(pick func(coating.Row) float64) func() (float64, error) {
			return func() (float64, error) {
				for _, r := range coating.Rows() {
					if r.Kind == want.Kind {
						return pick(r), nil
					}
				}
				return 0, fmt.Errorf("no row for %s", want.Kind)
			}
		}
		list = append(list,
			outside{string(want.Kind) + ", lightest, g/ml", source, want.LowGML, 1e-9, bound(func(r coating.Row) float64 { return r.LowGML })},
			outside{string(want.Kind) + ", heaviest, g/ml", source, want.HighGML, 1e-9, bound(func(r coating.Row) float64 { return r.HighGML })})
	}
	return append(list,
		outside{"lightest of all, g/ml", source, 0.6, 1e-9, sure(coating.LightestGML)},
		outside{"heaviest of all, g/ml", source, 3.0, 1e-9, sure(coating.HeaviestGML)})
}
