package simulator

import "math"

// Jug is a tin or jug to pour from.
type Jug struct {
	ContentG   float64 // liquid in it in grams; 0 for DefaultContentG
	MaxFlowGS  float64 // flow when full and wide open, grams a second; 0 for DefaultFlowGS
	DensityGML float64 // grams a millilitre, for the brim of the cup; 0 for not known
	FallM      float64 // from the lip to the cup in metres; 0 for DefaultFallM
	SpeedMS    float64 // speed with which the stream leaves the lip downwards, metres a second
}

// What a Jug has where it says nothing. Common practice, no source.
const (
	DefaultContentG = 4000.0
	DefaultFlowGS   = 40.0
	DefaultFallM    = 0.2
)

const (
	gravityMS2   = 9.81
	tailS        = 0.15 // time constant with which the lip runs dry
	dropG        = 0.05 // a drop of a thin liquid
	dripGS       = 0.5  // below this flow it comes in drops
	dryG         = 1e-4 // below this the lip counts as dry
	emptyHead    = 0.3  // part of the head that tipping further makes up for
	maxAirSteps  = 100  // one second of flight, a fall of five metres
	neverLimited = -1.0 // no fixed pour is running
)

// jug is a Jug in somebody's hand, and its stream.
type jug struct {
	Jug
	fullG   float64
	opening float64 // 0 closed to 1 wide
	limitG  float64 // what a fixed pour has left, or neverLimited
	fixedGS float64 // flow of a fixed pour
	filmG   float64 // on its way over the lip
	dropG   float64 // hanging at the lip
	air     [maxAirSteps]float64
	airAt   int
	flightS float64
}

func newJug(j Jug) *jug {
	if j.ContentG <= 0 {
		j.ContentG = DefaultContentG
	}
	if j.MaxFlowGS <= 0 {
		j.MaxFlowGS = DefaultFlowGS
	}
	if j.FallM <= 0 {
		j.FallM = DefaultFallM
	}
	v := j.SpeedMS
	flight := (math.Sqrt(v*v+2*gravityMS2*j.FallM) - v) / gravityMS2
	flight = math.Min(flight, (maxAirSteps-1)*stepS)
	return &jug{Jug: j, fullG: j.ContentG, limitG: neverLimited, flightS: flight}
}

// pour sets a fixed pour: so many grams at a steady flow, whatever the head.
func (j *jug) pour(grams, flowGS float64) { j.limitG, j.fixedGS = grams, flowGS }

// step lets liquid out, moves the stream, and returns the grams that land in
// this step and the push of the jet on the pan in grams of force.
func (j *jug) step() (landedG, jetG float64) {
	out := j.leaves(j.overLip())
	flight := int(math.Round(j.flightS / stepS))
	j.air[(j.airAt+flight)%maxAirSteps] += out
	landedG = j.air[j.airAt]
	j.air[j.airAt] = 0
	j.airAt = (j.airAt + 1) % maxAirSteps
	// A stream that starts from rest pushes just as much as the liquid in the
	// air weighs, so a steady pour reads as if all of it had landed.
	speedMS := j.SpeedMS + gravityMS2*j.flightS
	return landedG, landedG / stepS * speedMS / gravityMS2
}

// overLip takes liquid out of the jug, as grams in this step.
func (j *jug) overLip() float64 {
	head := emptyHead + (1-emptyHead)*j.ContentG/j.fullG
	flow := j.opening * j.MaxFlowGS * math.Sqrt(head)
	if j.limitG != neverLimited {
		flow = math.Min(j.fixedGS, j.limitG/stepS)
	}
	grams := math.Min(flow*stepS, j.ContentG)
	j.ContentG -= grams
	if j.limitG != neverLimited {
		j.limitG -= grams
		if j.limitG <= 0 || j.ContentG <= 0 {
			j.limitG = neverLimited
		}
	}
	return grams
}

// leaves is the lip: a film that runs off, at last in drops.
func (j *jug) leaves(grams float64) float64 {
	j.filmG += grams
	run := j.filmG * stepS / tailS
	if j.filmG < dryG {
		run = j.filmG
	}
	j.filmG -= run
	j.dropG += run
	if run/stepS < dripGS && j.dropG < dropG && j.filmG > 0 {
		return 0
	}
	out := j.dropG
	j.dropG = 0
	return out
}

// ownG is what is still in or on the jug, airG what is on its way down.
func (j *jug) ownG() float64 { return j.ContentG + j.filmG + j.dropG }

func (j *jug) airG() float64 {
	sum := 0.0
	for _, g := range j.air {
		sum += g
	}
	return sum
}
