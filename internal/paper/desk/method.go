package desk

import (
	"slices"
	"strings"

	"slatewright/certificate"
	"slatewright/internal/paper"
	"slatewright/measure"
)

func (s *Set) pieces() (out [3]paper.Piece) {
	for place, piece := range s.Body.Found.Pieces {
		out[place] = paper.Piece{Place: piece.Place.String(), Serial: piece.Piece, Turned: piece.Turned, ThicknessPoints: piece.Thickness.Points,
			TempTop: amount(piece.TempTop), TempBottom: amount(piece.TempBottom), DrySince: piece.DrySince, Read: piece.Date}
		if t := piece.Thickness.Least; t != nil {
			out[place].ThicknessMin = t.Float64()
		}
		if t := piece.Thickness.Mean; t != nil {
			out[place].ThicknessMean = t.Float64()
		}
		if m := piece.Mass; m != nil {
			out[place].Mass = m.Float64()
		}
	}
	return out
}

func amount(a *certificate.Amount) *float64 {
	if a == nil {
		return nil
	}
	x := a.Float64()
	return &x
}

// method is the statement of method: facts of the reading, and every sentence that the certificate holds on how it was done.
func (s *Set) method() paper.Method {
	b := s.Body
	m := paper.Method{Instrument: s.instruments(), Support: s.supports(), State: b.Found.Support.State, EdgeBand: b.Given.Spec.EdgeBand.Float64(),
		Coverage: s.words.Say("paper.coverage"), Statement: s.all(b.Found.Method)}
	var grids []string
	for _, f := range s.faces {
		xs, ys, ok := f.Grid()
		grid := s.words.Say("paper.some-readings", "count", len(f.Z))
		if ok {
			grid = s.words.Say("paper.a-grid", "along", len(xs), "across", len(ys))
			m.PitchX, m.PitchY = max(m.PitchX, pitch(xs)), max(m.PitchY, pitch(ys))
		}
		grids = once(grids, grid)
	}
	m.Readings = s.words.Say("paper.a-piece", "readings", grids)
	return m
}

// pitch is the mean distance between stations.
func pitch(at []float64) float64 {
	if len(at) < 2 {
		return 0
	}
	return (at[len(at)-1] - at[0]) / float64(len(at)-1)
}

// instruments names what read the faces, once each.
func (s *Set) instruments() string {
	var words []string
	for _, piece := range s.Body.Found.Pieces {
		u := s.Body.Found.Doubt.ReadingU[piece.Reading].Float64()
		words = once(words, s.words.Say("paper.instrument-u", "instrument", s.stated(piece.Instrument), "amount", s.words.Figure(measure.FormatLength(u, measure.MM))))
	}
	return strings.Join(words, "; ")
}

func (s *Set) supports() string {
	var words []string
	for _, piece := range s.Body.Found.Pieces {
		words = once(words, s.stated(piece.SupportText))
	}
	return strings.Join(words, "; ")
}

// once appends a word that is not there yet.
func once(words []string, word string) []string {
	if slices.Contains(words, word) {
		return words
	}
	return append(words, word)
}

func (s *Set) stated(text string) string {
	if text == "" {
		return s.words.Say("paper.not-stated")
	}
	return text
}
