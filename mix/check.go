package mix

import "fmt"

// Check says which of the rules that always hold does not. It is called after
// every change; a broken rule becomes a Faulted event, not a crash with a tin
// in mid-air.
func (b *Batch) Check() error {
	switch {
	case b.Seq == 0 && b.ID == "":
		return nil
	case b.N() < 2 || b.N() > MaxComponents:
		return fmt.Errorf("batch %s has %d components", b.ID, b.N())
	case b.Current < 0 || b.Current >= b.N():
		return fmt.Errorf("batch %s pours component %d of %d", b.ID, b.Current+1, b.N())
	case b.State == StateHeld && b.Hold == "" || b.State != StateHeld && b.Hold != "":
		return fmt.Errorf("batch %s is %s with hold reason %q", b.ID, b.State, b.Hold)
	case b.State.Ended() != (b.Phase == PhaseDone):
		return fmt.Errorf("batch %s is %s in phase %s", b.ID, b.State, b.Phase)
	case b.Division <= 0:
		return fmt.Errorf("batch %s has no division", b.ID)
	}
	for i, l := range b.Layers[:b.N()] {
		if l.Poured < 0 || l.Target < 0 {
			return fmt.Errorf("batch %s: layer %d has %v poured of %v", b.ID, i+1, l.Poured, l.Target)
		}
		if b.Phase != PhaseCup && b.Amount.Kind != AmountAsPoured && l.Target == 0 {
			return fmt.Errorf("batch %s: layer %d has no target", b.ID, i+1)
		}
	}
	if b.State == StateComplete {
		for i, l := range b.Layers[:b.N()] {
			if l.Line != LineOn && !l.Kept {
				return fmt.Errorf("batch %s is complete with layer %d %s", b.ID, i+1, l.Line)
			}
		}
	}
	return nil
}
