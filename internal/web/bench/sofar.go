package bench

import (
	"encoding/json"
	"fmt"
	"html/template"
	"math"
	"net/http"

	"slatewright/bed"
	"slatewright/face"
	"slatewright/internal/book"
	"slatewright/internal/flat"
	"slatewright/internal/web/problem"
	"slatewright/internal/web/shell"
)

// read is what a tablet has read so far.
type read struct {
	Piece  string `json:"piece"`
	Face   string `json:"face"`
	Points []struct {
		X   float64 `json:"x_mm"`
		Y   float64 `json:"y_mm"`
		Z   float64 `json:"z_mm"`
		Row string  `json:"row"`
	} `json:"points"`
	Left int     `json:"left"`
	U    float64 `json:"u_mm"`
}

// The bounds of one question, and the fewest readings that a zone says something of.
const (
	mostRead   = 1000
	largestAsk = 256 << 10
	fewest     = 4
)

// doubtOfTwo is how many standard uncertainties a difference of two readings may be off, for about 95 %: 2 √2.
const doubtOfTwo = 2 * math.Sqrt2

// soFar answers with the interval in which the zone must end: what was read cannot become less, but for its doubt; what was not read
// can only add. When the lower end is beyond what the whole bed may have, more readings cannot change the no.
func (r room) soFar(v *shell.Visit) error {
	v.R.Body = http.MaxBytesReader(v.W, v.R.Body, largestAsk)
	var in read
	if err := json.NewDecoder(v.R.Body).Decode(&in); err != nil || len(in.Points) > mostRead {
		return problem.New("bad-request", "", v.Say("shell.bad-form"), v.Say("shell.again"))
	}
	_, state, err := v.Thing(book.KindPiece, v.R.PathValue("number"))
	if err != nil {
		return err
	}
	spec := bed.NineFoot()
	f := &face.Face{}
	f.Side = face.Top
	f.SizeX, f.SizeY = sizeOf(state.(*book.PieceState), spec)
	for _, p := range in.Points {
		if p.Row == "" && fits(p.X) && fits(p.Y) && fits(p.Z) {
			f.X, f.Y, f.Z = append(f.X, p.X), append(f.Y, p.Y), append(f.Z, p.Z)
		}
	}
	v.W.Header().Set("Content-Type", "text/html; charset=utf-8")
	_, _ = v.W.Write([]byte(r.verdictSoFar(v, f, in, spec))) // a browser that has gone cannot be told so
	return nil
}

// fits is a length that a reading can have, mm.
func fits(x float64) bool { return math.Abs(x) < 10_000 }

func (r room) verdictSoFar(v *shell.Visit, f *face.Face, in read, spec bed.Spec) template.HTML {
	limit := spec.Limits.Zone
	say := func(key string, pairs ...any) string { return template.HTMLEscapeString(v.Say(key, pairs...)) }
	if len(f.Z) < fewest {
		return template.HTML("<p>" + say("bench.too-few", "n", fewest-len(f.Z)) + "</p>")
	}
	found, err := flat.Of(f)
	if err != nil {
		return template.HTML("<p>" + say("bench.not-yet") + "</p>")
	}
	u := in.U
	if u <= 0 {
		u = assumedU
	}
	low := max(0, found.ZoneMM-doubtOfTwo*u)
	text := fmt.Sprintf(`<p class="so-far figure"><strong>%s</strong> %s</p>`, template.HTMLEscapeString(v.Both(found.ZoneMM)), say("bench.zone-so-far", "left", in.Left))
	enough := low > limit
	if b, ok := r.beliefs.of(f, spec.EdgeBand, u, limit); ok && !enough {
		text += b.picture(v, limit, in.Left)
	}
	switch {
	case enough:
		text += fmt.Sprintf(`<p class="told bad" data-bench-enough>%s</p>`, say("bench.enough", "low_mm", low, "limit_mm", limit))
	case in.Left == 0 && found.ZoneMM+doubtOfTwo*u <= limit:
		text += "<p>" + say("bench.within", "limit_mm", limit) + "</p>"
	default:
		text += "<p>" + say("bench.at-least-zone", "low_mm", low, "limit_mm", limit) + "</p>"
	}
	return template.HTML(text)
}

// assumedU stands in for the standard uncertainty of an instrument whose own is not in the book, mm: a dial that reads 0.01 mm. Common
// practice, no source. It only moves the moment at which "enough" is said.
const assumedU = 0.005
