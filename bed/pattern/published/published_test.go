package published

import (
	"math"
	"testing"

	"slatewright/internal/truth"
)

func figure(t *testing.T, table map[string]truth.TournamentFigure, item string) float64 {
	t.Helper()
	f, ok := table[item]
	if !ok {
		t.Fatalf("the published table has no %q", item)
	}
	if f.Unit == "deg" {
		return f.Value * math.Pi / 180
	}
	return f.Value
}

func rules(t *testing.T, name string) Rules {
	t.Helper()
	r, ok := Find(name)
	if !ok || r.Source == "" || r.Title == "" {
		t.Fatalf("no rules %s, or without source", name)
	}
	return r
}

func same(t *testing.T, what string, got, want float64) {
	t.Helper()
	if math.Abs(got-want) > 1e-9 {
		t.Errorf("%s: %v, published is %v", what, got, want)
	}
}

// Sources: see internal/truth, Tournament and TableFigures.
func TestPoolRulesAreThePublishedOnes(t *testing.T) {
	text, pockets := truth.Tournament(), truth.TableFigures("wpa")
	for name, size := range map[string]string{"wpa-9ft": "9 ft", "wpa-8ft": "8 ft"} {
		r := rules(t, name)
		length, width, more := figure(t, text, size+" playing surface length"), figure(t, text, size+" playing surface width"), figure(t, text, "playing surface tolerance")
		same(t, name+" length", r.FieldX.Low, length)
		same(t, name+" length", r.FieldX.High, length+more)
		same(t, name+" width", r.FieldY.Low, width)
		same(t, name+" width", r.FieldY.High, width+more)
		same(t, name+" thickness", r.ThicknessMin, figure(t, text, "slate thickness min"))
		same(t, name+" pieces", float64(r.Pieces), figure(t, text, "pieces in a tournament set"))
		same(t, name+" lengthwise", r.Lengthwise, figure(t, text, "overall flatness lengthwise (plus)"))
		same(t, name+" across", r.Across, figure(t, text, "overall flatness across width (plus)"))
		same(t, name+" step", r.Step, figure(t, text, "slate joints in one plane within, after levelling and shimming"))
		off := figure(t, pockets, "horizontal cut angle tolerance")
		for place, o := range map[string]Opening{"corner": r.Corner, "side": r.Side} {
			same(t, place+" mouth", o.Mouth.Low, figure(t, pockets, place+" pocket mouth min"))
			same(t, place+" mouth", o.Mouth.High, figure(t, pockets, place+" pocket mouth max"))
			same(t, place+" shelf", o.Shelf.Low, figure(t, pockets, place+" shelf depth min"))
			same(t, place+" shelf", o.Shelf.High, figure(t, pockets, place+" shelf depth max"))
			same(t, place+" cut", o.Cut.Low, figure(t, pockets, place+" pocket horizontal cut angle")-off)
			same(t, place+" cut", o.Cut.High, figure(t, pockets, place+" pocket horizontal cut angle")+off)
			same(t, place+" draft", o.Draft.Low, figure(t, pockets, "vertical pocket angle (back draft) min"))
			same(t, place+" draft", o.Draft.High, figure(t, pockets, "vertical pocket angle max"))
		}
	}
}

func TestOtherRulesAreThePublishedOnes(t *testing.T) {
	field := func(name string, length, width, offX, offY float64) {
		r := rules(t, name)
		same(t, name+" length", r.FieldX.Low, length-offX)
		same(t, name+" length", r.FieldX.High, length+offX)
		same(t, name+" width", r.FieldY.Low, width-offY)
		same(t, name+" width", r.FieldY.High, width+offY)
	}
	dbu := truth.TableFigures("dbu")
	for name, size := range map[string]string{"dbu-9ft": "9 ft", "dbu-8ft": "8 ft"} {
		l, w, share := figure(t, dbu, size+" playing surface length"), figure(t, dbu, size+" playing surface width"), figure(t, dbu, "playing surface tolerance")/100
		field(name, l, w, l*share, w*share)
	}
	umb := truth.TableFigures("umb")
	off := figure(t, umb, "playing surface tolerance plus-or-minus")
	field("umb-carom", figure(t, umb, "playing surface length"), figure(t, umb, "playing surface width"), off, off)
	same(t, "umb-carom thickness", rules(t, "umb-carom").ThicknessMin, figure(t, umb, "slate thickness min"))
	snooker := truth.TableFigures("wpbsa")
	off = figure(t, snooker, "playing area tolerance plus-or-minus")
	field("wpbsa-12ft", figure(t, snooker, "playing area length"), figure(t, snooker, "playing area width"), off, off)
}

func TestNamesAreDistinct(t *testing.T) {
	seen := map[string]bool{}
	for _, name := range Names() {
		if seen[name] {
			t.Errorf("two rules are called %s", name)
		}
		seen[name] = true
	}
	if _, ok := Find(""); ok || len(seen) < 6 {
		t.Errorf("%d rules, and one without a name: %v", len(seen), ok)
	}
}
