package stone

import (
	"html/template"
	"math"
	"net/url"
	"slices"

	"slatewright/bed"
	"slatewright/internal/book"
	"slatewright/internal/measured"
	"slatewright/internal/web/shell"
)

// What a map of a piece can show.
const (
	top       = "top"
	bottom    = "bottom"
	thickness = "thickness"
)

// faceOf is the map that an address asks for.
func faceOf(asked string) string {
	if asked == bottom || asked == thickness {
		return asked
	}
	return top
}

// readingOf finds the reading of a face: the one asked for, else the last that still holds, else the last.
func readingOf(list []book.Reading, face, entry string) (r book.Reading, there bool) {
	for _, x := range list {
		switch {
		case x.What != face || x.Blob == "":
		case entry != "" && x.Entry == entry:
			return x, true
		case entry == "" && (!there || x.ExpiredBy == "" || r.ExpiredBy != ""):
			r, there = x, true
		}
	}
	return r, there
}

// faceView is the map of a piece that the page shows, with its figures.
type faceView struct {
	Face     string
	Tabs     []tab
	There    bool // the face was read
	Read     readingRow
	Choices  []tab // other readings of the same face
	State    string
	Fault    fault
	Map      string // addresses
	Picture  string
	Profiles string
	Relief   string
	Figures  []figure
	Interval template.HTML
	Beside   string // what the interval is held against
	Contacts []contactRow
	Warnings []string
	Line     *lineView
	Form     lineForm
	Thick    *thickView
}

// tab is a way to another map of the same piece.
type tab struct {
	Words, Path string
	Here        bool
}

// fault is why something cannot be shown, and what to do.
type fault struct{ What, Next, Where string }

// figure is a number with its name. More is what is said beside it.
type figure struct{ Name, Value, More string }

type contactRow struct{ X, Y, Z, Plane string }

// faceView makes the map that the address asks for.
func (r room) faceView(v *shell.Visit, id string, s *book.PieceState, history measured.Asked[measured.History]) (f faceView, err error) {
	q := v.R.URL.Query()
	f.Face = faceOf(q.Get("face"))
	for _, face := range []string{top, bottom, thickness} {
		words := v.Word("face", face)
		if face == thickness {
			words = v.Say("field.thickness_mm")
		}
		f.Tabs = append(f.Tabs, tab{words, "/piece/" + url.PathEscape(id) + "?face=" + face + "#map", face == f.Face})
	}
	if f.Face == thickness {
		return f, r.thick(v, id, s, &f)
	}
	read, there := readingOf(s.Readings, f.Face, q.Get("reading"))
	if f.There = there; !there {
		return f, nil
	}
	f.addresses(id, read)
	for _, x := range s.Readings {
		if x.What == f.Face && x.Blob != "" {
			f.Choices = append(f.Choices, tab{day(v, x.AtMS), "/piece/" + url.PathEscape(id) + "?face=" + f.Face + "&reading=" + x.Entry + "#map", x.Entry == read.Entry})
		}
	}
	asked := r.measured.KnownFlat(read.Blob) // asked for with the history, which waited for it
	if history.State != measured.Computing {
		asked = r.measured.AskFlat(read.Blob)
	}
	f.State, f.Read = asked.State.String(), readingRowOf(v, read, r.stateOf(read))
	switch asked.State {
	case measured.Failed:
		f.Fault = faultOf(asked.Err)
	case measured.Ready:
		if err := r.figures(v, read, asked.Value, &f); err != nil {
			return f, err
		}
		return f, r.line(v, read, &f)
	}
	return f, nil
}

func (f *faceView) addresses(id string, read book.Reading) {
	at := "/piece/" + url.PathEscape(id)
	which := "?face=" + f.Face + "&reading=" + read.Entry
	f.Map, f.Picture, f.Profiles, f.Relief = at+"/map"+which, at+"/map.svg"+which, at+"/profile"+which, at+"/relief"+which
}

// coverage is how many standard uncertainties an interval reaches to each side, for about 95 %.
const coverage = 2

// figures says what the face measures.
func (r room) figures(v *shell.Visit, read book.Reading, flat measured.Flat, f *faceView) error {
	f.Warnings = flat.Warnings
	face, err := r.measured.Face(v.R.Context(), read.Blob)
	if err != nil {
		return err
	}
	spec := bed.NineFoot()
	u := math.Sqrt2 * face.U // a zone is a difference of two readings: its doubt is √2 that of one, at least
	zone := figure{Name: v.Say("field.zone_mm"), Value: v.Both(flat.ZoneMM)}
	i := shell.Interval{Value: flat.ZoneMM, Low: math.Max(0, flat.ZoneMM-coverage*u), High: flat.ZoneMM + coverage*u, Limit: spec.Limits.Zone}
	if u > 0 {
		zone.More = v.Say("stone.between", "low_mm", i.Low, "high_mm", i.High)
	} else {
		zone.More = v.Say("stone.no-doubt")
	}
	f.Interval, f.Beside = i.Picture(v.Words), v.Say("stone.beside-limit", "mm", spec.Limits.Zone)
	f.Figures = append(f.Figures, zone)
	for _, b := range []struct {
		name    string
		mm, err *float64
		shape   [2]string
	}{{"stone.bow-along", flat.BowAlongMM, flat.BowAlongSEMM, crownOrDish}, {"stone.bow-across", flat.BowAcrossMM, flat.BowAcrossSEMM, crownOrDish},
		{"stone.twist", flat.TwistMM, flat.TwistSEMM, corners}} {
		if b.mm != nil {
			f.Figures = append(f.Figures, figure{v.Say(b.name), v.Length(math.Abs(*b.mm)), signed(v, *b.mm, b.err, b.shape)})
		}
	}
	f.Figures = append(f.Figures, figure{v.Say("stone.least-squares"), v.Length(flat.LeastSquaresMM), ""},
		figure{v.Say("stone.state"), v.Word("state", flat.State), flat.Support}, figure{v.Say("stone.points"), v.Number(float64(flat.Points), 0), v.Say("stone.contacts", "way", flat.Kind)})
	for _, c := range flat.Places() {
		plane := "stone.picture-lower"
		if c.Upper {
			plane = "stone.picture-upper"
		}
		f.Contacts = append(f.Contacts, contactRow{v.Size(c.X), v.Size(c.Y), v.Length(c.Z), v.Say(plane)})
	}
	return nil
}

// The words of a shape, for a positive and a negative number.
var (
	crownOrDish = [2]string{"stone.crown", "stone.dish"}
	corners     = [2]string{"stone.twist-plus", "stone.twist-minus"}
)

// signed says which way a shape goes, unless its doubt leaves that open.
func signed(v *shell.Visit, mm float64, se *float64, shape [2]string) string {
	doubt := ""
	if se != nil {
		if doubt = v.Say("stone.give-or-take", "u_mm", coverage**se); math.Abs(mm) <= coverage**se {
			return v.Say("stone.either-way") + ", " + doubt
		}
		doubt = ", " + doubt
	}
	if mm < 0 {
		return v.Say(shape[1]) + doubt
	}
	return v.Say(shape[0]) + doubt
}

// stateOf is the state of a reading, as far as it is known.
func (r room) stateOf(read book.Reading) string {
	if read.Blob == "" {
		return ""
	}
	if flat := r.measured.KnownFlat(read.Blob); flat.State == measured.Ready {
		return flat.Value.State
	}
	return ""
}

// readingRow is a reading in a table.
type readingRow struct {
	When, What, Value, Held, State string
	Instruments                    []book.Ref
	Bench                          book.Ref
	Wet                            bool
	Expired                        string // by what and when, in words
	Path                           string // of its map
}

func readingRowOf(v *shell.Visit, x book.Reading, state string) readingRow {
	row := readingRow{When: day(v, x.AtMS), What: v.Word("reading", x.What), Held: x.Support, State: v.Word("state", state), Wet: x.Wet}
	for _, id := range x.Instruments {
		row.Instruments = append(row.Instruments, book.Ref{Kind: book.KindInstrument, ID: id})
	}
	if x.Bench != "" {
		row.Bench = book.Ref{Kind: book.KindBench, ID: x.Bench}
	}
	if x.Value != nil {
		if row.Value = v.Number(*x.Value, 2) + " " + x.Unit; x.Unit == "mm" {
			row.Value = v.Size(*x.Value)
		}
	}
	if x.ExpiredBy != "" {
		row.Expired = v.Say("stone.expired", "did", x.ExpiredAct, "day", day(v, x.ExpiredMS))
	}
	return row
}

// readings lists the readings of a piece, the last first.
func (r room) readings(v *shell.Visit, id string, list []book.Reading) (rows []readingRow) {
	for _, x := range slices.Backward(list) {
		row := readingRowOf(v, x, r.stateOf(x))
		if x.Blob != "" && (x.What == top || x.What == bottom) {
			row.Path = "/piece/" + url.PathEscape(id) + "?face=" + x.What + "&reading=" + x.Entry + "#map"
		}
		rows = append(rows, row)
	}
	return rows
}
