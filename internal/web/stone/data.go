package stone

import (
	"cmp"
	"context"
	"math"
	"net/http"
	"strconv"
	"strings"

	"slatewright/internal/book"
	"slatewright/internal/measured"
	"slatewright/internal/picture/facemap"
	"slatewright/internal/tongue"
	"slatewright/internal/web/problem"
	"slatewright/internal/web/shell"
)

// The data routes wait for what is being computed: whoever asks has the page already.

// shown is the face that an address asks for.
type shown struct {
	piece *book.PieceState
	id    string
	face  string
	read  book.Reading
}

// shownOf finds the reading that an address asks for.
func shownOf(v *shell.Visit) (s shown, err error) {
	t, state, err := v.Thing(book.KindPiece, v.R.PathValue("number"))
	if err != nil {
		return s, err
	}
	s = shown{piece: state.(*book.PieceState), id: t.ID, face: faceOf(v.R.URL.Query().Get("face"))}
	what := s.face
	if what == thickness {
		what = top
	}
	var there bool
	if s.read, there = readingOf(s.piece.Readings, what, v.R.URL.Query().Get("reading")); !there {
		return s, problem.New("no-such-thing", s.id, v.Say("stone.not-read", "piece", s.id), v.Say("stone.not-read-next"))
	}
	return s, nil
}

// pixels is the width of the screen's picture that an address asks for.
func pixels(q *http.Request) int {
	n, err := strconv.Atoi(q.URL.Query().Get("width"))
	if err != nil {
		return usualPixels
	}
	return n
}

const usualPixels = 960

func (r room) pieceMap(v *shell.Visit) error {
	s, err := shownOf(v)
	if err != nil {
		return err
	}
	if s.face == thickness {
		t, err := r.thicknessOf(v.R.Context(), v, s)
		if err != nil {
			return err
		}
		return answer(v, thicknessMap(v.Words, s.id, t))
	}
	m, err := r.measured.Map(v.R.Context(), s.read.Blob, pixels(v.R))
	if err != nil {
		return err
	}
	return answer(v, spoken(v.Words, s.id+", "+v.Word("face", s.face), datum(v.Words, "stone.datum"), m))
}

// thicknessOf is the map of thickness; without one the reason.
func (r room) thicknessOf(ctx context.Context, v *shell.Visit, s shown) (measured.Thickness, error) {
	under, _ := readingOf(s.piece.Readings, bottom, "")
	t, err := r.measured.Thickness(ctx, s.read.Blob, under.Blob)
	if err == nil && t.Map == nil {
		err = problem.New("no-such-thing", s.id, v.Say("stone.untied-"+t.Untied), v.Say("stone.not-read-next"))
	}
	return t, err
}

func (r room) piecePicture(v *shell.Visit) error {
	s, err := shownOf(v)
	if err != nil {
		return err
	}
	p := measured.Picture{Title: s.id + ", " + v.Word("face", s.face), Mark: v.Say("shell.invented"), Words: pictureWords(v.Words), Warnings: []string{}, WidthMM: pictureMM}
	if !v.Demo {
		p.Mark = ""
	}
	if s.face == thickness {
		under, _ := readingOf(s.piece.Readings, bottom, "")
		p.Title, p.Words.Height, p.Words.Read = s.id+", "+v.Word("reading", thickness), v.Say("stone.picture-thickness"), v.Say("stone.picture-gauged")
		p.About = v.Say("stone.picture-about-thickness")
		svg, err := r.measured.DrawThickness(v.R.Context(), s.read.Blob, under.Blob, p)
		if err != nil {
			return err
		}
		return picture(v, svg)
	}
	flat, err := r.measured.Flat(v.R.Context(), s.read.Blob)
	if err != nil {
		return err
	}
	p.About = v.Say("stone.picture-about", "zone", v.Both(flat.ZoneMM), "state", flat.State)
	svg, err := r.measured.Draw(v.R.Context(), s.read.Blob, p)
	if err != nil {
		return err
	}
	return picture(v, svg)
}

// pictureMM is how wide a face is drawn: its figures are as large on a page as the text beside them.
const pictureMM = 120

// pictureWords are the words on a picture of a face.
func pictureWords(w tongue.Words) facemap.Words {
	return facemap.Words{Head: w.Word("place", "head"), Foot: w.Word("place", "foot"), Left: w.Word("place", "left"), Right: w.Word("place", "right"),
		High: w.Say("stone.picture-high"), Low: w.Say("stone.picture-low"), Height: w.Say("stone.picture-height"), Upper: w.Say("stone.picture-upper"),
		Lower: w.Say("stone.picture-lower"), Read: w.Say("stone.picture-read"), NotRead: w.Say("stone.picture-not-read"), Band: w.Say("stone.picture-band"),
		Below: w.Say("stone.picture-below"), Thou: "thou", Every: w.Say("stone.picture-every", "step", "{n}"), Comma: strings.Contains(w.Number(0.5, 1), ",")}
}

// profileHeights is how many heights a profile has when nothing is said.
const profileHeights = 240

func (r room) pieceProfile(v *shell.Visit) error {
	s, err := shownOf(v)
	if err != nil {
		return err
	}
	q := v.R.URL.Query()
	from, okFrom := placeOf(q.Get("from"))
	to, okTo := placeOf(q.Get("to"))
	n, err := strconv.Atoi(cmp.Or(q.Get("n"), strconv.Itoa(profileHeights)))
	if !okFrom || !okTo || err != nil {
		return problem.New("bad-request", "from", v.Say("stone.bad-line"), v.Say("stone.bad-line-next"))
	}
	p, err := r.measured.Profile(v.R.Context(), s.read.Blob, from, to, n)
	if err != nil {
		return err
	}
	return answer(v, p)
}

// placeOf reads a place as x,y in mm.
func placeOf(text string) (at [2]float64, ok bool) {
	x, y, both := strings.Cut(text, ",")
	for i, s := range []string{x, y} {
		mm, err := strconv.ParseFloat(s, 64)
		if err != nil || math.IsNaN(mm) || math.Abs(mm) > farthest {
			return at, false
		}
		at[i] = mm
	}
	return at, both
}

// farthest bounds a place on a piece, mm: no table is larger.
const farthest = 10_000
