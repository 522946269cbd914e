package measured

import (
	"cmp"
	"context"
	"math"
	"slices"

	"slatewright/face"
	"slatewright/internal/book"
	"slatewright/internal/measured/kept"
)

// History is the shape of one face of a piece over time. Readings that were held alike make a series; two series are never compared,
// because gravity bends a piece otherwise on every support and is not computed between them.
type History struct {
	Series []Series `json:"series"` // in the order of their first readings
	// Apart says that there is more than one series, which must not be drawn as one.
	Apart bool    `json:"apart"`
	Left  []Unfit `json:"left"` // readings that are in no series, with the reason

	passing bool // one was left for a reason of the moment
}

// Series is readings that were held alike.
type Series struct {
	State   string  `json:"state"`   // laid or as read
	Support string  `json:"support"` // as the first file writes it
	Shapes  []Shape `json:"shapes"`  // in the order of time
}

// Shape is a face at one time. What is not known is null.
type Shape struct {
	Entry       string   `json:"entry"`
	AtMS        int64    `json:"at_ms"`
	Blob        string   `json:"blob"`
	Wet         bool     `json:"wet"`
	Expired     string   `json:"expired"` // the act after which the reading no longer holds
	ZoneMM      float64  `json:"zone_mm"`
	BowAlongMM  *float64 `json:"bow_along_mm"`
	BowAcrossMM *float64 `json:"bow_across_mm"`
	TwistMM     *float64 `json:"twist_mm"`
	// Since is what changed since the shape before in the series, each with its standard error; null for the first, and where
	// either is not known. The errors hold for the scatter of the readings alone.
	Since *Change `json:"since"`
}

// Change is the difference of two shapes of one series.
type Change struct {
	ZoneMM      float64  `json:"zone_mm"`
	BowAlongMM  *float64 `json:"bow_along_mm"`
	BowAlongSE  *float64 `json:"bow_along_se_mm"`
	BowAcrossMM *float64 `json:"bow_across_mm"`
	BowAcrossSE *float64 `json:"bow_across_se_mm"`
	TwistMM     *float64 `json:"twist_mm"`
	TwistSE     *float64 `json:"twist_se_mm"`
}

// Unfit is a reading that cannot be shown with others.
type Unfit struct {
	Entry string `json:"entry"`
	AtMS  int64  `json:"at_ms"`
	Code  string `json:"code"`
	Why   string `json:"why"`
}

// Why a reading is in no series.
const (
	UnfitSupport = "support-not-stated"
	UnfitFile    = "file" // it cannot be read or measured
)

// History gathers the readings of a piece of one kind, top or bottom. One that cannot be measured is left out and named; only an error of
// the moment ends the whole.
func (r *Room) History(ctx context.Context, what string, readings []book.Reading) (History, error) {
	h := History{Series: []Series{}, Left: []Unfit{}}
	list := slices.DeleteFunc(slices.Clone(readings), func(b book.Reading) bool { return b.What != what || b.Blob == "" })
	slices.SortStableFunc(list, func(a, b book.Reading) int { return cmp.Compare(a.AtMS, b.AtMS) })
	var held []face.Header // how the first of each series was held
	var flats []Flat       // the last of each series
	for _, b := range list {
		flat, head, err := r.measuredHeld(ctx, b.Blob)
		switch {
		case err != nil && ctx.Err() != nil:
			return h, err
		case err != nil:
			h.Left = append(h.Left, Unfit{b.Entry, b.AtMS, UnfitFile, err.Error()})
			h.passing = h.passing || !kept.Lasting(err)
			continue
		case head.Support.Kind == face.SupportUnknown:
			h.Left = append(h.Left, Unfit{b.Entry, b.AtMS, UnfitSupport, "the file does not say how the piece was held, and the support is part of the number"})
			continue
		}
		i := slices.IndexFunc(held, func(o face.Header) bool { return heldAlike(o, head) })
		shape := shapeOf(b, flat)
		if i < 0 {
			held, flats = append(held, head), append(flats, flat)
			h.Series = append(h.Series, Series{State: flat.State, Support: flat.Support, Shapes: []Shape{shape}})
			continue
		}
		shape.Since = since(flats[i], flat)
		flats[i] = flat
		h.Series[i].Shapes = append(h.Series[i].Shapes, shape)
	}
	h.Apart = len(h.Series) > 1
	return h, nil
}

// AskHistory is History for a page.
func (r *Room) AskHistory(what string, readings []book.Reading) Asked[History] {
	key := "history " + what
	for _, b := range readings {
		key += " " + b.Entry + " " + b.Blob + " " + b.ExpiredBy
	}
	return kept.Ask(r.shelf, key, r.options.Patience, kept.Work[History]{
		Bytes: func(h History) int64 {
			if h.passing {
				return -1
			}
			return 1024 + 512*int64(len(readings))
		},
		Do: func(ctx context.Context) (History, error) { return r.History(ctx, what, readings) },
	})
}

// measuredHeld measures a face and says how it was held.
func (r *Room) measuredHeld(ctx context.Context, digest string) (Flat, face.Header, error) {
	s, err := r.surface(ctx, digest)
	if err != nil {
		return Flat{}, face.Header{}, err
	}
	return s.flat, s.head, nil
}

func shapeOf(b book.Reading, f Flat) Shape {
	return Shape{Entry: b.Entry, AtMS: b.AtMS, Blob: b.Blob, Wet: b.Wet, Expired: b.ExpiredAct, ZoneMM: f.ZoneMM, BowAlongMM: f.BowAlongMM, BowAcrossMM: f.BowAcrossMM, TwistMM: f.TwistMM}
}

// since is what changed from one shape to the next of a series.
func since(a, b Flat) *Change {
	c := &Change{ZoneMM: b.ZoneMM - a.ZoneMM}
	c.BowAlongMM, c.BowAlongSE = less(a.BowAlongMM, b.BowAlongMM, a.BowAlongSEMM, b.BowAlongSEMM)
	c.BowAcrossMM, c.BowAcrossSE = less(a.BowAcrossMM, b.BowAcrossMM, a.BowAcrossSEMM, b.BowAcrossSEMM)
	c.TwistMM, c.TwistSE = less(a.TwistMM, b.TwistMM, a.TwistSEMM, b.TwistSEMM)
	return c
}

// less is b − a with its standard error, where they are known.
func less(a, b, ua, ub *float64) (d, u *float64) {
	if a == nil || b == nil {
		return nil, nil
	}
	difference := *b - *a
	if ua == nil || ub == nil {
		return &difference, nil
	}
	both := math.Hypot(*ua, *ub)
	return &difference, &both
}

// placeSlip is how far two statements of one support may be apart, mm: set by hand to a mark. Common practice, no source.
const placeSlip = 5.0

// heldAlike reports whether gravity bent the piece alike in two readings: on a bench, or on the same lines or points. The piece must
// have the same size. Places are counted from the middle of the piece.
func heldAlike(a, b face.Header) bool {
	s, t := centredSupport(a), centredSupport(b)
	if s.Kind != t.Kind || len(s.Lines) != len(t.Lines) || len(s.Points) != len(t.Points) || math.Abs(a.SizeX-b.SizeX) > 1 || math.Abs(a.SizeY-b.SizeY) > 1 {
		return false
	}
	if len(s.Lines)+len(s.Points) == 0 && s.Fraction != t.Fraction {
		return false
	}
	near := func(a, b float64) bool { return math.Abs(a-b) <= placeSlip }
	for _, l := range s.Lines {
		if !slices.ContainsFunc(t.Lines, func(m face.Line) bool { return l.Axis == m.Axis && near(l.At, m.At) }) {
			return false
		}
	}
	for _, p := range s.Points {
		if !slices.ContainsFunc(t.Points, func(q [2]float64) bool { return near(p[0], q[0]) && near(p[1], q[1]) }) {
			return false
		}
	}
	return true
}

// centredSupport is the support counted from the middle of the piece; as it is where that is not known.
func centredSupport(h face.Header) face.Support {
	if centred, err := (&face.Face{Header: h}).Centred(); err == nil {
		return centred.Support
	}
	return h.Support
}
