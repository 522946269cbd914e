package bedplan

import (
	"regexp"
	"strconv"
	"strings"
	"testing"

	"slatewright/bed"
	"slatewright/internal/tongue"
)

var (
	spots = regexp.MustCompile(`<circle cx="([0-9.]+)" cy="([0-9.]+)"`)
	words = regexp.MustCompile(`<text x="([0-9.]+)" y="([0-9.]+)" class="edge">([^<]*)</text>`)
)

func number(t *testing.T, text string) float64 {
	t.Helper()
	x, err := strconv.ParseFloat(text, 64)
	if err != nil {
		t.Fatal(err)
	}
	return x
}

// The head is at the left of the picture and the right edge of the bed on top, as on every map; a place lies on the side of its sign.
func TestPlacesLieOnTheSideOfTheirSign(t *testing.T) {
	w := tongue.In(tongue.English, tongue.Metric)
	drawn := string(Draw(w, bed.NineFoot(), []Place{{X: -1300, Y: 600, Words: "a<b"}, {X: 1300, Y: -600, Words: "c"}}, "t"))
	found := spots.FindAllStringSubmatch(drawn, -1)
	if len(found) != 2 {
		t.Fatalf("%d places: %s", len(found), drawn)
	}
	if number(t, found[0][1]) >= number(t, found[1][1]) || number(t, found[0][2]) >= number(t, found[1][2]) {
		t.Errorf("a place toward the head and the right lies at %v, one toward the foot and the left at %v", found[0], found[1])
	}
	for _, word := range words.FindAllStringSubmatch(drawn, -1) {
		if on := number(t, word[2]) < number(t, found[0][2]); on != (word[3] == "right") {
			t.Errorf("%q is written at %s", word[3], word[2])
		}
	}
	if strings.Contains(drawn, "a<b") || !strings.Contains(drawn, "a&lt;b") {
		t.Error("words are not escaped")
	}
	if head, foot := strings.Index(drawn, ">head</text>"), strings.Index(drawn, ">foot</text>"); head < 0 || foot < head {
		t.Errorf("head at %d, foot at %d", head, foot)
	}
}

// The middles of the pieces are a piece apart, the centre's in the middle of the bed.
func TestMiddles(t *testing.T) {
	spec := bed.NineFoot()
	x, _ := spec.PieceSize()
	for n, want := range []float64{-x, 0, x} {
		if got := Middle(spec, n); got != want {
			t.Errorf("piece %d at %v, want %v", n, got, want)
		}
	}
}
