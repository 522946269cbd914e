package measured_test

import (
	"context"
	"math"
	"testing"

	"slatewright/face"
	"slatewright/internal/book"
	"slatewright/internal/measured"
)

// bowed is a piece with a bow along, read with small errors that differ from time to time.
func bowed(a float64, seed int) *face.Face {
	return piece("QH-0101", func(x, y float64) float64 {
		return a*(1-math.Pow(2*x/914, 2)) + 0.002*math.Sin(float64(seed)+x*7+y*13)
	})
}

func reading(entry string, day int64, blob string) book.Reading {
	return book.Reading{Entry: entry, What: "top", AtMS: day * 86_400_000, Blob: blob}
}

func TestHistory(t *testing.T) {
	store := newFiles()
	r := room(t, store, measured.Options{})
	lines := func(f *face.Face, at float64) *face.Face {
		f.Support = face.Support{Kind: face.SupportLines, Text: "lines", Lines: []face.Line{{Axis: 'y', At: -at}, {Axis: 'y', At: at}}}
		return f
	}
	unheld := bowed(0.1, 9)
	unheld.Support = face.Support{}
	list := []book.Reading{
		reading("E4", 4, store.put(t, bowed(0.16, 4))),
		reading("E1", 1, store.put(t, bowed(0.10, 1))),
		reading("E2", 2, store.put(t, lines(bowed(0.30, 2), 412))),
		reading("E3", 3, store.put(t, unheld)),
		reading("E5", 5, store.put(t, lines(bowed(0.31, 5), 415))), // set by hand to the same marks
		reading("E6", 6, store.put(t, lines(bowed(0.50, 6), 300))),
		reading("E7", 7, "00"),
		{Entry: "E8", What: "bottom", AtMS: 1, Blob: store.put(t, bowed(0.1, 8))},
		{Entry: "E9", What: "top", AtMS: 1},
	}
	h, err := r.History(context.Background(), "top", list)
	if err != nil {
		t.Fatal(err)
	}
	var got [][]string
	for _, s := range h.Series {
		var entries []string
		for _, x := range s.Shapes {
			entries = append(entries, x.Entry)
		}
		got = append(got, entries)
	}
	if want := `[["E1","E4"],["E2","E5"],["E6"]]`; string(marshalled(t, got)) != want || !h.Apart {
		t.Fatalf("series %s, want %s", marshalled(t, got), want)
	}
	bench := h.Series[0]
	if bench.State != "laid" || h.Series[1].State != "as read" || bench.Shapes[0].Since != nil {
		t.Errorf("%+v", h.Series)
	}
	change := bench.Shapes[1].Since
	near(t, "bow along now", *bench.Shapes[1].BowAlongMM, 0.16, 5e-4)
	near(t, "change of the bow along", *change.BowAlongMM, 0.06, 4**change.BowAlongSE)
	near(t, "change of the twist", *change.TwistMM, 0, 4**change.TwistSE)
	if *change.BowAlongSE <= 0 || *change.BowAlongSE > 1e-3 {
		t.Errorf("standard error %v", *change.BowAlongSE)
	}
	if len(h.Left) != 2 || h.Left[0].Entry != "E3" || h.Left[0].Code != measured.UnfitSupport || h.Left[1].Entry != "E7" || h.Left[1].Code != measured.UnfitFile {
		t.Errorf("%+v", h.Left)
	}
}

// A file that came later is in the history when it is asked again.
func TestHistoryIsNotKeptWithoutAFile(t *testing.T) {
	store, other := newFiles(), newFiles()
	r := room(t, store, measured.Options{Patience: waitLong})
	late := bowed(0.2, 2)
	list := []book.Reading{reading("E1", 1, store.put(t, bowed(0.1, 1))), reading("E2", 2, other.put(t, late))}
	if h := r.AskHistory("top", list); h.State != measured.Ready || len(h.Value.Left) != 1 {
		t.Fatalf("%+v", h)
	}
	store.put(t, late)
	if h := r.AskHistory("top", list); h.State != measured.Ready || len(h.Value.Left) != 0 || len(h.Value.Series[0].Shapes) != 2 {
		t.Errorf("%+v", h)
	}
}
