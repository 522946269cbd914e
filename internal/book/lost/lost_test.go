package lost_test

import (
	"encoding/json"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"slatewright/internal/book"
	"slatewright/internal/book/lost"
	"slatewright/trouble"
)

var monday = time.Date(2026, 11, 2, 7, 0, 0, 0, time.UTC)

// piece is a piece as the book has it.
func piece(id string, at book.Station, change func(s *book.PieceState)) book.Thing {
	s := &book.PieceState{MarkedOn: book.Nowhere, StoneState: book.StoneState{LengthMM: 1473, WidthMM: 914, ThicknessMM: 26, MassKg: 96}}
	if change != nil {
		change(s)
	}
	text, err := json.Marshal(s)
	if err != nil {
		panic(err)
	}
	return book.Thing{Ref: book.Ref{Kind: book.KindPiece, ID: id}, Station: at, Since: monday, State: text}
}

func rank(t *testing.T, d lost.Description, stock ...book.Thing) lost.Ranking {
	t.Helper()
	r, err := lost.Rank(slices.Values(stock), d, 10)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

var found = lost.Description{Station: book.Surfacing, LengthMM: 914, WidthMM: 1473, ThicknessMM: 26, MassKg: 96, Since: monday}

func TestTheOneWithoutNumberStandsOut(t *testing.T) {
	marked := func(s *book.PieceState) { s.MarkedOn = book.OnEdge }
	r := rank(t, found, piece("A", book.Surfacing, marked), piece("B", book.Surfacing, nil), piece("C", book.Surfacing, marked))
	if r.Candidates[0].ID != "B" || r.CannotTell != "" {
		t.Errorf("%+v", r)
	}
	if r.Searched != 3 || len(r.Candidates) != 3 {
		t.Errorf("%d searched, %d candidates", r.Searched, len(r.Candidates))
	}
}

func TestTwoAlikeCannotBeTold(t *testing.T) {
	r := rank(t, found, piece("A", book.Surfacing, nil), piece("B", book.Surfacing, nil))
	if !strings.Contains(r.CannotTell, "A and B") {
		t.Errorf("said %q of two that are alike", r.CannotTell)
	}
	if math.Abs(r.Candidates[0].Share-r.Candidates[1].Share) > 1e-12 || r.Candidates[0].ID != "A" {
		t.Errorf("%+v", r.Candidates)
	}
}

// One spread off in one measure is exp(-1/2) as likely: 3 mm on a side, 0.4 mm in thickness, 2 % in mass, 2 days; the spreads stated.
func TestEachMeasureCountsByItsSpread(t *testing.T) {
	changes := map[string]func(*book.PieceState){
		"length":    func(s *book.PieceState) { s.LengthMM += 3 },
		"width":     func(s *book.PieceState) { s.WidthMM -= 3 },
		"thickness": func(s *book.PieceState) { s.ThicknessMM += 0.4 },
		"mass":      func(s *book.PieceState) { s.MassKg += 0.02 * found.MassKg },
	}
	for name, change := range changes {
		spreadOff(t, name, piece("B", book.Surfacing, change))
	}
	later := piece("B", book.Surfacing, nil)
	later.Since = monday.AddDate(0, 0, 2)
	spreadOff(t, "since", later)
}

// spreadOff wants a piece to be exp(-1/2) times as likely as the one that fits.
func spreadOff(t *testing.T, name string, off book.Thing) {
	t.Helper()
	r := rank(t, found, piece("A", book.Surfacing, nil), off)
	if len(r.Candidates) != 2 || r.Candidates[0].ID != "A" {
		t.Fatalf("%s: %+v", name, r.Candidates)
	}
	if ratio := r.Candidates[1].Share / r.Candidates[0].Share; math.Abs(ratio-math.Exp(-0.5)) > 1e-9 {
		t.Errorf("%s: one spread off makes it %.6f times as likely; exp(-1/2) is %.6f", name, ratio, math.Exp(-0.5))
	}
}

func TestWhatCannotBeIt(t *testing.T) {
	stock := []book.Thing{
		piece("shipped", book.Away, nil), piece("rejected", book.Heap, nil),
		piece("small", book.Surfacing, func(s *book.PieceState) { s.LengthMM = 1340 }),
		piece("thin", book.Surfacing, func(s *book.PieceState) { s.ThicknessMM = 20 }),
		{Ref: book.Ref{Kind: book.KindSlab, ID: "slab"}, Station: book.Surfacing, State: []byte("{}")},
	}
	r := rank(t, found, stock...)
	if len(r.Candidates) != 0 || r.Searched != 2 || r.CannotTell == "" {
		t.Errorf("%+v", r)
	}
}

func TestUnknownAndElsewhereAndSoleWeakCandidate(t *testing.T) {
	unknown := piece("U", book.Surfacing, func(s *book.PieceState) { s.ThicknessMM, s.MassKg = 0, 0 })
	r := rank(t, found, piece("A", book.Surfacing, nil), unknown, piece("E", book.Room, nil))
	if ids := fmt.Sprint(r.Candidates[0].ID, r.Candidates[1].ID, r.Candidates[2].ID); ids != "AEU" {
		t.Errorf("order %s: one that stands elsewhere is 1 in 20, two measures unknown are exp(-4)", ids)
	}
	if r := rank(t, lost.Description{ThicknessMM: 27.5}, piece("A", book.Surfacing, func(s *book.PieceState) { s.MarkedOn = book.OnEdge })); r.CannotTell == "" {
		t.Errorf("one marked piece 3.75 spreads off stands out: %+v", r)
	}
}

func TestOneSideIsEitherSide(t *testing.T) {
	for _, side := range []float64{1473, 914} {
		r := rank(t, lost.Description{LengthMM: side}, piece("A", book.Surfacing, nil))
		if len(r.Candidates) != 1 || !strings.Contains(strings.Join(r.Candidates[0].Reasons, "; "), fmt.Sprintf("side: %.5g mm, in the book %.5g", side, side)) {
			t.Errorf("%g: %+v", side, r.Candidates)
		}
	}
}

func TestNothingDescribed(t *testing.T) {
	_, err := lost.Rank(slices.Values([]book.Thing{}), lost.Description{}, 10)
	if tr, ok := err.(*trouble.Trouble); !ok || tr.Code != "nothing-described" {
		t.Errorf("%v", err)
	}
	if _, err := lost.Rank(slices.Values([]book.Thing{{Ref: book.Ref{Kind: book.KindPiece, ID: "X"}, State: []byte("{")}}), found, 10); err == nil {
		t.Error("a broken state was weighed")
	}
}

// Shares are a distribution, in order, and the limit only cuts.
func TestSharesAreADistribution(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var stock []book.Thing
		for i := range rapid.IntRange(0, 12).Draw(t, "pieces") {
			stock = append(stock, piece(fmt.Sprintf("P%02d", i), rapid.SampledFrom(book.Stations()).Draw(t, "station"), func(s *book.PieceState) {
				s.ThicknessMM = rapid.Float64Range(24, 28).Draw(t, "thickness")
				s.MarkedOn = rapid.SampledFrom([]book.Surface{book.Nowhere, book.OnTop, ""}).Draw(t, "mark")
			}))
		}
		all, err := lost.Rank(slices.Values(stock), found, 100)
		if err != nil {
			t.Fatal(err)
		}
		sum := 0.0
		for i, c := range all.Candidates {
			sum += c.Share
			if c.Share <= 0 || i > 0 && c.Share > all.Candidates[i-1].Share {
				t.Fatalf("share %g at %d", c.Share, i)
			}
		}
		if sum > 1 {
			t.Fatalf("shares add up to %g", sum)
		}
		few, _ := lost.Rank(slices.Values(stock), found, 3)
		if len(few.Candidates) != min(3, len(all.Candidates)) || len(few.Candidates) > 0 && few.Candidates[0].ID != all.Candidates[0].ID || few.CannotTell != all.CannotTell {
			t.Fatalf("three of %+v are %+v", all, few)
		}
	})
}
