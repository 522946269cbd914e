package ink

import (
	"strings"
	"testing"
)

// half is half a circle that turns left as it is seen: from the right over the top to the left.
var half = Curve{C: []Corner{{Point{X: 30, Y: 20}, 1}, {Point{X: 10, Y: 20}, 0}}}

func TestArcsTurnAsTheyAreSeen(t *testing.T) {
	s := NewSVG()
	s.Curves([]Curve{half}, Pen{Width: 0.2})
	if got := s.body.String(); !strings.Contains(got, `d="M30 20A10 10 0 0 0 20 10A10 10 0 0 0 10 20"`) {
		t.Errorf("not over the top: %s", got)
	}
	s = NewSVG()
	s.Curves([]Curve{{C: []Corner{{Point{X: 30, Y: 20}, -0.2}, {Point{X: 10, Y: 20}, 0}}, Closed: true}, {}}, Pen{Width: 0.2, Dash: []float64{1, 0.5}, Round: true})
	if got := s.body.String(); !strings.Contains(got, `d="M30 20A26 26 0 0 1 10 20L30 20Z"`) || !strings.Contains(got, `stroke-dasharray="1 0.5"`) {
		t.Errorf("to the right, back by a straight line, dashed: %s", got)
	}
	s = NewSVG()
	s.Circle(Point{X: 1.23456, Y: 2}, 3, Pen{Width: 0.2}, "E1 <a>")
	if got := s.body.String(); !strings.Contains(got, `cx="1.2346" cy="2" r="3"`) || !strings.Contains(got, "<title>E1 &lt;a&gt;</title>") {
		t.Error(got)
	}
}

// Pages of several sizes, what lies outside a window hidden: the document is sound and has each page in its size.
func TestPagesOfSeveralSizes(t *testing.T) {
	p := NewPDF(210, 297, Title{Name: "probe"}, nil)
	for _, size := range [][2]float64{{297, 420}, {420, 297}, {210, 297}} {
		p.PageOf(size[0], size[1])
		p.Within(10, 10, 100, 100, func() {
			p.Curves([]Curve{half}, Pen{Width: 0.2})
			p.Circle(Point{X: 60, Y: 60}, 20, Pen{Width: 0.2}, "")
		})
		p.Text(Point{X: 20, Y: 200}, "after", words)
	}
	var b strings.Builder
	if err := p.Write(&b); err != nil {
		t.Fatal(err)
	}
	path := save(t, []byte(b.String()), "sizes.pdf")
	tool(t, "qpdf", "qpdf", "--check", path)
	info := tool(t, "pdfinfo", "poppler-utils", "-f", "1", "-l", "3", path)
	for _, want := range []string{"841.89 x 1190.55", "1190.55 x 841.89", "595.28 x 841.89"} {
		if !strings.Contains(info, want) {
			t.Errorf("no page of %s:\n%s", want, info)
		}
	}
}
