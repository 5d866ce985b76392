package coating

// Equivalent weights of a urethane ("Guide to urethane calculations",
// turiya.nl; the 42.02 g/mol of NCO from the glossary of polymatrix).
const (
	ncoGMol100 = 4202.0
	ohMgKOH    = 56100.0
)

// Resin is the binder side of a urethane as supplied.
type Resin struct {
	Parts      float64 // by volume
	DensityGML float64
	OHValue    float64 // mg KOH a gram
}

// Curing is the isocyanate side as supplied.
type Curing struct {
	Parts      float64 // by volume
	DensityGML float64
	NCOPercent float64 // share of NCO by weight, in per cent
}

// EquivalentNCO is the mass in grams of hardener that carries one mole of NCO.
func EquivalentNCO(ncoPercent float64) float64 { return ncoGMol100 / ncoPercent }

// EquivalentOH is the mass in grams of resin that carries one mole of OH.
func EquivalentOH(ohValue float64) float64 { return ohMgKOH / ohValue }

// Index is the NCO that there is over the NCO that the resin's OH needs: 1 is
// even, 1.05 to 1.10 is usual, because moisture takes some (Handbook of Plastics
// Technologies, 2006, 3.1.1.2.4). It goes with the mass of hardener; a reducer
// does not change it unless it carries OH itself.
func Index(a Resin, b Curing) (float64, error) {
	switch {
	case !(a.Parts > 0 && b.Parts > 0):
		return 0, refuse("Both sides of the ratio must be above 0.")
	case !(a.DensityGML > 0 && b.DensityGML > 0):
		return 0, refuse("The index needs the densities of base and hardener: the groups are counted by weight.")
	case !(a.OHValue > 0 && a.OHValue < 1000):
		return 0, refuse("An OH value of %.4g mg KOH/g can not be right: as supplied it lies between about 20 and 300.", a.OHValue)
	case !(b.NCOPercent > 0 && b.NCOPercent <= 50):
		return 0, refuse("An NCO content of %.4g %% can not be right: hardeners as supplied have about 5 to 25 %%.", b.NCOPercent)
	}
	nco := b.Parts * b.DensityGML / EquivalentNCO(b.NCOPercent)
	oh := a.Parts * a.DensityGML / EquivalentOH(a.OHValue)
	return nco / oh, nil
}

// HardenerPer100 is the mass of hardener in grams for 100 g of resin at an
// index.
func HardenerPer100(ohValue, ncoPercent, index float64) float64 {
	return percent * index * EquivalentNCO(ncoPercent) / EquivalentOH(ohValue)
}
