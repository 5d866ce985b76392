package coating

import (
	"math"
	"sort"
)

// Drawdown is one of the shop's own: how much of the dark undercoat, as a share
// of the volume, and the lightness it dried to over full hiding.
type Drawdown struct {
	Dark      float64 // 0 is the light undercoat alone, 1 the dark one
	Lightness float64 // CIE L*
}

// Check refuses a drawdown that can not be.
func (c Drawdown) Check() error {
	if !(c.Dark >= 0 && c.Dark <= 1) {
		return refuse("A drawdown with %.4g %% of the dark undercoat: give 0 to 100 %% of the volume.", c.Dark*percent)
	}
	if !(c.Lightness >= lightnessBottom && c.Lightness <= lightnessTop) {
		return refuse("A drawdown of L* %.4g: undercoats lie between %.0f and %.0f.", c.Lightness, lightnessBottom, lightnessTop)
	}
	return nil
}

// Grey is a pair of undercoats of one system, fitted from the shop's own
// drawdowns. After Kubelka and Munk (1931) with two constants each, absorption
// and scattering add by volume:
//
//	K/S = ((1-c)·light + c·strength·dark) / ((1-c) + c·strength)
//
// where light and dark are the K/S of the two alone and strength is how much
// more the dark one scatters for its volume. Reflection at the surface is left
// to the fit, which is why it holds only between what was measured.
type Grey struct {
	lightKS, darkKS, strength float64

	low, high float64 // the shares of dark that were measured
	spread    float64 // of one drawdown about the fit in L*, standard
	free      int     // drawdowns beyond the three that the fit needs
	cards     []Drawdown
}

const (
	// drawdownsNeeded is the number of unknowns of the fit.
	drawdownsNeeded = 3
	// drawdownSpread is what drawing and reading a card once scatters in L*,
	// where there are too few cards to tell: common practice, no source.
	drawdownSpread = 0.5
	// spreadWeight is for how many spare drawdowns that counts: a few that happen
	// to lie well do not make the next one any surer.
	spreadWeight = 3
	fitRounds    = 60
	// lightnessTop is the lightest that can be asked for; at 100 there is no
	// pigment left to divide by.
	lightnessTop    = 99.0
	lightnessBottom = 1.0
)

// FitGrey fits a pair of undercoats from at least three drawdowns at different
// shares.
func FitGrey(cards []Drawdown) (Grey, error) {
	cards = append([]Drawdown(nil), cards...)
	sort.Slice(cards, func(i, j int) bool { return cards[i].Dark < cards[j].Dark })
	if err := checkCards(cards); err != nil {
		return Grey{}, err
	}
	g, ok := firstGuess(cards)
	if !ok {
		return Grey{}, refuse("No pair of undercoats behaves like these drawdowns: look for a swapped card or one that does not hide, and draw it again.")
	}
	g = g.refine(cards)
	g.low, g.high = cards[0].Dark, cards[len(cards)-1].Dark
	g.free, g.cards = len(cards)-drawdownsNeeded, cards
	sum := g.square(cards)
	g.spread = math.Sqrt((spreadWeight*drawdownSpread*drawdownSpread + sum) / float64(spreadWeight+g.free))
	const tooFar = 3.0
	if math.Sqrt(sum/float64(len(cards))) > tooFar {
		return Grey{}, refuse("The drawdowns lie %.1f L* from any pair of undercoats: look for a swapped card or one that does not hide, and draw it again.", math.Sqrt(sum/float64(len(cards))))
	}
	return g, nil
}

func checkCards(cards []Drawdown) error {
	if len(cards) < drawdownsNeeded {
		if len(cards) == 1 {
			return refuse("One drawdown: a grey needs at least %d of your own, such as the light undercoat alone, half and half, and the dark one alone.", drawdownsNeeded)
		}
		return refuse("%d drawdowns: a grey needs at least %d of your own, such as the light undercoat alone, half and half, and the dark one alone.", len(cards), drawdownsNeeded)
	}
	for i, c := range cards {
		if err := c.Check(); err != nil {
			return err
		}
		if i == 0 {
			continue
		}
		if c.Dark == cards[i-1].Dark && len(distinct(cards)) < drawdownsNeeded {
			return refuse("The drawdowns have only %d different shares: draw at least %d.", len(distinct(cards)), drawdownsNeeded)
		}
		if c.Dark > cards[i-1].Dark && c.Lightness >= cards[i-1].Lightness {
			return refuse("With %.4g %% of the dark undercoat L* is %.4g, with %.4g %% it is %.4g: more of the dark one can not be lighter. Was a card swapped?",
				cards[i-1].Dark*percent, cards[i-1].Lightness, c.Dark*percent, c.Lightness)
		}
	}
	return nil
}

func distinct(cards []Drawdown) map[float64]bool {
	d := map[float64]bool{}
	for _, c := range cards {
		d[c.Dark] = true
	}
	return d
}

// firstGuess solves a + b·c - d·c·y = y for the K/S y of each card: the model
// is linear in a = light, b = strength·dark - light, d = strength - 1.
func firstGuess(cards []Drawdown) (Grey, bool) {
	var m [3][4]float64
	for _, c := range cards {
		y := AbsorptionRatio(ReflectanceOf(c.Lightness))
		w := 1 / (y * y) // K/S runs over decades: each card counts alike
		row := [3]float64{1, c.Dark, -c.Dark * y}
		for i := range row {
			for j := range row {
				m[i][j] += w * row[i] * row[j]
			}
			m[i][3] += w * row[i] * y
		}
	}
	x, ok := solve3(m)
	g := Grey{lightKS: x[0], strength: 1 + x[2]}
	g.darkKS = (x[1] + x[0]) / g.strength
	if !ok || !g.possible() {
		// Begin in the middle of what undercoats do and let the refinement find it.
		first, last := cards[0], cards[len(cards)-1]
		g = Grey{lightKS: AbsorptionRatio(ReflectanceOf(first.Lightness)), darkKS: AbsorptionRatio(ReflectanceOf(last.Lightness)), strength: 0.5}
	}
	return g, g.possible()
}

func (g Grey) possible() bool {
	return g.lightKS > 0 && g.darkKS > g.lightKS && g.strength > 0 && !math.IsInf(g.darkKS, 0) && !math.IsInf(g.strength, 0)
}

// refine takes damped Gauss-Newton steps in the logarithms of the three
// constants, which keeps them positive, against the error in L*.
func (g Grey) refine(cards []Drawdown) Grey {
	damp, now := 1e-3, g.square(cards)
	for range fitRounds {
		m := g.normal(cards)
		for i := range 3 {
			m[i][i] += damp * (m[i][i] + 1e-12)
		}
		x, ok := solve3(m)
		next := g
		if ok {
			next = g.scaled(x)
		}
		if square := next.square(cards); ok && next.possible() && square < now {
			g, now, damp = next, square, damp/5
			continue
		}
		damp *= 5
	}
	return g
}

// scaled multiplies the three constants by the exponentials of x.
func (g Grey) scaled(x [3]float64) Grey {
	g.lightKS *= math.Exp(x[0])
	g.darkKS *= math.Exp(x[1])
	g.strength *= math.Exp(x[2])
	return g
}

func (g Grey) square(cards []Drawdown) (sum float64) {
	for _, c := range cards {
		e := g.lightness(c.Dark) - c.Lightness
		sum += e * e
	}
	return sum
}

func (g Grey) normal(cards []Drawdown) (m [3][4]float64) {
	for _, c := range cards {
		d := g.slopes(c.Dark)
		for i := range d {
			for j := range d {
				m[i][j] += d[i] * d[j]
			}
			m[i][3] += d[i] * (c.Lightness - g.lightness(c.Dark))
		}
	}
	return m
}

// slopes is how L* at a share follows the logarithms of the three constants.
func (g Grey) slopes(dark float64) (d [3]float64) {
	const small = 1e-5
	at := g.lightness(dark)
	for k := range d {
		var x [3]float64
		x[k] = small
		d[k] = (g.scaled(x).lightness(dark) - at) / small
	}
	return d
}

// uncertainty is the standard uncertainty of the L* that a mix of this share will
// show: the scatter of its own drawdown, and how well the others hold the fit
// there (JCGM 100, 5.1; the variance of a prediction by least squares). Between
// two drawdowns that lie far apart it is larger than beside one.
func (g Grey) uncertainty(dark float64) float64 {
	d, m := g.slopes(dark), g.normal(g.cards)
	for i := range d {
		m[i][i] += 1e-9 // a constant that no drawdown tells of is not divided by
		m[i][3] = d[i]
	}
	held := 0.0
	if x, ok := solve3(m); ok {
		for i := range d {
			held += d[i] * x[i]
		}
	}
	return g.spread * math.Sqrt(1+math.Max(held, 0))
}

// solve3 solves three equations by elimination with the largest pivot.
func solve3(m [3][4]float64) (x [3]float64, ok bool) {
	for i := range 3 {
		p := i
		for r := i + 1; r < 3; r++ {
			if math.Abs(m[r][i]) > math.Abs(m[p][i]) {
				p = r
			}
		}
		m[i], m[p] = m[p], m[i]
		if m[i][i] == 0 || math.IsNaN(m[i][i]) {
			return x, false
		}
		for r := i + 1; r < 3; r++ {
			f := m[r][i] / m[i][i]
			for k := i; k < 4; k++ {
				m[r][k] -= f * m[i][k]
			}
		}
	}
	for i := 2; i >= 0; i-- {
		x[i] = m[i][3]
		for k := i + 1; k < 3; k++ {
			x[i] -= m[i][k] * x[k]
		}
		x[i] /= m[i][i]
	}
	return x, true
}

func (g Grey) lightness(dark float64) float64 {
	ks := ((1-dark)*g.lightKS + dark*g.strength*g.darkKS) / ((1 - dark) + dark*g.strength)
	return LightnessOf(HidingReflectance(ks))
}

// Strength is how much more the dark undercoat scatters for its volume than the
// light one.
func (g Grey) Strength() float64 { return g.strength }

// Lightness is the L* of a share of the dark undercoat by volume, between the
// shares that were drawn down.
func (g Grey) Lightness(dark float64) (float64, error) {
	if !(dark >= g.low && dark <= g.high) {
		return 0, refuse("%.4g %% of the dark undercoat was not measured: the drawdowns go from %.4g to %.4g %%.", dark*percent, g.low*percent, g.high*percent)
	}
	return g.lightness(dark), nil
}

// Range gives the shares of the dark undercoat that were drawn down, and the
// lightness that the fit has there.
func (g Grey) Range() (low, high, lightest, darkest float64) {
	return g.low, g.high, g.lightness(g.low), g.lightness(g.high)
}

// Spread is the standard deviation in L* of one drawdown about the fit. fromCards
// is false where there are just enough drawdowns, so that it is an assumption
// alone; else they and the assumption are weighed together.
func (g Grey) Spread() (lightness float64, fromCards bool) { return g.spread, g.free > 0 }

// Point is a place of the fitted line.
type Point struct {
	Dark        float64 // share of the volume
	Lightness   float64
	Uncertainty float64 // of L*, standard
}

// Line is the fit between what was drawn down, in so many points, which are
// closer together at the light end, where it is steep.
func (g Grey) Line(points int) []Point {
	out := make([]Point, points)
	for i := range out {
		t := float64(i) / float64(max(points-1, 1))
		c := g.low + (g.high-g.low)*t*t
		out[i] = Point{Dark: c, Lightness: g.lightness(c), Uncertainty: g.uncertainty(c)}
	}
	return out
}

// Shade is an undercoat of a wanted lightness.
type Shade struct {
	Dark        float64 // share of the volume
	Uncertainty float64 // of L*, standard
	DarkU       float64 // of the share, standard
	Slope       float64 // of L* for the share of the dark one, below 0
	FromCards   bool    // the uncertainty is from the drawdowns' own scatter, too; else an assumption of half an L*
	// End says that the drawdowns end here: CardL is what that one dried to, and the
	// share is its own.
	End   bool
	CardL float64
}

// For is the share of the dark undercoat that gives a lightness. Outside what was
// measured a fit says nothing: there the end's own drawdown is the best that is
// known, and counts within its ±; further out a lightness is refused.
func (g Grey) For(lightness float64) (Shade, error) {
	lightest, darkest := g.lightness(g.low), g.lightness(g.high)
	lightCard, darkCard := g.endCard(g.low), g.endCard(g.high)
	if s, ok := g.atEnd(lightCard, lightness, lightness-lightest); ok {
		return s, nil
	}
	if s, ok := g.atEnd(darkCard, lightness, darkest-lightness); ok {
		return s, nil
	}
	if !(lightness <= lightest && lightness >= darkest) {
		return Shade{}, refuse("L* %.4g is outside what was drawn down, L* %.1f to %.1f and ± %.1f a card: draw down a %s mix, or choose a grey in between.",
			lightness, lightCard.CardL, darkCard.CardL, Coverage*g.spread, map[bool]string{true: "lighter", false: "darker"}[lightness > lightest])
	}
	y := AbsorptionRatio(ReflectanceOf(lightness))
	// y·(1-c) + y·c·strength = (1-c)·light + c·strength·dark, solved for c.
	c := (y - g.lightKS) / (y - g.lightKS + g.strength*(g.darkKS-y))
	s := Shade{Dark: math.Min(math.Max(c, g.low), g.high), FromCards: g.free > 0}
	s.Uncertainty, s.Slope = g.uncertainty(s.Dark), g.slope(s.Dark)
	s.DarkU = s.Uncertainty / -s.Slope
	return s, nil
}

// endCard is the grey of the drawdowns at an end of what was measured: their own
// mean, as sure as they and the next one are alike (JCGM 100, 5.1.2).
func (g Grey) endCard(dark float64) Shade {
	sum, n := 0.0, 0.0
	for _, c := range g.cards {
		if c.Dark == dark {
			sum, n = sum+c.Lightness, n+1
		}
	}
	s := Shade{Dark: dark, FromCards: g.free > 0, End: true, CardL: sum / n, Slope: g.slope(dark)}
	s.Uncertainty = g.spread * math.Sqrt(1+1/n)
	s.DarkU = s.Uncertainty / -s.Slope
	return s
}

// atEnd reports whether a lightness is that of an end's card: exactly, or beyond
// the fit, by the amount of outside, and still within the ± of the card.
func (g Grey) atEnd(end Shade, lightness, outside float64) (Shade, bool) {
	const same = 1e-9
	apart := math.Abs(lightness - end.CardL)
	return end, apart < same || outside > 0 && apart <= Coverage*g.spread
}

func (g Grey) slope(dark float64) float64 {
	const small = 1e-4
	return (g.lightness(dark+small) - g.lightness(dark-small)) / (2 * small)
}

// Weighing is what pouring a grey by weight adds to how sure it is.
type Weighing struct {
	Scale       float64 // of L*, standard, from reading the scale
	Paint       float64 // of L*, standard, from the two densities
	PerGram     float64 // by how much L* falls for one gram more of the dark one
	Uncertainty float64 // of L*, standard: the drawdowns, the scale and the densities together
}

// Weighed is how sure a shade is once it is poured by weight: the light one
// first and the dark one on it, on a scale of this accuracy.
func (g Grey) Weighed(s Shade, light, dark Layer, scale ScaleAccuracy) (Weighing, error) {
	r, err := RatioOf(light, dark, scale, true)
	if err != nil {
		return Weighing{}, err
	}
	// The share is 1/(1+ratio), so a relative error of the ratio moves it by c·(1-c).
	move := -s.Slope * s.Dark * (1 - s.Dark)
	w := Weighing{Scale: move * r.ScaleRelative, Paint: move * r.PaintRelative}
	more := (dark.Grams + 1) / dark.DensityGML
	if more /= more + light.Grams/light.DensityGML; more <= g.high {
		w.PerGram = g.lightness(s.Dark) - g.lightness(more)
	} else {
		w.PerGram = move / dark.Grams // beyond the drawdowns: as steep as it is here
	}
	w.Uncertainty = math.Sqrt(s.Uncertainty*s.Uncertainty + w.Scale*w.Scale + w.Paint*w.Paint)
	return w, nil
}
