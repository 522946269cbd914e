package bending

import (
	"net/url"
	"strconv"
	"strings"

	"slatewright/internal/tongue"
	"slatewright/internal/web/problem"
	"slatewright/internal/web/shell"
	"slatewright/measure"
	"slatewright/plate"
	"slatewright/plate/answers"
	"slatewright/stone"
)

// typed is what stands in the form, as it was typed.
type typed struct {
	Size, Thickness, Modulus, On, Weight, Dial string
	Choices                                    []choice
	plain                                      bool // nothing was asked: the piece of a nine-foot bed on its ends
}

type choice struct {
	Value, Label string
	Chosen       bool
}

// The piece that the page begins with: a third of a nine-foot bed.
const (
	usualX, usualY, usualThickness = 914.0, 1473.0, 25.4
	slip                           = 10.0 // mm beside the mark
	uDial                          = 0.01 // mm, standard uncertainty of the dial of a shop test
	loadSide                       = 100.0
)

// supportNames are the patterns of the mill, then the best that can be found.
func supportNames() (names []string) {
	for _, p := range plate.Patterns() {
		names = append(names, p.Name)
	}
	return append(names, "best-lines", "best-3", "best-4", "best-6")
}

func typedIn(v *shell.Visit) (t typed) {
	q := v.R.URL.Query()
	t.plain = len(q) == 0
	t.Size, t.Thickness, t.Modulus, t.On, t.Weight, t.Dial = q.Get("size"), q.Get("thickness"), q.Get("modulus"), q.Get("on"), q.Get("weight"), q.Get("dial")
	if t.plain {
		t.On = "ends"
	}
	for _, n := range supportNames() {
		t.Choices = append(t.Choices, choice{n, v.Say("bend.on-" + n), n == t.On})
	}
	return t
}

// query is the address of the same question.
func (t typed) query() string {
	return url.Values{"size": {t.Size}, "thickness": {t.Thickness}, "modulus": {t.Modulus}, "on": {t.On}, "weight": {t.Weight}, "dial": {t.Dial}}.Encode()
}

// question reads what was typed. What is left empty is that of a nine-foot bed, of a stone that was not tested.
func (t typed) question(v *shell.Visit) (q answers.Question, err error) {
	x, y, thick := usualX, usualY, usualThickness
	s := stone.Slate()
	e := (s.Along + s.Across) / 2
	if t.Size != "" {
		if x, y, err = measure.ParseSize(t.Size); err != nil {
			return q, err
		}
	}
	if t.Thickness != "" {
		if thick, err = length(v.Words, t.Thickness); err != nil {
			return q, err
		}
	}
	if t.Modulus != "" {
		if e, err = measure.ParseModulus(t.Modulus); err != nil {
			return q, err
		}
	}
	q.Piece = plate.Piece{Outline: plate.Rectangle(x, y), Thickness: plate.Even(thick), Elastic: plate.Isotropic(e, s.Poisson), Density: s.Density}
	q.SlipMM, q.UThicknessMM = slip, 0.1
	if err := q.Piece.Check(); err != nil {
		return q, err
	}
	if q.Load, err = t.load(v); err != nil {
		return q, err
	}
	if kind, best := strings.CutPrefix(t.On, "best-"); best {
		q.Pattern = "best " + kind
		q.Under, err = plate.Best(q.Piece, kind)
		return q, err
	}
	p, known := plate.PatternNamed(t.On)
	if !known {
		return q, problem.New("bad-value", "on", v.Say("bend.no-support"), v.Say("bend.no-support-next"))
	}
	q.Pattern, q.Under = p.Name, p.Under(q.Piece.Outline)
	return q, nil
}

// load is the weight of a shop test, laid on the middle; a dial without a weight says nothing.
func (t typed) load(v *shell.Visit) (*answers.Load, error) {
	if t.Weight == "" && t.Dial == "" {
		return nil, nil
	}
	number, unit := strings.TrimSpace(t.Weight), 1.0
	if n, pound := strings.CutSuffix(number, "lb"); pound {
		number, unit = n, 0.45359237
	}
	number = strings.Replace(strings.TrimSpace(strings.TrimSuffix(number, "kg")), ",", ".", 1)
	kg, err := strconv.ParseFloat(number, 64)
	if kg *= unit; err != nil || !(kg > 0 && kg <= 500) {
		return nil, problem.New("bad-value", "weight", v.Say("bend.no-weight"), v.Say("bend.no-weight-next"))
	}
	l := &answers.Load{KG: kg, SideMM: loadSide, UDialMM: uDial}
	if t.Dial != "" {
		if l.DialMM, err = length(v.Words, t.Dial); err != nil {
			return nil, err
		}
	}
	return l, nil
}

// length reads a small length as a person types it.
func length(w tongue.Words, text string) (float64, error) {
	if mm, ok := shell.SmallLength(w, text); ok {
		return mm, nil
	}
	return measure.ParseLength(text) // which says what is wrong with it
}
