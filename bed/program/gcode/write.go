package gcode

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"slatewright/bed/pattern/shape"
	"slatewright/bed/program/machine"
)

// Writer writes a program for a control. Every motion has its word, and every number its decimal point: a control may take a number without one in its
// smallest unit.
type Writer struct {
	control machine.Control
	text    strings.Builder
	lines   int
	number  int
	at      Place
	known   bool
	feed    float64
}

// NewWriter begins a program.
func NewWriter(c machine.Control) *Writer { return &Writer{control: c} }

// Bytes is the text so far.
func (w *Writer) Bytes() []byte { return []byte(w.text.String()) }

// Lines is how many lines are written.
func (w *Writer) Lines() int { return w.lines }

// At is where the tool stands, as written.
func (w *Writer) At() Place { return w.at }

func (w *Writer) put(line string) {
	w.text.WriteString(line)
	w.text.WriteByte('\n')
	w.lines++
}

// Raw writes a line of the machine file as it stands.
func (w *Writer) Raw(line string) { w.put(line) }

// widest is the longest comment that every control takes.
const widest = 68

// Comment writes a remark, in capitals without brackets, on as many lines as it needs.
func (w *Writer) Comment(text string) {
	text = strings.Map(func(c rune) rune {
		switch {
		case c == '(' || c == ')':
			return -1
		case c < ' ' || c > '~':
			return '?'
		}
		return c
	}, strings.ToUpper(text))
	line := ""
	for _, f := range strings.Fields(text) {
		if line != "" && len(line)+1+len(f) > widest {
			w.put("(" + line + ")")
			line = ""
		}
		line = strings.TrimSpace(line + " " + f)
	}
	w.put("(" + line + ")")
}

// Words writes a numbered line of words.
func (w *Writer) Words(words ...string) {
	line := strings.Join(words, " ")
	if step := w.control.Numbers; step > 0 {
		w.number += step
		line = fmt.Sprintf("N%d %s", w.number, line)
	}
	w.put(line)
}

// round is a place as it is written.
func (w *Writer) round(v float64) float64 {
	by := math.Pow(10, float64(w.control.Places))
	return math.Round(v*by)/by + 0
}

// Number writes a value with its decimal point.
func (w *Writer) Number(v float64) string {
	s := strconv.FormatFloat(w.round(v), 'f', w.control.Places, 64)
	s = strings.TrimRight(s, "0")
	if strings.HasSuffix(s, ".") {
		s += "0"
	}
	return s
}

func (w *Writer) word(letter string, v float64) string { return letter + w.Number(v) }

// rounded is a place as the control will know it.
func (w *Writer) rounded(p Place) Place { return Place{w.round(p.X), w.round(p.Y), w.round(p.Z)} }

// axes writes the words of the axes that change.
func (w *Writer) axes(to Place) (words []string) {
	for _, a := range []struct {
		letter    string
		from, now float64
	}{{"X", w.at.X, to.X}, {"Y", w.at.Y, to.Y}, {"Z", w.at.Z, to.Z}} {
		if !w.known || a.from != a.now {
			words = append(words, w.word(a.letter, a.now))
		}
	}
	return words
}

// Begin brings a tool whose place is not known to one that is, by two rapid moves: up, then over.
func (w *Writer) Begin(to Place) {
	to = w.rounded(to)
	w.Words("G0", w.word("Z", to.Z))
	w.Words("G0", w.word("X", to.X), w.word("Y", to.Y))
	w.at, w.known = to, true
}

// Anew makes the next move give its feed again.
func (w *Writer) Anew() { w.feed = 0 }

// Rapid moves as fast as the machine can. A move to where the tool stands is left out.
func (w *Writer) Rapid(to Place) {
	to = w.rounded(to)
	if words := w.axes(to); len(words) > 0 {
		w.Words(append([]string{"G0"}, words...)...)
	}
	w.at = to
}

// fed adds the feed where it changes.
func (w *Writer) fed(words []string, feed float64) []string {
	feed = math.Round(feed*10) / 10
	if feed != w.feed {
		w.feed = feed
		words = append(words, "F"+strconv.FormatFloat(feed, 'f', 1, 64))
	}
	return words
}

// Cut moves along a line or an arc at a feed, ending at height z.
func (w *Writer) Cut(way shape.Segment, z, feed float64) {
	to := w.rounded(Place{way.To.X, way.To.Y, z})
	words := w.axes(to)
	if len(words) == 0 {
		return
	}
	motion := "G1"
	if way.Radius > 0 && (to.X != w.at.X || to.Y != w.at.Y) {
		motion = "G3"
		if way.Sweep < 0 {
			motion = "G2"
		}
		words = append(words, w.word("I", way.Centre.X-w.at.X), w.word("J", way.Centre.Y-w.at.Y))
	}
	w.Words(w.fed(append([]string{motion}, words...), feed)...)
	w.at = to
}

// Down moves straight up or down at a feed.
func (w *Writer) Down(z, feed float64) {
	to := w.rounded(Place{w.at.X, w.at.Y, z})
	if to != w.at {
		w.Words(w.fed([]string{"G1", w.word("Z", to.Z)}, feed)...)
	}
	w.at = to
}

// Hole drills by a canned cycle where the tool stands: to depth z from height top, lifted each step where step is not 0, and back to where it stood.
func (w *Writer) Hole(z, top, step, feed float64) {
	words := []string{"G98", "G81", w.word("X", w.at.X), w.word("Y", w.at.Y), w.word("Z", z), w.word("R", top)}
	if step > 0 {
		words[1] = "G83"
		words = append(words, w.word("Q", step))
	}
	w.Words(w.fed(words, feed)...)
	w.Words("G80")
}
