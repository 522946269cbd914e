package stone

import (
	"bytes"
	"html/template"
	"net/url"
	"slices"

	"slatewright/bed"
	"slatewright/internal/book"
	"slatewright/internal/measured"
	"slatewright/internal/tongue"
	"slatewright/internal/web/bedplan"
	"slatewright/internal/web/shell"
	"slatewright/judge"
)

// bedView is the set as the bed that its pieces make.
type bedView struct {
	State   string   // ready, computing, failed; "" when a face was not read
	Missing []string // pieces without a reading
	Stale   []string // pieces whose reading no longer holds: what was done, in words
	Fault   fault

	Verdict          string
	Predicted        bool
	Decided          string // the limit that decides
	Map              string // addresses
	Picture          string
	Relief           string
	Zone             string
	Limits           []limitRow
	Hindered         []hindrance
	Do               step
	Joints           []jointView
	Shims            []shimRow
	ShimsPlan        template.HTML // where they lie
	ShimsSay         string
	Without          string // why there is no shim card
	Rounded          []figure
	Turns            []turnRow
	Fixed            bool
	TurnsMore        int
	Warnings         []string
	English          bool   // the reader reads the reckoning's own words
	OtherThanVerdict string // the book's verdict, when it says otherwise
}

// limitRow is one limit with the value held against it.
type limitRow struct {
	Name, Value, Doubt, Limit, Verdict, Chance, Margin, Reason string
	Picture                                                    template.HTML
	Decides                                                    bool
}

// hindrance keeps a limit from being told.
type hindrance struct{ Of, Do, Reason, Next string }

// step is what would change the verdict, or what to do next.
type step struct{ Do, Text, Reason string }

type jointView struct {
	Name    string
	Largest string
	U       string
	AtEdge  bool
	Laid    bool // measured on the laid-up set
	Picture template.HTML
	Rows    []jointRow
}

type jointRow struct{ At, Step, Predicted string }

type shimRow struct{ Place, X, Y, Asked, Height, Pack string }

type turnRow struct {
	Pieces                               [3]turned
	Zone, Lengthwise, Across, Head, Foot string
	Chosen, Keeps, Feasible              bool
}

type turned struct {
	ID     string
	Turned bool
}

// mostTurns is how many ways to lie are shown, beside the one that was judged.
const mostTurns = 8

// ended is what ended the use of some pieces' readings.
type ended struct {
	act, day string
	pieces   []string
}

func (r room) bedView(v *shell.Visit, l laid) (b bedView) {
	if l.state.Parted != "" {
		return b
	}
	var old []ended
	for i, read := range l.faces {
		switch {
		case read.Blob == "":
			b.Missing = append(b.Missing, l.pieces[i].ID)
		case read.ExpiredBy != "":
			at := slices.IndexFunc(old, func(o ended) bool { return o.act == read.ExpiredAct && o.day == day(v, read.ExpiredMS) })
			if at < 0 {
				at, old = len(old), append(old, ended{act: read.ExpiredAct, day: day(v, read.ExpiredMS)})
			}
			old[at].pieces = append(old[at].pieces, l.pieces[i].ID)
		}
	}
	for _, o := range old {
		b.Stale = append(b.Stale, v.Say("stone.face-old", "pieces", o.pieces, "did", o.act, "day", o.day))
	}
	triple, ok := l.triple(v.Demo)
	if !ok {
		return b
	}
	asked := r.measured.AskBed(triple)
	b.State, b.English = asked.State.String(), v.Language() == tongue.English
	at := "/set/" + url.PathEscape(l.thing.ID)
	b.Map, b.Picture, b.Relief = at+"/map", at+"/map.svg", at+"/relief"
	switch asked.State {
	case measured.Failed:
		b.Fault = faultOf(asked.Err)
	case measured.Ready:
		b.fill(v, l, asked.Value)
	}
	return b
}

func (b *bedView) fill(v *shell.Visit, l laid, bed *measured.Bed) {
	b.Verdict, b.Predicted, b.Zone = bed.Verdict.String(), l.layUp.Blob == "", v.Both(bed.Picture.Zone)
	b.Decided = limitName(v, bed.DecidedBy)
	b.Warnings = bed.Body.Found.Warnings
	b.Do = step{Do: v.Say("stone.do-" + bed.Next.Code), Text: bed.Next.Text, Reason: bed.Next.Reason}
	if s := l.state.Verdict; s != "" && s != b.Verdict && l.state.Stale == "" && len(b.Stale) == 0 {
		b.OtherThanVerdict = s
	}
	for _, res := range bed.Results {
		b.Limits = append(b.Limits, limitRowOf(v, res, bed.DecidedBy))
		if res.Name == judge.Zone && !res.Missing {
			b.Zone = v.Both(res.Value) // as it is judged
		}
	}
	for _, h := range bed.Body.Found.Hindrances {
		if len(bed.Body.Found.Hindrances) == 1 && h.Code == bed.Next.Code {
			break // it is said already
		}
		b.Hindered = append(b.Hindered, hindrance{h.Of, v.Say("stone.do-" + h.Code), h.Reason, h.Next})
	}
	for i, j := range bed.Joints {
		b.Joints = append(b.Joints, jointViewOf(v, i, j, bed.Picture.StepLimit))
	}
	b.shims(v, bed.ShimCard())
	b.turns(v, l, bed.Turns)
}

func limitName(v *shell.Visit, name judge.Name) string {
	if name == "" {
		return ""
	}
	return v.Say("stone.limit-" + string(name))
}

func limitRowOf(v *shell.Visit, r measured.Result, decides judge.Name) limitRow {
	row := limitRow{Name: limitName(v, r.Name), Verdict: r.Verdict.String(), Reason: r.Reason, Decides: r.Name == decides, Limit: v.Both(r.Limit)}
	if r.AtLeast {
		row.Limit = v.Say("stone.at-least", "limit", v.BothSizes(r.Limit))
	}
	if r.Missing {
		return row
	}
	row.Value, row.Doubt = v.Both(r.Value), v.Say("stone.between-lengths", "low_mm", r.Interval[0], "high_mm", r.Interval[1])
	if !r.AtLeast {
		row.Picture = shell.Interval{Value: r.Value, Low: r.Interval[0], High: r.Interval[1], Limit: r.Limit}.Picture(v.Words)
	}
	switch {
	case r.Probability != nil:
		row.Chance = v.Chance(min(*r.Probability, 0.9999)) // the sealed ones are rounded to 0.0001
	case r.Margin >= 0:
		row.Reason, row.Margin = "", v.Say("stone.margin", "mm", r.Margin)
	default:
		row.Reason, row.Margin = "", v.Say("stone.margin-beyond", "mm", -r.Margin)
	}
	return row
}

func jointViewOf(v *shell.Visit, i int, j measured.Joint, limit float64) jointView {
	w := jointView{Name: v.Say("stone.joint", "n", i+1, "from", tongue.Key("place."+places[i]), "to", tongue.Key("place."+places[i+1])), Largest: v.Both(j.Largest), AtEdge: j.AtEdge, Laid: j.Predicted != nil, Picture: jointPicture(v.Words, j, limit)}
	if j.U > 0 {
		w.U = v.Say("stone.give-or-take", "u_mm", coverage*j.U)
	}
	for k := range j.Y {
		row := jointRow{At: v.Size(j.Y[k]), Step: plusOf(v.Words, j.Step[k])}
		if j.Predicted != nil {
			row.Predicted = plusOf(v.Words, j.Predicted[k])
		}
		w.Rows = append(w.Rows, row)
	}
	return w
}

func (b *bedView) shims(v *shell.Visit, card measured.ShimCard) {
	b.Without = card.Without
	var lie []bedplan.Place
	for _, s := range card.Shims {
		lie = append(lie, bedplan.Place{X: s.X, Y: s.Y, Words: figureOf(v, s.HeightMM)})
		row := shimRow{Place: v.Word("place", s.Place), X: v.Size(s.X), Y: v.Size(s.Y), Asked: v.Length(s.AskedMM), Height: v.Both(s.HeightMM), Pack: v.Say("stone.no-shim")}
		var pack []string
		for _, t := range s.Pack {
			pack = append(pack, v.Length(t))
		}
		if len(pack) > 0 {
			row.Pack = v.List(pack...)
		}
		b.Shims = append(b.Shims, row)
	}
	b.ShimsSay = v.Say("frame.packs-plan", "unit", unitOf(v))
	b.ShimsPlan = bedplan.Draw(v.Words, bed.NineFoot(), lie, b.ShimsSay)
	if f := card.Rounded; f != nil {
		b.Rounded = []figure{{v.Say("stone.limit-zone"), v.Both(f.Zone), ""}, {v.Say("stone.limit-lengthwise"), v.Both(f.Lengthwise), ""}, {v.Say("stone.limit-across"), v.Both(f.Across), ""},
			{v.Say("stone.limit-step-head-centre"), v.Both(f.Steps[0]), ""}, {v.Say("stone.limit-step-centre-foot"), v.Both(f.Steps[1]), ""}}
	}
}

// turns lists the best ways to lie. When holes are cut there is one, whatever would have been better.
func (b *bedView) turns(v *shell.Visit, l laid, ways []measured.Turn) {
	b.Fixed = l.cut()
	for i, w := range ways {
		if !w.Chosen && (b.Fixed || i >= mostTurns) {
			b.TurnsMore++
			continue
		}
		row := turnRow{Zone: v.Length(w.Zone), Lengthwise: v.Length(w.Lengthwise), Across: v.Length(w.Across), Head: v.Length(w.Steps[0]), Foot: v.Length(w.Steps[1]),
			Chosen: w.Chosen, Keeps: w.Keeps, Feasible: w.Feasible}
		for place, k := range w.Order {
			row.Pieces[place] = turned{l.state.Pieces[k], w.Turned[place]}
		}
		b.Turns = append(b.Turns, row)
	}
}

// bedPicture draws the bed under its own number: it was computed without one.
func bedPicture(v *shell.Visit, id string, b *measured.Bed) ([]byte, error) {
	m := b.Picture
	m.Title, m.Words = v.Word("kind", string(book.KindSet))+" "+id, v.Words
	var out bytes.Buffer
	err := m.SVG(&out)
	return out.Bytes(), err
}
