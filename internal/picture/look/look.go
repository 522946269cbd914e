// Package look is how everything on paper and screen looks: colours, types, the form of figures, the marks of verdicts
// and of maps, and the strip that marks invented data.
//
// It says how a thing is written, in mm and thousandths of an inch, and never what: it computes nothing but units and decimals, and
// it lays nothing out.
package look

import (
	"slatewright/internal/picture/ink"
	"slatewright/judge"
)

// The colours: stone and paper, and one for each verdict. High ground is ochre and low ground slate blue, a pair that colour-blind readers can tell
// apart; sign, dashes and words say the same without colour.
var (
	Stone    = ink.Colour{R: 33, G: 39, B: 45}
	Soft     = ink.Colour{R: 97, G: 104, B: 111}
	Hair     = ink.Colour{R: 203, G: 203, B: 199}
	Sheet    = ink.Colour{R: 255, G: 255, B: 255}
	Page     = ink.Colour{R: 252, G: 251, B: 248}
	Unread   = ink.Colour{R: 241, G: 240, B: 236}
	Unhatch  = ink.Colour{R: 188, G: 187, B: 182}
	LowTint  = ink.Colour{R: 128, G: 159, B: 188}
	MidTint  = ink.Colour{R: 250, G: 249, B: 246}
	HighTint = ink.Colour{R: 214, G: 166, B: 104}
	Good     = ink.Colour{R: 44, G: 79, B: 102}
	Bad      = ink.Colour{R: 146, G: 50, B: 24}
	Doubt    = ink.Colour{R: 124, G: 86, B: 14}
)

// The types.
var (
	Title   = ink.Type{Face: ink.Serif, Size: 21, Colour: Stone}
	Head    = ink.Type{Face: ink.SerifBold, Size: 10.5, Colour: Stone}
	Text    = ink.Type{Face: ink.Plain, Size: 7.7, Colour: Stone}
	Strong  = ink.Type{Face: ink.Bold, Size: 7.7, Colour: Stone}
	Small   = ink.Type{Face: ink.Plain, Size: 6.5, Colour: Soft}
	Caption = ink.Type{Face: ink.Slant, Size: 6.8, Colour: Soft}
	Map     = ink.Type{Face: ink.Plain, Size: 6.2, Colour: Stone}
	Place   = ink.Type{Face: ink.Bold, Size: 6.2, Colour: Stone}
	Level   = ink.Type{Face: ink.Plain, Size: 5.4, Colour: Stone}
	Fine    = ink.Type{Face: ink.Plain, Size: 7.1, Colour: Stone} // long texts: the statement of method, cautions
	Banner  = ink.Type{Face: ink.Bold, Size: 16, Colour: Bad}
)

// Leading returns the distance of two baselines, mm.
func Leading(t ink.Type) float64 { return 1.34 * t.Size * 25.4 / 72 }

// Colour returns the colour that goes with a verdict; the word and the mark carry the meaning.
func Colour(v judge.Verdict) ink.Colour {
	switch v {
	case judge.Conforms:
		return Good
	case judge.DoesNotConform:
		return Bad
	}
	return Doubt
}
