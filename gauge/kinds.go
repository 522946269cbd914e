package gauge

import (
	"math"

	"slatewright/gauge/budget"
)

// form is a kind of instrument: what it may state, and how its result comes of that.
type form struct {
	name, reads, unit string
	properties        []property
	build             func(at places) func(x []float64) float64
	warnings          []string
}

// places finds inputs by name.
type places map[string]int

// of reads one input, or stands for a number where it is not given.
func (p places) of(name string, otherwise float64) func(x []float64) float64 {
	i, ok := p[name]
	if !ok {
		return func([]float64) float64 { return otherwise }
	}
	return func(x []float64) float64 { return x[i] }
}

// sum adds those inputs that are given.
func (p places) sum(names ...string) func(x []float64) float64 {
	var list []int
	for _, name := range names {
		if i, ok := p[name]; ok {
			list = append(list, i)
		}
	}
	return func(x []float64) float64 {
		s := 0.0
		for _, i := range list {
			s += x[i]
		}
		return s
	}
}

// Bow is how much the middle of a free piece rises, mm, when its top is warmer than its bottom by difference (K): α·ΔT·L²/(8t), the
// sagitta of the circle to which an even gradient bends it (S. P. Timoshenko, "Analysis of bi-metal thermostats", J. Opt. Soc. Am. 11, 1925, of one
// material). Length and thickness in mm, expansion per K. 9.6e-6, 1 K, 1470 mm and 25.4 mm make 0.10 mm.
func Bow(expansion, difference, length, thickness float64) float64 {
	return expansion * difference * length * length / (8 * thickness)
}

// What stands in for an expansion that is not given. Slate: the middle and limits of two data sheets, 8e-6 and 11.16e-6 per K. Steel
// of an edge or a tape: common practice, no source.
var (
	assumedExpansion = budget.Within("assumed expansion of the stone", 9.6e-6, 1.6e-6)
	steelExpansion   = budget.Within("assumed expansion of steel", 11.5e-6, 1e-6)
)

// bow is the bow of the piece by the difference between its faces; 0 where it or a size is not given.
func (p places) bow() func(x []float64) float64 {
	_, l := p["length"]
	_, t := p["thickness"]
	if !l || !t {
		return p.of("", 0)
	}
	alpha, stated := p.of(assumedExpansion.Name, 0), p.of("expansion", 0)
	difference, length, thickness := p.of("face difference", 0), p.of("length", 0), p.of("thickness", 0)
	return func(x []float64) float64 { return Bow(alpha(x)+stated(x), difference(x), length(x), thickness(x)) }
}

// The properties that several kinds share.
var (
	reading       = property{name: "reading", about: "what was read", of: length}
	resolution    = property{name: "resolution", about: "smallest step that is read", of: length, form: step, must: true}
	calibration   = property{name: "calibration", about: "doubt on its certificate", of: length, form: doubt, must: true}
	repeatability = property{name: "repeatability", about: "scatter of one reading, from a study", of: length, form: doubt, must: true}
	warmth        = []property{
		{name: "face difference", about: "how much warmer the top is than the bottom", of: kelvin},
		{name: "length", about: "of the piece, or of the line that is read", of: length},
		{name: "thickness", about: "of the piece", of: length},
		{name: "expansion", about: "of the stone, per K", of: expansion, when: "face difference", otherwise: assumedExpansion},
	}
)

// kinds are all of them. Signs: heights are up, a gap is down from the edge.
func kinds() []form {
	return []form{dial(), opposed(), onBlocks(), laidOn(), level(), scanner(), tape(), scale()}
}

func with(list []property, more ...property) []property {
	return append(append([]property{}, list...), more...)
}

func dial() form {
	return form{name: "dial", reads: "height of the face over the bench", unit: "mm",
		properties: with([]property{reading, resolution, calibration, repeatability,
			{name: "zero", about: "doubt of setting to zero", of: length, form: doubt},
			{name: "bench map", about: "what the dial would read there over a true plane, with its doubt", of: length},
			{name: "tilt", about: "of the plunger from upright, as limits", of: angle}}, warmth...),
		build: func(at places) func(x []float64) float64 {
			read, tilt, bench, bow := at.sum("reading", "resolution", "calibration", "repeatability", "zero"), at.of("tilt", 0), at.of("bench map", 0), at.bow()
			return func(x []float64) float64 { return read(x)*math.Cos(tilt(x)) - bench(x) - bow(x) }
		}}
}

func opposed() form {
	both := func(p property) property { p.twice = true; return p }
	return form{name: "opposed dials", reads: "thickness", unit: "mm",
		properties: []property{reading, both(resolution), both(calibration), repeatability,
			{name: "setting", about: "the setting piece, with its doubt", of: length, must: true},
			{name: "offset", about: "of one tip from opposite the other, as limits", of: length},
			{name: "slope", about: "of the face there", of: slope},
			{name: "temperature", about: "how much warmer the stone is than the setting piece", of: kelvin},
			{name: "expansion", about: "of the stone, per K", of: expansion, when: "temperature", otherwise: assumedExpansion}},
		build: func(at places) func(x []float64) float64 {
			read := at.sum("reading", "first resolution", "second resolution", "first calibration", "second calibration", "repeatability", "setting")
			offset, slope, warmer, alpha := at.of("offset", 0), at.of("slope", 0), at.of("temperature", 0), at.sum("expansion", assumedExpansion.Name)
			return func(x []float64) float64 { return (read(x) + offset(x)*slope(x)) * (1 - alpha(x)*warmer(x)) }
		}}
}

// feelers are what a gap under an edge is made of: the strip that passed, up to the one that did not.
var feelers = with([]property{
	{name: "strip", about: "the thickest that passes", of: length, must: true},
	{name: "next strip", about: "how much thicker the next one is, which stops", of: length, form: upTo, must: true},
	{name: "strip error", about: "wear and error of the strips", of: length, form: doubt, must: true},
	{name: "touch", about: "what the hand takes for passing", of: length, form: doubt, must: true},
	{name: "straightness", about: "of the edge, as limits", of: length, form: doubt, must: true},
	{name: "sag", about: "of the edge in the middle, with its doubt", of: length},
	{name: "edge difference", about: "how much warmer the edge's top is than its bottom", of: kelvin},
	{name: "edge length", about: "between its rests", of: length},
	{name: "edge height", about: "of its section", of: length},
	{name: "edge expansion", about: "per K", of: expansion, when: "edge difference", otherwise: steelExpansion},
}, warmth...)

// gap is the gap under the edge, with the edge's own shape taken off: an edge that hangs down makes it look smaller.
func (p places) gap() func(x []float64) float64 {
	strip, bow := p.sum("strip", "next strip", "strip error", "touch", "straightness", "sag"), p.bow()
	_, l := p["edge length"]
	_, h := p["edge height"]
	if !l || !h {
		return func(x []float64) float64 { return strip(x) + bow(x) }
	}
	alpha, difference, length, height := p.sum("edge expansion", steelExpansion.Name), p.of("edge difference", 0), p.of("edge length", 0), p.of("edge height", 0)
	return func(x []float64) float64 {
		return strip(x) + bow(x) - Bow(alpha(x), difference(x), length(x), height(x))
	}
}

func onBlocks() form {
	return form{name: "straightedge on blocks", reads: "depth of the face below the blocks", unit: "mm",
		properties: with(feelers, property{name: "blocks", about: "height of the end blocks, with how far the two differ", of: length, must: true}),
		build: func(at places) func(x []float64) float64 {
			gap, blocks := at.gap(), at.of("blocks", 0)
			return func(x []float64) float64 { return gap(x) - blocks(x) }
		}}
}

func laidOn() form {
	return form{name: "straightedge laid on", reads: "gap under the edge", unit: "mm", properties: feelers,
		build:    func(at places) func(x []float64) float64 { return at.gap() },
		warnings: []string{"an edge that is laid on a crowned face rocks on its top and shows nothing: put it on two equal blocks"}}
}

func level() form {
	return form{name: "level", reads: "rise over the foot", unit: "mm",
		properties: []property{
			{name: "reading", about: "what was read", of: divisions},
			{name: "resolution", about: "smallest part of a division that is read", of: divisions, form: step, must: true},
			{name: "division", about: "value of one division, with its doubt", of: slope, must: true},
			{name: "foot", about: "length of the foot", of: length, must: true},
			{name: "zero", about: "zero error, with its doubt; from a reversal", of: divisions, must: true},
			{name: "repeatability", about: "scatter of setting it down and reading it", of: divisions, form: doubt, must: true},
			{name: "warmth", about: "what the hand's warmth moves the bubble", of: divisions, form: doubt}},
		build: func(at places) func(x []float64) float64 {
			read, zero, division, foot := at.sum("reading", "resolution", "repeatability", "warmth"), at.of("zero", 0), at.of("division", 0), at.of("foot", 0)
			return func(x []float64) float64 { return (read(x) - zero(x)) * division(x) * foot(x) }
		}}
}

func scanner() form {
	return form{name: "scanner", reads: "height of the face after filtering", unit: "mm",
		properties: with([]property{reading,
			{name: "noise", about: "scatter of one point", of: length, form: doubt, must: true},
			{name: "points", about: "how many points the cutoff averages", of: count},
			{name: "scale error", about: "as a share of the reading", of: share, form: doubt, must: true},
			{name: "reference", about: "doubt of the flat that it was checked on", of: length, form: doubt, must: true},
			{name: "drift", about: "during one scan", of: length, form: doubt}}, warmth...),
		build: func(at places) func(x []float64) float64 {
			read, noise, points, scale := at.of("reading", 0), at.of("noise", 0), at.of("points", 1), at.of("scale error", 0)
			rest, bow := at.sum("reference", "drift"), at.bow()
			return func(x []float64) float64 {
				return read(x)*(1+scale(x)) + noise(x)/math.Sqrt(math.Max(points(x), 1)) + rest(x) - bow(x)
			}
		}}
}

func tape() form {
	return form{name: "tape", reads: "length", unit: "mm",
		properties: []property{{name: "reading", about: "what was read", of: length, must: true}, resolution, calibration,
			{name: "placing", about: "of both ends", of: length, form: doubt, must: true},
			{name: "temperature", about: "how much warmer the tape is than 20 °C", of: kelvin},
			{name: "tape's expansion", about: "per K", of: expansion, when: "temperature", otherwise: steelExpansion},
			{name: "tilt", about: "of the tape from the line, as limits", of: angle}},
		build: func(at places) func(x []float64) float64 {
			read, tilt, warmer, alpha := at.sum("reading", "resolution", "calibration", "placing"), at.of("tilt", 0), at.of("temperature", 0), at.sum("tape's expansion", steelExpansion.Name)
			return func(x []float64) float64 { return read(x) * (1 + alpha(x)*warmer(x)) * math.Cos(tilt(x)) }
		}}
}

func scale() form {
	kg := func(p property) property { p.of = mass; return p }
	return form{name: "scale", reads: "mass", unit: "kg",
		properties: []property{kg(reading), kg(resolution), kg(calibration), kg(repeatability),
			{name: "place", about: "how much it depends on where the piece stands", of: mass, form: doubt},
			{name: "drift", about: "since its certificate", of: mass, form: doubt}},
		build: func(at places) func(x []float64) float64 {
			return at.sum("reading", "resolution", "calibration", "repeatability", "place", "drift")
		}}
}
