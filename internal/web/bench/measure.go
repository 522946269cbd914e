package bench

import (
	"encoding/json"
	"fmt"
	"html/template"
	"net/url"
	"slices"
	"strings"
	"time"

	"slatewright/bed"
	"slatewright/internal/book"
	"slatewright/internal/caution"
	"slatewright/internal/web/problem"
	"slatewright/internal/web/shell"
)

// waits lists the pieces that want to be read, those of the queue first.
type waits struct {
	Asked []wanted
	Here  []wanted
}

// wanted is a piece and why it is to be read.
type wanted struct{ Piece, Path, Why string }

// waiting is the page of what waits at the bench.
func (r room) waiting(v *shell.Visit) error {
	var p waits
	seen := map[string]bool{}
	for _, q := range r.queue.Ask(v.Now) {
		if !slices.Contains(q.Acts, "read") {
			continue
		}
		for _, ref := range append([]book.Ref{q.Thing}, q.Also...) {
			if ref.Kind == book.KindPiece && !seen[ref.ID] {
				seen[ref.ID] = true
				p.Asked = append(p.Asked, wanted{ref.ID, pathOf(ref.ID), v.Tell(q.Say.Key, q.Say.Args)})
			}
		}
	}
	page, err := v.Ledger.Things(v.R.Context(), book.Filter{Kind: book.KindPiece, Station: book.Bench}, "", 200)
	if err != nil {
		return err
	}
	for _, t := range page.Items {
		if !seen[t.ID] {
			p.Here = append(p.Here, wanted{Piece: t.ID, Path: pathOf(t.ID)})
		}
	}
	return v.Show(shell.Page{Name: "bench/waiting", Title: v.Say("bench.measure"), Here: "bench", Near: true, Keep: true, Data: p})
}

func pathOf(piece string) string { return "/bench/" + url.PathEscape(piece) }

// measuring is the page of measuring one face.
type measuring struct {
	Piece       string
	Place       string
	Face        string
	Instrument  string
	Bench       string
	Support     string
	DrySince    string
	Thickness   []thick
	Edges       []edged // of either face: which is read is chosen beside the places of the caliper
	Gauges      []gaugeOf
	Benches     []string
	Supports    []string
	Ready       bool // enough is said to begin
	Plan        template.JS
	Points      int
	Wrong       *problem.Problem
	Head        string
	Entry       string
	LastReading string
	Judged      string // address of what is believed of the playing face; "" while it was not read into a file
	GaugeEnded  string // the calibration of the gauge that was chosen, when it has ended
}

// edged are the words at the edges of a face as it is read.
type edged struct {
	Face string
	At   map[string]string // by "x-", "x+", "y-" and "y+"
}

// edgesOf are the words at the edges of a face. A bottom is read turned over about the y axis: its x runs to the head.
func edgesOf(v *shell.Visit, face string) map[string]string {
	less, more := "head", "foot"
	if face == "bottom" {
		less, more = more, less
	}
	return map[string]string{"x-": v.Word("place", less), "x+": v.Word("place", more), "y-": v.Word("place", "left"), "y+": v.Word("place", "right")}
}

// thick is one place where the caliper goes.
type thick struct{ Field, At, Typed string }

// gaugeOf is an instrument that reads faces.
type gaugeOf struct {
	ID, Sort string
	U        float64
	Ended    string // the day on which its calibration ended; "" while it holds
}

// supports are the ways to hold a piece that are named in the readings' format. Common practice, no source.
var supports = []string{"bench", "lines 0.22"}

// calipers are the places of the caliper, as shares of half the piece: the corners, the middles of the sides. A verdict wants eight.
// They stand in the order in which a form shows them, as they lie: y falls from row to row.
var calipers = [][2]float64{{-.87, .88}, {0, .88}, {.87, .88}, {-.87, 0}, {.87, 0}, {-.87, -.88}, {0, -.88}, {.87, -.88}}

func (r room) measure(v *shell.Visit) error {
	return r.showMeasure(v, v.R.URL.Query(), nil)
}

func (r room) showMeasure(v *shell.Visit, asked url.Values, wrong *problem.Problem) error {
	t, state, err := v.Thing(book.KindPiece, v.R.PathValue("number"))
	if err != nil {
		return err
	}
	s := state.(*book.PieceState)
	p := measuring{Piece: t.ID, Place: placeOf(v, s, t.ID), Face: asked.Get("face"), Instrument: asked.Get("instrument"), Bench: asked.Get("bench"), Support: asked.Get("support"),
		DrySince: asked.Get("dry_since"), Supports: supports, Wrong: wrong, Entry: v.NewEntry()}
	if p.Face != "bottom" {
		p.Face = "top"
	}
	for _, face := range []string{"top", "bottom"} {
		p.Edges = append(p.Edges, edged{face, edgesOf(v, face)})
	}
	if p.Gauges, err = gauges(v); err != nil {
		return err
	}
	if p.Benches, err = numbers(v, book.KindBench); err != nil {
		return err
	}
	spec := bed.NineFoot()
	sx, sy := sizeOf(s, spec)
	for i, c := range calipers {
		field := fmt.Sprintf("t.%d", i)
		p.Thickness = append(p.Thickness, thick{field, fmt.Sprintf("%s, %s", v.Size(round(c[0]*sx/2)), v.Size(round(c[1]*sy/2))), asked.Get(field)})
	}
	if last, ok := last(s.Readings, p.Face); ok && last.ExpiredBy != "" {
		p.LastReading = v.Say("bench.last-expired", "did", last.ExpiredAct)
	}
	if top, ok := last(s.Readings, "top"); ok && top.Blob != "" {
		p.Judged = shell.Link(t.Ref) + "/judge-face"
	}
	i := slices.IndexFunc(p.Gauges, func(g gaugeOf) bool { return g.ID == p.Instrument })
	if i >= 0 && p.Gauges[i].Ended != "" {
		p.GaugeEnded = v.Say("bench.gauge-ended", "instrument", p.Instrument, "day", p.Gauges[i].Ended)
	}
	if p.Ready = i >= 0 && p.Support != "" && asked.Get("begin") != ""; p.Ready {
		plan, err := planOf(v, t, s, p, p.Gauges[i], asked)
		if err != nil {
			if p.Wrong = shell.Mendable(err); p.Wrong == nil {
				return err
			}
			p.Ready = false
		} else if p.Plan, err = asScript(plan); err != nil {
			return err
		}
		p.Points = len(plan.Points)
	}
	page := shell.Page{Name: "bench/measure", Title: v.Say("bench.measure-piece", "piece", t.ID), Here: "bench", Near: true, Keep: p.Ready, Uses: []string{"bench"},
		Care: caution.OnPage(v.Words, []caution.Topic{caution.Lifting}, caution.Load{Name: t.ID, Kg: s.MassKg})}
	if p.Wrong != nil {
		p.Head, page.Code = v.HeadOf(p.Wrong), p.Wrong.Status
	}
	page.Data = p
	return v.Show(page)
}

// asScript is JSON that stands in a data block of the page.
func asScript(plan plan) (template.JS, error) {
	text, err := json.Marshal(plan) // with < > & escaped
	return template.JS(text), err   //nolint:gosec // our own numbers; what was typed is escaped by the encoder
}

// faceGauges are the sorts of instruments whose numbers are heights of a face, one at a time.
var faceGauges = []string{"dial", "opposed-dials", "level", "scanner"}

func gauges(v *shell.Visit) (list []gaugeOf, err error) {
	page, err := v.Ledger.Things(v.R.Context(), book.Filter{Kind: book.KindInstrument}, "", 100)
	if err != nil {
		return nil, err
	}
	for _, t := range page.Items {
		state, err := book.StateOf(t)
		if err != nil {
			return nil, err
		}
		if s := state.(*book.InstrumentState); slices.Contains(faceGauges, s.Sort) {
			g := gaugeOf{ID: t.ID, Sort: v.Word("sort", s.Sort), U: s.UMM}
			if n := len(s.Calibrations); n > 0 && time.UnixMilli(s.Calibrations[n-1].DueMS).Before(v.Now) {
				g.Ended = v.Day(time.UnixMilli(s.Calibrations[n-1].DueMS).In(v.Now.Location()))
			}
			list = append(list, g)
		}
	}
	return list, nil
}

// takeFile takes a readings file in place of single numbers.
func (r room) takeFile(v *shell.Visit) error {
	form, err := v.FormWithFile("blob")
	if wrong := shell.Mendable(err); wrong != nil && form != nil {
		return r.showMeasure(v, form, wrong)
	}
	if err != nil {
		return err
	}
	number := v.R.PathValue("number")
	blob := form.Get("blob")
	if blob == "" {
		return r.showMeasure(v, form, problem.New("missing", "blob", v.Say("bench.no-file"), v.Say("bench.no-file-next")))
	}
	act := &book.Read{Thing: book.Ref{Kind: book.KindPiece, ID: number}, What: form.Get("face"), Blob: blob, Bench: strings.TrimSpace(form.Get("bench")), Support: strings.TrimSpace(form.Get("support"))}
	if i := strings.TrimSpace(form.Get("instrument")); i != "" {
		act.Instruments = []string{i}
	}
	if _, err := v.HandIn(shell.Act{Entry: form.Get("_entry"), Station: book.Bench, Act: act}); err != nil {
		if wrong := shell.Refusal(err); wrong != nil {
			return r.showMeasure(v, form, wrong)
		}
		return err
	}
	return v.Redirect(shell.Link(act.Thing) + "?did=read")
}
