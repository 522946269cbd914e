package stone_test

import (
	"encoding/json"
	"math"
	"net/url"
	"regexp"
	"strings"
	"testing"

	"slatewright/internal/book"
	"slatewright/internal/measured"
	"slatewright/internal/tongue"
)

// grid is a map's grid as a script reads it.
type grid struct {
	X0, Y0, DX, DY float64
	NX, NY         int
	Z              []*float64
}

func (g *grid) UnmarshalJSON(text []byte) error {
	var v struct {
		X0 float64    `json:"x0_mm"`
		Y0 float64    `json:"y0_mm"`
		DX float64    `json:"dx_mm"`
		DY float64    `json:"dy_mm"`
		NX int        `json:"nx"`
		NY int        `json:"ny"`
		Z  []*float64 `json:"z_um"`
	}
	err := json.Unmarshal(text, &v)
	*g = grid{v.X0, v.Y0, v.DX, v.DY, v.NX, v.NY, v.Z}
	return err
}

type chart struct {
	Title string            `json:"title"`
	Datum string            `json:"datum"`
	Low   float64           `json:"low_um"`
	High  float64           `json:"high_um"`
	Grids []grid            `json:"grids"`
	Edges map[string]string `json:"edges"`
}

// whole holds a chart to what the scripts ask of one, and counts the heights that were read.
func (c chart) whole(t *testing.T, path string) (read int) {
	t.Helper()
	if c.Title == "" || c.Datum == "" || !(c.High > c.Low) {
		t.Errorf("%s: %q over %q from %g to %g", path, c.Title, c.Datum, c.Low, c.High)
	}
	for _, g := range c.Grids {
		if g.NX < 2 || g.NY < 2 || !(g.DX > 0) || !(g.DY > 0) || len(g.Z) != g.NX*g.NY {
			t.Errorf("%s: %d by %d cells, %d heights", path, g.NX, g.NY, len(g.Z))
		}
		for _, z := range g.Z {
			if z == nil {
				continue
			}
			if read++; *z < c.Low-1 || *z > c.High+1 {
				t.Errorf("%s: a height of %g µm, and the map goes from %g to %g", path, *z, c.Low, c.High)
			}
		}
	}
	return read
}

func TestMapsForScripts(t *testing.T) {
	for path, grids := range map[string]int{"/piece/QH-1002/map": 1, "/piece/" + wedge + "/map?face=bottom": 1, "/piece/" + wedge + "/map?face=thickness": 1, "/set/QH-S105/map?width=1200": 3} {
		c := data[chart](t, own, path)
		if read := c.whole(t, path); read < 100 || len(c.Grids) != grids {
			t.Errorf("%s: %d grids with %d heights", path, len(c.Grids), read)
		}
	}
	if top, bottom := data[chart](t, own, "/piece/"+wedge+"/map"), data[chart](t, own, "/piece/"+wedge+"/map?face=bottom"); top.Edges["x-"] != "head" || bottom.Edges["x-"] != "foot" {
		t.Errorf("x begins at %v, of the bottom at %v", top.Edges, bottom.Edges)
	}
	if w := own.get(t, "lead", "/set/QH-S105/map", "zh", "inch").Body.String(); !strings.Contains(w, "thou") || !strings.Contains(w, "头端") {
		t.Errorf("a map for an inch reader in Chinese: %.300s", w)
	}
}

// The map of thickness is the wedge that the piece is.
func TestThicknessIsThatOfThePiece(t *testing.T) {
	c := data[chart](t, own, "/piece/"+wedge+"/map?face=thickness")
	worst, seen := 0.0, 0
	g := c.Grids[0]
	for j := range g.NY {
		for i := range g.NX {
			z := g.Z[j*g.NX+i]
			if z == nil {
				continue
			}
			seen++
			worst = math.Max(worst, math.Abs(*z/1000-thicknessAt(g.X0+float64(i)*g.DX)))
		}
	}
	if seen < 100 || worst > 0.003 {
		t.Errorf("%d cells, the worst %.4f mm beside the truth", seen, worst)
	}
	page := text(own.page(t, "/piece/"+wedge+"?face=thickness"))
	if !strings.Contains(page, "gauged at 8 places") || !strings.Contains(page, "25.83") {
		t.Errorf("the page of the thickness: %s", page)
	}
	if page := text(own.page(t, "/piece/QH-1002?face=thickness")); !strings.Contains(page, "The bottom was not read") {
		t.Error("a piece whose bottom was not read has no reason")
	}
}

// What the script and the plain form say of one line is the same, and is what package measured says.
func TestALineUnderAStraightedge(t *testing.T) {
	_, state, err := thing(book.KindPiece, "QH-1002")
	if err != nil {
		t.Fatal(err)
	}
	var blob string
	for _, r := range state.(*book.PieceState).Readings {
		if r.What == "top" && r.ExpiredBy == "" {
			blob = r.Blob
		}
	}
	p, err := own.rooms.Profile(t.Context(), blob, [2]float64{-430, 100}, [2]float64{430, -200}, 200)
	if err != nil {
		t.Fatal(err)
	}
	got := data[struct {
		Gap  float64    `json:"largest_gap_um"`
		S    []float64  `json:"s_mm"`
		Z    []*float64 `json:"z_um"`
		Edge []*float64 `json:"edge_um"`
	}](t, own, "/piece/QH-1002/profile?from=-430,100&to=430,-200&n=200")
	if math.Abs(got.Gap/1000-p.Edge.GapMM) > 1e-4 || len(got.S) != 200 || len(got.Z) != 200 || len(got.Edge) != 200 {
		t.Errorf("a gap of %g µm, measured %g mm", got.Gap, p.Edge.GapMM)
	}
	words := tongue.In(tongue.English, tongue.Metric).Both(p.Edge.GapMM)
	if page := own.page(t, "/piece/QH-1002?x1=-430&y1=100&x2=430&y2=%E2%88%92200"); !strings.Contains(page, words) || !strings.Contains(page, `class="edge"`) {
		t.Errorf("the plain form does not say %s", words)
	}
	inches := url.Values{"x1": {"-16,929"}, "y1": {"3.937"}, "x2": {"16.929"}, "y2": {"-7.874"}}
	if page := own.page(t, "/piece/QH-1002?"+inches.Encode(), "en", "inch"); !strings.Contains(page, "("+tongue.In(tongue.English, tongue.Metric).Length(p.Edge.GapMM)) {
		t.Errorf("in inches the gap is another: %s", gapOf(page))
	}
}

func gapOf(page string) string { return regexp.MustCompile(`Largest gap[^<]*`).FindString(page) }

func thing(k book.Kind, id string) (book.Thing, any, error) {
	t, err := own.ledger.Thing(noContext, book.Ref{Kind: k, ID: id})
	if err != nil {
		return t, nil, err
	}
	state, err := book.StateOf(t)
	return t, state, err
}

// Readings that were held in two ways are two series and never joined.
func TestTwoSeriesStandApart(t *testing.T) {
	page := own.page(t, "/piece/"+twoWays)
	if n := strings.Count(page, "Held on "); n != 2 || !strings.Contains(page, "several series") {
		t.Errorf("%d series are shown", n)
	}
	page = own.page(t, "/piece/QH-1002")
	if n := strings.Count(page, "Held on "); n != 1 || strings.Count(page, `class="trend"`) != 4 || strings.Contains(page, "several series") {
		t.Errorf("QH-1002: %d series, %d charts", n, strings.Count(page, `class="trend"`))
	}
}

// A reading that something was done after says so, and an older one can be looked at.
func TestEveryReadingSaysWhatEndedIt(t *testing.T) {
	page := own.page(t, "/piece/QH-1002")
	if !strings.Contains(text(page), "no longer: drilled on") {
		t.Error("the first reading of QH-1002 was before it was drilled, and the page does not say so")
	}
	older := regexp.MustCompile(`/piece/QH-1002\?face=top&amp;reading=[0-9A-Z]+#map`).FindAllString(page, -1)
	seen := map[string]bool{}
	for _, path := range older {
		path = strings.TrimSuffix(strings.ReplaceAll(path, "&amp;", "&"), "#map")
		if seen[path] {
			continue
		}
		seen[path] = true
		own.page(t, path)
		data[chart](t, own, strings.Replace(path, "?", "/map?", 1)).whole(t, path)
	}
	if len(seen) != 2 {
		t.Errorf("%d readings of the playing face can be looked at", len(seen))
	}
}

// A piece's history begins in the quarry and does not tell what was done to the layer for other stone.
func TestHistoryFromTheQuarry(t *testing.T) {
	page := text(own.page(t, "/piece/QH-1002"))
	for _, want := range []string{"took in QH-L1", "lifted a block L1-01", "sliced into slabs L1-01", "cut into pieces L1-01-A", "shipped"} {
		if !strings.Contains(page, want) {
			t.Errorf("%q is not in the history", want)
		}
	}
	if strings.Count(page, "lifted a block") != 1 {
		t.Errorf("%d blocks were lifted in the history of one piece", strings.Count(page, "lifted a block"))
	}
	if page := text(own.page(t, "/set/QH-S105")); !strings.Contains(page, "drilled QH-1006") {
		t.Error("the history of the set does not say which piece was drilled")
	}
}

// The page of a set says of each limit what the judgement says.
func TestTheVerdictOnThePage(t *testing.T) {
	for _, c := range []struct {
		set, verdict string
		fixed        bool
	}{{"QH-S105", "conforms", true}, {"QH-S107", "cannot tell", true}, {"QH-S112", "cannot tell", false}} {
		b := bedOf(t, c.set)
		page := own.page(t, "/set/"+c.set)
		said := text(page)
		if b.Verdict.String() != c.verdict || strings.Count(page, `class="doubt"`) < len(b.Results)-1 {
			t.Errorf("%s: %s, %d intervals for %d limits", c.set, b.Verdict, strings.Count(page, `class="doubt"`), len(b.Results))
		}
		w := tongue.In(tongue.English, tongue.Metric)
		for _, r := range b.Results {
			if want := w.Both(r.Value); !r.AtLeast && !strings.Contains(page, want) {
				t.Errorf("%s: %s of %s is not on the page", c.set, want, r.Name)
			}
		}
		if ways := strings.Count(page, "judged so"); ways != 1 {
			t.Errorf("%s is judged in %d ways", c.set, ways)
		}
		if fixed := strings.Contains(said, "Holes are cut"); fixed != c.fixed {
			t.Errorf("%s: holes are cut %t, the page says %t", c.set, c.fixed, fixed)
		}
		if _, care, there := strings.Cut(page, `class="caution"`); !there || !strings.Contains(care, "kg") {
			t.Errorf("%s: no caution names the mass", c.set)
		}
	}
}

func bedOf(t *testing.T, set string) *measured.Bed {
	t.Helper()
	_, state, err := thing(book.KindSet, set)
	if err != nil {
		t.Fatal(err)
	}
	s := state.(*book.SetState)
	triple := measured.Triple{Demo: true}
	for i, id := range s.Pieces {
		_, state, err := thing(book.KindPiece, id)
		if err != nil {
			t.Fatal(err)
		}
		for _, r := range state.(*book.PieceState).Readings {
			if r.What == "top" && r.ExpiredBy == "" {
				triple.Faces[i] = r.Blob
			}
		}
	}
	if l := s.LayUps[len(s.LayUps)-1]; l.ExpiredBy == "" {
		triple.LayUp = l.Blob
	}
	b, err := own.rooms.Bed(t.Context(), triple)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// A parted set has no bed, and says why it was parted.
func TestAPartedSet(t *testing.T) {
	page := own.page(t, "/set/QH-S104")
	if !strings.Contains(page, "chipped at the joint") || strings.Contains(page, "data-facemap") {
		t.Error("a parted set is shown as a bed, or does not say why it was parted")
	}
}

// What reached a piece itself is told from what reached it through its set.
func TestWhereItCameFrom(t *testing.T) {
	page := text(own.page(t, "/trace/piece/QH-1002"))
	for _, want := range []string{"L1-01 28 May 2026", "QH-1011 through set QH-S103", "QH-G1 8 June 2026", "MB-2 22 September 2026", "QH-S103 Set Away"} {
		if !strings.Contains(page, want) {
			t.Errorf("%q is not on the page: %s", want, page)
		}
	}
}

// The pages of where a disc went hold every set and piece once, shipped sets first.
func TestWhereItWentPageByPage(t *testing.T) {
	count, err := own.ledger.AffectedCount(noContext, book.Ref{Kind: book.KindDisc, ID: "QH-G1"})
	if err != nil {
		t.Fatal(err)
	}
	all := count.Shipped + count.Sets + count.Pieces + count.Gone
	seen, pages := map[string]bool{}, 0
	next := regexp.MustCompile(`href="(/affected/disc/QH-G1\?after=[^"]*)"`)
	row := regexp.MustCompile(`<th scope="row"><a href="([^"]*)">`)
	for path := "/affected/disc/QH-G1"; path != ""; pages++ {
		page := own.page(t, path)
		for _, m := range row.FindAllStringSubmatch(page, -1) {
			if seen[m[1]] {
				t.Errorf("%s twice", m[1])
			}
			if len(seen) < count.Shipped && !strings.HasPrefix(m[1], "/set/") {
				t.Errorf("%s comes before the shipped sets", m[1])
			}
			seen[m[1]] = true
		}
		path = ""
		if m := next.FindStringSubmatch(page); m != nil {
			path = strings.ReplaceAll(m[1], "&amp;", "&")
		}
	}
	if len(seen) != all || pages < 2 {
		t.Errorf("%d of %d on %d pages", len(seen), all, pages)
	}
}

// The number with its doubt comes before the picture: of a piece its zone, of a set what decides.
func TestTheNumberComesBeforeThePicture(t *testing.T) {
	for path, want := range map[string]string{"/piece/QH-1002": "between", "/set/QH-S105": "this decides"} {
		page := own.page(t, path, "en", "mm")
		first, picture := strings.Index(page, `class="first-figure"`), strings.Index(page, "data-facemap")
		if first < 0 || picture < first || !strings.Contains(page[first:picture], want) || strings.Count(page, `class="first-figure"`) != 1 {
			t.Errorf("%s: the number at %d, the map at %d", path, first, picture)
		}
	}
}

// The doubt of a thickness is wider than what is shown of it: it must not read "between 25.8 and 25.8".
func TestAnIntervalHasTwoEnds(t *testing.T) {
	between := regexp.MustCompile(`between ([0-9.]+) mm and ([0-9.]+) mm`).FindAllStringSubmatch(text(own.page(t, "/set/QH-S105", "en", "mm")), -1)
	if len(between) < 5 {
		t.Fatalf("%d intervals", len(between))
	}
	for _, b := range between {
		if b[1] == b[2] {
			t.Errorf("%s", b[0])
		}
	}
}
