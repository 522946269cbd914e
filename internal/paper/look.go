package paper

import (
	"slatewright/internal/paper/ink"
	"slatewright/judge"
)

// The colours: stone and paper. High ground is ochre and low ground slate blue, a pair that colour-blind readers can tell
// apart; sign, dashes and words say the same without colour.
var (
	stone    = ink.Colour{R: 33, G: 39, B: 45}
	soft     = ink.Colour{R: 97, G: 104, B: 111}
	hair     = ink.Colour{R: 203, G: 203, B: 199}
	sheet    = ink.Colour{R: 255, G: 255, B: 255}
	page     = ink.Colour{R: 252, G: 251, B: 248}
	unread   = ink.Colour{R: 241, G: 240, B: 236}
	unhatch  = ink.Colour{R: 188, G: 187, B: 182}
	lowTint  = ink.Colour{R: 128, G: 159, B: 188}
	midTint  = ink.Colour{R: 250, G: 249, B: 246}
	highTint = ink.Colour{R: 214, G: 166, B: 104}
	good     = ink.Colour{R: 44, G: 79, B: 102}
	bad      = ink.Colour{R: 146, G: 50, B: 24}
	doubt    = ink.Colour{R: 124, G: 86, B: 14}
)

// The types.
var (
	typeTitle   = ink.Type{Face: ink.Serif, Size: 21, Colour: stone}
	typeHead    = ink.Type{Face: ink.SerifBold, Size: 10.5, Colour: stone}
	typeText    = ink.Type{Face: ink.Plain, Size: 7.7, Colour: stone}
	typeStrong  = ink.Type{Face: ink.Bold, Size: 7.7, Colour: stone}
	typeSmall   = ink.Type{Face: ink.Plain, Size: 6.5, Colour: soft}
	typeCaption = ink.Type{Face: ink.Slant, Size: 6.8, Colour: soft}
	typeMap     = ink.Type{Face: ink.Plain, Size: 6.2, Colour: stone}
	typePlace   = ink.Type{Face: ink.Bold, Size: 6.2, Colour: stone}
	typeLevel   = ink.Type{Face: ink.Plain, Size: 5.4, Colour: stone}
	typeFine    = ink.Type{Face: ink.Plain, Size: 7.1, Colour: stone} // long texts: the statement of method, cautions
	typeBanner  = ink.Type{Face: ink.Bold, Size: 16, Colour: bad}
)

// leading returns the distance of two baselines, mm.
func leading(t ink.Type) float64 { return 1.34 * t.Size * 25.4 / 72 }

// colour returns the colour that goes with a verdict; the word and the mark carry the meaning.
func colour(v judge.Verdict) ink.Colour {
	switch v {
	case judge.Conforms:
		return good
	case judge.DoesNotConform:
		return bad
	}
	return doubt
}
