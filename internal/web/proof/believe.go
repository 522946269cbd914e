package proof

import (
	"fmt"
	"sync"
	"time"

	"slatewright/bed"
	"slatewright/face"
	"slatewright/internal/book"
	"slatewright/internal/measured"
	"slatewright/internal/web/problem"
	"slatewright/internal/web/shell"
	"slatewright/judge"
	"slatewright/judge/ways/costfile"
	"slatewright/wholeface"
	"slatewright/wholeface/advice"
	"slatewright/wholeface/scan"
)

// beliefs says what is believed of whole faces, and keeps it by the digest of their readings. One is worked out in the room's turn: it takes a
// second or so of a processor.
type beliefs struct {
	turn     shell.Turn
	measured *measured.Room
	prior    *wholeface.Prior
	costs    *costfile.Costs
	mu       sync.Mutex
	kept     map[string]*believed
}

// mostKept is how many faces are kept in mind; then all are forgotten.
const mostKept = 200

// believed is what is believed of a face and to be done with its piece. Its names are those of the verb judge.
type believed struct {
	Piece      string       `json:"piece"`
	Readings   int          `json:"readings"`
	State      string       `json:"state"`
	CutoffMM   float64      `json:"cutoff_mm"`
	BandMM     float64      `json:"band_mm"`
	ZoneMedian float64      `json:"zone_median_mm"`
	Interval   [2]float64   `json:"zone_interval_mm"`
	LimitMM    float64      `json:"limit_mm"`
	Conforms   float64      `json:"probability_conforms"`
	Confidence float64      `json:"confidence"`
	Verdict    string       `json:"verdict"`
	Calibrated bool         `json:"calibrated"`
	NextPoints [][2]float64 `json:"next_points"`
	NextSaves  []float64    `json:"next_saves"`
	*advice.Report
	Warnings []string `json:"warnings"`

	says judge.Verdict
	zone wholeface.Distribution
	u    float64
	when time.Time
}

// confidence is the probability from which on a face conforms, and from one minus which down it does not: that of the verb.
const confidence = 0.95

// nextPoints is how many places to read next are named.
const nextPoints = 3

// of says what is believed of the face of a piece by its newest reading.
func (b *beliefs) of(v *shell.Visit, id string, s *book.PieceState) (*believed, error) {
	r, there := newest(s.Readings)
	if !there {
		return nil, problem.New("no-such-thing", id, v.Say("proof.not-read", "piece", id), v.Say("proof.not-read-next"))
	}
	key := fmt.Sprintf("%s %s %v", id, r.Blob, s.ThicknessMM)
	if found := b.known(key); found != nil {
		return found, nil
	}
	done, err := b.turn.Wait(v.R.Context(), v)
	if err != nil {
		return nil, err
	}
	defer done()
	if found := b.known(key); found != nil { // whoever was before asked for the same
		return found, nil
	}
	f, err := b.measured.Face(v.R.Context(), r.Blob)
	if err != nil {
		return nil, err
	}
	if f, err = f.Centred(); err != nil {
		return nil, err
	}
	found, err := b.believe(id, f, s, r)
	if err != nil {
		return nil, err
	}
	b.keep(key, found)
	return found, nil
}

func (b *beliefs) known(key string) *believed {
	b.mu.Lock()
	defer b.mu.Unlock()
	return b.kept[key]
}

func (b *beliefs) keep(key string, found *believed) {
	b.mu.Lock()
	defer b.mu.Unlock()
	if len(b.kept) >= mostKept {
		clear(b.kept)
	}
	b.kept[key] = found
}

// newest is the newest reading of the playing face that has a file.
func newest(list []book.Reading) (r book.Reading, there bool) {
	for _, x := range list {
		if x.What == "top" && x.Blob != "" && (!there || x.AtMS >= r.AtMS) {
			r, there = x, true
		}
	}
	return r, there
}

// believe works it out.
func (b *beliefs) believe(id string, f *face.Face, s *book.PieceState, r book.Reading) (*believed, error) {
	spec := bed.NineFoot()
	q := wholeface.Question{SizeX: f.SizeX, SizeY: f.SizeY, Band: spec.EdgeBand, Cutoff: scan.Cutoff, State: "as read", U: f.U, Seed: 1, CaliperU: judge.CaliperU}
	if f.Support.Kind == face.SupportBench {
		q.State = "laid"
	}
	if q.SizeX == 0 {
		q.SizeX, q.SizeY = spec.PieceSize()
	}
	if q.U == 0 {
		q.U = spec.Uncertainty.Reading
	}
	for i := range f.Z {
		if f.Row == nil || f.Row[i] == face.NoRow {
			q.Readings = append(q.Readings, wholeface.Reading{X: f.X[i], Y: f.Y[i], Z: f.Z[i]})
		}
	}
	for _, t := range f.Thickness {
		q.Caliper = append(q.Caliper, wholeface.Thickness{X: t.X, Y: t.Y, T: t.T})
	}
	live, err := wholeface.Start(q, b.prior)
	if err != nil {
		return nil, err
	}
	a, err := live.Answer()
	if err != nil {
		return nil, err
	}
	limit := spec.Limits.Zone
	zone := a.Interval()
	out := &believed{Piece: id, Readings: a.Readings, State: a.State, CutoffMM: a.Cutoff, BandMM: a.Band, ZoneMedian: zone.Median, Interval: [2]float64{zone.Low, zone.High},
		LimitMM: limit, Conforms: a.Conforms(limit), Confidence: confidence, Calibrated: a.Calibrated, NextPoints: [][2]float64{}, NextSaves: []float64{},
		Warnings: append([]string{}, a.Warnings...), zone: a.Zone, u: q.U, when: time.UnixMilli(r.AtMS)}
	switch out.says = judge.CannotTell; {
	case out.Conforms >= confidence:
		out.says = judge.Conforms
	case out.Conforms <= 1-confidence:
		out.says = judge.DoesNotConform
	}
	out.Verdict = out.says.String()
	for _, n := range live.Next(limit, nextPoints) {
		out.NextPoints, out.NextSaves = append(out.NextPoints, [2]float64{n.X, n.Y}), append(out.NextSaves, n.Saves)
	}
	out.Report, err = advice.Of("piece", advice.Believed(a, limit, &spec.ThicknessMin), b.costs, bed.Decision{Rule: bed.RuleGuardBand, Risk: 1 - confidence}, 1)
	return out, err
}
