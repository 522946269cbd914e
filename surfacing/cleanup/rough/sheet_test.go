package rough

import (
	"errors"
	"math"
	"strings"
	"testing"

	"slatewright/sheet"
	"slatewright/trouble"
)

const list = `# size: 914 x 1473 mm
# margin: 30 mm
# strip: 0.05 mm
slab,head left,head right,foot left,foot right,top left along,top head left diagonal,bottom foot across
R-1,31.2,31.0,30.9,31.4,+0.30,0.25 crown,-0.1
R-2,31.2,31.0,30.9,31.4,0.30 hollow,−0.25,
`

func given(t *testing.T, text string) (*List, error) {
	t.Helper()
	s, err := sheet.Read("rough.csv", strings.NewReader(text))
	if err != nil {
		return nil, err
	}
	return Read(s)
}

func TestRead(t *testing.T) {
	l, err := given(t, list)
	if err != nil {
		t.Fatal(err)
	}
	if len(l.Slabs) != 2 || l.SizeX != 914 || l.Margin != 30 || l.Slabs[0].Strip != 0.05 || l.Slabs[0].Corners != [4]float64{31.2, 31, 30.9, 31.4} {
		t.Fatalf("%+v", l)
	}
	a, b := l.Slabs[0], l.Slabs[1]
	if a.Top[0] != 0.3 || a.Top[6] != -0.25 || a.Bottom[5] != -0.1 || b.Top[0] != 0.3 || b.Top[6] != -0.25 || b.Bottom[5] == b.Bottom[5] || a.Top[1] == a.Top[1] {
		t.Errorf("%v\n%v", a, b)
	}
	for code, change := range map[string][2]string{
		"no-sense":      {"+0.30", "0.30"},
		"bad-gap":       {"0.25 crown", "large crown"},
		"bad-thickness": {"31.2", "3.12"},
		"no-size":       {"# size: 914 x 1473 mm\n", ""},
		"bad-title":     {"top left along", "top south along"},
		"columns":       {",foot right,", ",top right along,"},
	} {
		_, err := given(t, strings.Replace(list, change[0], change[1], 1))
		var told *trouble.Trouble
		if !errors.As(err, &told) || told.Code != code {
			t.Errorf("%s: %v", code, err)
		}
	}
}

func FuzzRead(f *testing.F) {
	f.Add(list)
	f.Fuzz(func(t *testing.T, text string) {
		l, err := given(t, text)
		if err != nil {
			return
		}
		for _, s := range l.Slabs {
			for _, g := range append(s.Top[:], s.Bottom[:]...) {
				if math.Abs(float64(g)) > 20 {
					t.Fatalf("a gap of %g", g)
				}
			}
		}
	})
}
