package certificate

import (
	"bytes"
	"errors"
	"slices"
	"strings"
	"testing"

	"slatewright/face"
	"slatewright/trouble"
)

// One piece of stone is not three.
func TestOneStoneIsNotThree(t *testing.T) {
	for name, c := range map[string]struct {
		change func(*Input)
		says   string
	}{
		"one file three times": {func(in *Input) { in.Faces[1], in.Faces[2] = in.Faces[0], in.Faces[0] }, `readings of the piece "QH-0401"`},
		"one mark twice":       {func(in *Input) { in.Faces[2].Piece = "QH-0402" }, `QH-0402.csv, QH-0403.csv: both are readings of the piece "QH-0402"`},
		"a copy with another mark": {func(in *Input) {
			f := *in.Faces[0]
			f.Piece, f.Name, f.Instrument = "QH-0499", "copy.csv", "another gauge"
			in.Faces[2] = &f
		}, "QH-0401.csv, copy.csv: both hold the very same readings"},
		"copies without any mark": {func(in *Input) {
			f := *in.Faces[1]
			f.Piece = ""
			in.Faces[1].Piece, in.Faces[2] = "", &f
		}, "the very same readings"},
	} {
		in := invented()
		c.change(&in)
		_, err := Compose(in)
		var is *trouble.Trouble
		if !errors.As(err, &is) || is.Kind != trouble.KindData || is.Code != "same-piece" || is.Next == "" || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: %v", name, err)
		}
	}
	in := invented()
	for _, f := range in.Faces {
		f.Piece = ""
	}
	if b := composed(t, in); b.Found.Verdict != "conforms" {
		t.Errorf("three pieces without marks: %s", b.Found.Verdict)
	}
}

// Nor in a certificate that somebody signed all the same.
func TestOneStoneInACertificate(t *testing.T) {
	b := composed(t, invented())
	b.Given.Readings = slices.Clone(b.Given.Readings)
	b.Given.Readings[2] = b.Given.Readings[0]
	r := check(t, written(t, sealedBy(t, b, testKey(t, true))))
	if r.RecomputedOK || !r.SignatureOK || len(r.Differences) != 1 || !strings.Contains(r.Differences[0].Recomputed, "readings of the piece") {
		t.Errorf("%+v", r)
	}
}

// remark puts a line into the header of a face.
func remark(f *face.Face, key, value string) {
	f.Other = append(f.Other, face.KeyValue{Key: key, Value: value})
}

// Readings, or a lay-up, that say of themselves that they are invented mark the body, and no mill's key signs it: not with the
// mark, and not when it was taken off.
func TestInventedDataMarkTheBody(t *testing.T) {
	for name, change := range map[string]func(*Input){
		"a remark of one face": func(in *Input) { remark(in.Faces[1], "", Invented) },
		"in capitals":          func(in *Input) { remark(in.Faces[0], "", "INVENTED data, not a real certificate!") },
		"behind a key":         func(in *Input) { remark(in.Faces[2], "note", Invented) },
		"the lay-up": func(in *Input) {
			in.LayUp = readLayUp(t, inventedLayUp)
		},
	} {
		in := invented()
		in.Demo = false
		change(&in)
		b := composed(t, in)
		if b.Mark != Invented {
			t.Errorf("%s: the mark is %q", name, b.Mark)
		}
		bare := b
		bare.Mark = ""
		for _, b := range []Body{b, bare} {
			_, err := SealBody(b, testKey(t, false))
			var is *trouble.Trouble
			if !errors.As(err, &is) || is.Code != "wrong-key" || !strings.Contains(is.What, Invented) || !strings.Contains(is.Next, "keygen --demo") {
				t.Errorf("%s, marked %q: a mill's key signed it, or: %v", name, b.Mark, err)
			}
		}
		if r := check(t, written(t, sealedBy(t, b, testKey(t, true)))); !r.OK() || !r.Demo {
			t.Errorf("%s: %+v", name, r)
		}
		// With a key of their own people sign anything; the check sees what the readings say.
		forged := forge(t, bare, testKey(t, false))
		if r := check(t, written(t, forged)); !r.SignatureOK || r.RecomputedOK || !r.Demo || !slices.Contains(names(r), "mark") {
			t.Errorf("%s, forged: %+v", name, r)
		}
	}
	in := invented()
	in.Demo = false
	remark(in.Faces[0], "", "not a real dial but a transducer")
	b := composed(t, in)
	if b.Mark != "" {
		t.Errorf("real readings are marked %q", b.Mark)
	}
	if r := check(t, written(t, sealedBy(t, b, testKey(t, false)))); !r.OK() || r.Demo {
		t.Errorf("%+v", r)
	}
}

// forge signs a body that SealBody refuses.
func forge(t *testing.T, b Body, k Key) Certificate {
	t.Helper()
	digest, err := b.Digest()
	if err != nil {
		t.Fatal(err)
	}
	c := Certificate{Body: b, Seal: Seal{Scheme: Scheme1, Digest: digest}}
	c.Seal.sign(k)
	return c
}

// Whatever a certificate holds, checking it ends: each of these, of about 200 kB, kept earlier programs busy for minutes or
// had them read beyond a list. None of them may hold.
func TestHostileCertificatesAreChecked(t *testing.T) {
	if testing.Short() {
		t.Skip("long, and the same on every processor")
	}
	for name, change := range map[string]func(*testing.T, *Body){
		"10 x 10 m, 2400 readings a face": func(t *testing.T, b *Body) {
			for i := range b.Given.Readings {
				b.Given.Readings[i] = scattered(t, b.Given.Readings[i], 10000, 2400)
			}
		},
		"20000 draws": func(t *testing.T, b *Body) { b.Given.Simulation.Draws = 20000 },
		"pieces within their own edge band": func(t *testing.T, b *Body) {
			b.Given.Spec.Size, b.Given.Spec.EdgeBand = Position{6000000000, 6000000000}, 490000000
			for i := range b.Given.Readings {
				b.Given.Readings[i] = scattered(t, b.Given.Readings[i], 900, 500)
			}
		},
		"joint rows only": func(t *testing.T, b *Body) {
			for i, r := range b.Given.Readings {
				b.Given.Readings[i].CSV = slices.DeleteFunc(slices.Clone(r.CSV), func(line string) bool {
					return !strings.HasPrefix(line, "#") && !strings.Contains(line, "joint") && !strings.Contains(line, "row")
				})
			}
		},
	} {
		b := composed(t, invented())
		b.Given.Readings = slices.Clone(b.Given.Readings)
		change(t, &b)
		text := written(t, sealedBy(t, b, testKey(t, true)))
		if r := check(t, text); r.RecomputedOK || len(r.Differences) == 0 {
			t.Errorf("%s: %+v", name, r)
		} else {
			t.Logf("%s: %d kB; %s: %.200s", name, len(text)>>10, r.Differences[0].Field, r.Differences[0].Recomputed)
		}
	}
}

// scattered is the reading of a square face with so many places that are on no grid.
func scattered(t *testing.T, r Reading, size float64, n int) Reading {
	t.Helper()
	f, err := face.ReadCSV(r.Name, bytes.NewReader(r.text()))
	if err != nil {
		t.Fatal(err)
	}
	f.SizeX, f.SizeY, f.X, f.Y, f.Z, f.Row, f.Thickness, f.Lined = size, size, nil, nil, nil, nil, nil, nil
	seed := uint64(len(r.Name)) + 1000*uint64(r.Name[6])
	part := func() float64 {
		seed = seed*6364136223846793005 + 1442695040888963407
		return float64(seed>>33)/float64(1<<31) - 0.5
	}
	for range n {
		f.X, f.Y, f.Z = append(f.X, float64(int(size*part()))), append(f.Y, float64(int(size*part()))), append(f.Z, float64(int(200*part()))/1000)
	}
	out, err := sealReading(f)
	if err != nil {
		t.Fatal(err)
	}
	return out
}
