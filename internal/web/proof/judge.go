package proof

import (
	"fmt"
	"html/template"
	"math"
	"net/url"

	"slatewright/internal/book"
	"slatewright/internal/picture/chart"
	"slatewright/internal/web/problem"
	"slatewright/internal/web/shell"
	"slatewright/judge"
)

// judgePage is what is believed of the face of a piece, and what to do with it.
type judgePage struct {
	Piece  string
	Answer *shell.Answer
	File   string // address of the answer as JSON
	Wrong  *problem.Problem
	Head   string
}

// judgeFace is the page of a piece's whole face.
func (r room) judgeFace(v *shell.Visit) error {
	t, state, err := v.Thing(book.KindPiece, v.R.PathValue("number"))
	if err != nil {
		return err
	}
	p := judgePage{Piece: t.ID, File: "/piece/" + url.PathEscape(t.ID) + "/judge-face.json"}
	page := shell.Page{Name: "proof/judge", Title: v.Say("proof.judge", "piece", t.ID), Here: string(t.Station)}
	b, err := r.beliefs.of(v, t.ID, state.(*book.PieceState))
	if err != nil {
		if p.Wrong = shell.Refusal(err); p.Wrong == nil {
			return err
		}
		p.Head = v.HeadOf(p.Wrong)
	} else {
		answer := judgedFace{v, b}.answer()
		p.Answer = &answer
	}
	page.Data = p
	return v.Show(page)
}

// judgeFile is the same as the verb's JSON.
func (r room) judgeFile(v *shell.Visit) error {
	t, state, err := v.Thing(book.KindPiece, v.R.PathValue("number"))
	if err != nil {
		return err
	}
	b, err := r.beliefs.of(v, t.ID, state.(*book.PieceState))
	if err != nil {
		return err
	}
	return v.GiveJSON("judge-"+t.ID+".json", b)
}

// judgedFace is a belief on its way to a page.
type judgedFace struct {
	*shell.Visit
	*believed
}

// Say says it in the reader's words; the advice has sentences of its own.
func (j judgedFace) Say(key string, pairs ...any) string { return j.Visit.Say(key, pairs...) }

// tones are the tones of the verdicts.
var tones = map[judge.Verdict]string{judge.Conforms: "good", judge.DoesNotConform: "bad", judge.CannotTell: "doubt"}

func (j judgedFace) answer() shell.Answer {
	a := shell.Answer{Tone: tones[j.says], Caption: j.Say("proof.judge-caption"), Behind: j.quantiles(), Notes: j.Warnings,
		Says: j.Say("proof.judge-says", "keeps_chance", j.Conforms, "limit_mm", j.LimitMM, "do", j.way(j.Ways[0].Way, j.Ways[0].Name))}
	a.Wide, a.Narrow = chart.Both(j.picture)
	if j.RunnerUp != nil && len(j.Ways) > 1 {
		next := j.way(j.Ways[1].Way, j.Ways[1].Name)
		switch {
		case j.RankedBy == "cost" && j.RunnerUpMore != nil:
			a.Next = j.Say("proof.judge-next-cost", "next_way", next, "more", j.money(*j.RunnerUpMore))
		case j.RunnerUpMore != nil && *j.RunnerUpMore > 0:
			a.Next = j.Say("proof.judge-next-risk", "next_way", next, "more_chance", *j.RunnerUpMore)
		default:
			a.Next = j.Say("proof.judge-next", "next_way", next)
		}
	}
	if j.RankedBy == "risk" {
		a.Next += " " + j.Say("proof.judge-by-risk")
	}
	a.Notes = append(a.Notes, j.Cautions...)
	a.Figures, a.Tables = j.figures(), []shell.Table{j.waysOut(), j.points()}
	return a
}

// way names a way out in the reader's language; the mill's own name of it stays.
func (j judgedFace) way(kind, name string) string {
	text := j.Say("proof.way-" + kind)
	if j.Prices() && name != "" {
		text += " (" + name + ")"
	}
	return text
}

// Prices tells whether the mill named its own ways.
func (j judgedFace) Prices() bool { return j.Currency != "" }

func (j judgedFace) money(x float64) string { return j.Number(x, 2) + unbroken + j.Currency }

func (j judgedFace) figures() []shell.Figure {
	calibrated := j.Say("proof.uncalibrated")
	if j.Calibrated {
		calibrated = j.Say("proof.calibrated")
	}
	list := []shell.Figure{
		{Name: j.Say("proof.true-zone"), Value: j.Both(j.ZoneMedian), Small: j.Say("proof.nine-of-ten", "low_mm", j.Interval[0], "high_mm", j.Interval[1])},
		{Name: j.Say("proof.keeps"), Value: j.Chance(j.Conforms), Small: calibrated},
		{Name: j.Say("proof.read-on"), Value: j.Day(j.when), Small: j.Say("proof.readings-u", "many", j.Readings, "u", fine(j.Words, j.u))},
		{Name: j.Say("proof.true-face"), Value: j.Word("state", j.State), Small: j.Say("proof.cutoff-band", "cutoff_size", j.CutoffMM, "band_size", j.BandMM)},
	}
	if j.ExpectedCost != nil {
		list = append(list, shell.Figure{Name: j.Say("proof.expected-cost"), Value: j.money(*j.ExpectedCost)})
	}
	return list
}

func (j judgedFace) waysOut() shell.Table {
	t := shell.Table{Title: j.Say("proof.ways"), Heads: shell.Heads(j.Say("proof.way"), j.Say("proof.cost"), j.Say("proof.let-out"), j.Say("proof.lost"), j.Say("proof.allowed"))}
	for i, w := range j.Ways {
		cost, may := "–", j.Say("office.yes")
		if w.ExpectedCost != nil {
			cost = j.money(*w.ExpectedCost)
		}
		if !w.May {
			may = j.Say("office.no")
		}
		row := shell.RowOf(j.way(w.Way, w.Name), cost, j.Chance(w.ConsumerRisk), j.Chance(w.ProducerRisk), may)
		row.Chosen = i == 0
		t.Rows = append(t.Rows, row)
	}
	return t
}

func (j judgedFace) points() shell.Table {
	t := shell.Table{Title: j.Say("proof.read-next"), Heads: shell.Heads("x", "y", j.Say("proof.saves"))}
	for i, at := range j.NextPoints {
		t.Rows = append(t.Rows, shell.RowOf(j.Size(math.Round(at[0])), j.Size(math.Round(at[1])), j.Chance(j.NextSaves[i])))
	}
	return t
}

// quantiles are what the picture shows, as a table.
func (j judgedFace) quantiles() shell.Table {
	t := shell.Table{Heads: shell.Heads(j.Say("proof.share-below"), j.Say("proof.true-zone"))}
	for _, p := range []float64{0.05, 0.25, 0.5, 0.75, 0.95} {
		t.Rows = append(t.Rows, shell.RowOf(j.Chance(p), j.Both(j.zone.Quantile(p))))
	}
	return t
}

// picture draws how likely each zone is, against the limit: what lies beyond it is hatched.
func (j judgedFace) picture(width float64) template.HTML {
	const tall, left, base = 300.0, 14.0, 236.0
	p := chart.Classed("proven", width, tall, j.Say("proof.judge-picture", "zone_mm", j.ZoneMedian, "low_mm", j.Interval[0], "high_mm", j.Interval[1], "limit_mm", j.LimitMM))
	low, high := j.zone.Quantile(0.002), j.zone.Quantile(0.998)
	const bins, window = 44, 3.0
	step := (high - low) / (bins - 2*window)
	low, high = low-window*step, high+window*step
	from, to := min(low, j.LimitMM)-0.14*(high-low), max(high, j.LimitMM)+0.12*(max(high, j.LimitMM)-low)
	at := func(mm float64) float64 { return left + (mm-from)/(to-from)*(width-2*left) }
	curve, most := make([]float64, bins+1), 0.0
	for i := range curve { // the share within a window about it: fewer draws than would make it smooth
		z := low + float64(i)*step
		curve[i] = j.zone.Below(z+window*step) - j.zone.Below(z-window*step)
		most = max(most, curve[i])
	}
	if most <= 0 {
		return p.End()
	}
	y := func(d float64) float64 { return base - d/most*(base-58) }
	run := [][2]float64{{at(low), base}}
	for i, d := range curve {
		run = append(run, [2]float64{at(low + float64(i)*step), y(d)})
	}
	run = append(run, [2]float64{at(high), base})
	p.Run("belief", run, true)
	for x := at(max(j.LimitMM, low)) + 4; x < at(high); x += 6 { // beyond the limit
		k := (x - at(low)) / (at(high) - at(low)) * bins
		i := min(int(k), bins-1)
		p.Line("beyond", x, base, x, y(curve[i]+(k-float64(i))*(curve[i+1]-curve[i])))
	}
	p.Line("thin", left, base, width-left, base)
	p.Line("limit", at(j.LimitMM), 40, at(j.LimitMM), base+8)
	words := j.Say("proof.limit-at", "limit_mm", j.LimitMM)
	p.Within("strong", at(j.LimitMM), 34, words)
	p.Line("value", at(j.ZoneMedian), y(curve[min(bins, int((j.ZoneMedian-low)/step))]), at(j.ZoneMedian), base+6)
	x0, x1 := at(j.Interval[0]), at(j.Interval[1])
	p.Line("thin", x0, base+14, x1, base+14)
	p.Line("thin", x0, base+8, x0, base+20)
	p.Line("thin", x1, base+8, x1, base+20)
	words = j.Say("proof.nine-of-ten", "low_mm", j.Interval[0], "high_mm", j.Interval[1])
	p.Within("", (x0+x1)/2, base+38, words)
	p.Text("", "start", left, 16, fmt.Sprintf("%s %s", j.Say("proof.keeps"), j.Chance(j.Conforms)))
	return p.End()
}
