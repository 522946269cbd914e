package certificate

import (
	"bytes"
	"flag"
	"math"
	"os"
	"slices"
	"strings"
	"testing"

	"slatewright/face"
)

var update = flag.Bool("update", false, "write testdata/certificate.json anew")

const golden = "testdata/certificate.json"

// The whole certificate of an invented set, byte for byte: make cross runs this for each processor, so the bytes are the
// same on all of them. After a change that is meant (the words of a warning, a new figure) write it anew with
// go test ./certificate -run Golden -update, and look at what changed.
func TestGoldenCertificate(t *testing.T) {
	in := invented()
	in.LayUp = readLayUp(t, inventedLayUp)
	got := written(t, sealedBy(t, composed(t, in), testKey(t, true)))
	if *update {
		if err := os.WriteFile(golden, []byte(got), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(golden)
	if err != nil {
		t.Fatal(err)
	}
	if got != string(want) {
		a, b := strings.Split(got, "\n"), strings.Split(string(want), "\n")
		for i := range min(len(a), len(b)) {
			if a[i] != b[i] {
				t.Fatalf("line %d is\n%s\nand was\n%s", i+1, a[i], b[i])
			}
		}
		t.Fatalf("%d lines, and there were %d", len(a), len(b))
	}
}

func TestGoldenCertificateHolds(t *testing.T) {
	text, err := os.ReadFile(golden)
	if err != nil {
		t.Fatal(err)
	}
	key := testKey(t, true).Public()
	r, err := Check{Program: invented().Program, Key: &key}.Verify(golden, text)
	if err != nil {
		t.Fatal(err)
	}
	if !r.OK() || !r.KeyKnown || !r.Demo || r.Verdict != "conforms" || r.Set != "QH-S-0042" || len(r.Differences) != 0 {
		t.Errorf("%+v", r)
	}
	if r.KeyID != key.ID() || !strings.HasPrefix(r.KeyID, "demo-") {
		t.Errorf("signed by %s", r.KeyID)
	}
	if said := strings.Join(r.Warnings, "\n"); !strings.Contains(said, Invented) {
		t.Errorf("the check does not say that the data are invented: %q", said)
	}
}

// Mail may change line ends, strip or add space at line ends, and indent: none of it matters.
func TestCertificateSurvivesMail(t *testing.T) {
	text, err := os.ReadFile(golden)
	if err != nil {
		t.Fatal(err)
	}
	for i, line := range strings.Split(string(text), "\n") {
		if len(line) > 998 { // RFC 5322, section 2.1.1
			t.Errorf("line %d has %d bytes", i+1, len(line))
		}
	}
	for _, change := range []string{"\r\n", "\n\t", " \n  ", "\n\n"} {
		again, err := Parse(golden, bytes.ReplaceAll(text, []byte("\n"), []byte(change)))
		if err != nil {
			t.Fatal(err)
		}
		if written(t, again) != string(text) {
			t.Errorf("with %q for a line end it is another certificate", change)
		}
	}
}

// What is sealed follows from what was given, and from nothing else.
func TestRecomputeKeepsNothing(t *testing.T) {
	b := composed(t, invented())
	want, err := b.Canonical()
	if err != nil {
		t.Fatal(err)
	}
	bare := b
	bare.Found = Found{Verdict: "conforms", Warnings: List[string]{"none"}}
	again, err := Recompute(bare)
	if err != nil {
		t.Fatal(err)
	}
	got, err := again.Canonical()
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(got, want) {
		t.Error("found anew, the body is another")
	}
}

// With a largest zone it is the other question, and it is asked again in the same way.
func TestOtherQuestion(t *testing.T) {
	in := invented()
	in.MaxZone, in.AnyPlace = 0.2, true
	b := composed(t, in)
	if q := b.Given.Question; q != (Question{MaxZone: 200000, AnyPlace: true}) {
		t.Errorf("asked %+v", q)
	}
	if s := b.Found.Seating; s.ZoneBound != 0 || s.StepBound <= 0 || s.Tried != 24 || !strings.Contains(b.Found.Method[0], "no larger than 0.2 mm") {
		t.Errorf("zone bound %s, step bound %s, %d arrangements; %s", s.ZoneBound, s.StepBound, s.Tried, b.Found.Method[0])
	}
	if r := check(t, written(t, sealedBy(t, b, testKey(t, true)))); !r.OK() {
		t.Errorf("%+v", r)
	}
	first := composed(t, invented())
	if q, s := first.Given.Question, first.Found.Seating; q != (Question{MaxStep: 127000}) || s.ZoneBound <= 0 || s.ZoneBound > s.Zone || s.StepBound != 0 || s.Tried != 8 {
		t.Errorf("asked %+v, zone %s with bound %s, %d arrangements", q, s.Zone, s.ZoneBound, s.Tried)
	}
}

// What is summed up of a piece is what stands in its readings.
func TestPiecesAreSummedUp(t *testing.T) {
	b := composed(t, invented())
	for i, p := range b.Found.Pieces {
		th := p.Thickness
		// 914.333… x 1473 mm of 25.625 mm at 2790 kg/m³ and of 19 mm at 720.8 kg/m³
		if p.Piece != []string{"QH-0401", "QH-0402", "QH-0403"}[i] || p.Reading != i || p.Points != 72 || th.Points != 8 || *th.Least != 25500000 ||
			*th.Mean != 25625000 || *p.Mass != 114734 || *p.TempTop != 20100 || *p.TempBottom != 20200 || !p.TempEach || p.U != 5000 {
			t.Errorf("%+v, least %s, mean %s, mass %s", p, th.Least, th.Mean, p.Mass)
		}
	}
	in := invented()
	in.Faces[1].Thickness, in.Faces[1].TempTop, in.Faces[1].TempBottom = nil, nil, nil
	if p := composed(t, in).Found.Pieces[1]; p.Thickness != (Thickness{}) || p.Mass != nil || p.TempTop != nil || p.TempEach {
		t.Errorf("%+v", p)
	}
}

func TestDemoAndMillKeysDoNotMix(t *testing.T) {
	b := composed(t, invented())
	if _, err := SealBody(b, testKey(t, false)); err == nil {
		t.Error("a mill's key signed invented data")
	}
	real := b
	real.Mark = ""
	if _, err := SealBody(real, testKey(t, true)); err == nil {
		t.Error("a demo key signed what does not say that it is invented")
	}
	c := sealedBy(t, real, testKey(t, false))
	r, err := Check{}.Verify("c.json", []byte(written(t, c)))
	if err != nil || !r.OK() || r.Demo || r.KeyKnown || strings.HasPrefix(r.KeyID, "demo") {
		t.Errorf("%+v, %v", r, err)
	}
	if said := strings.Join(r.Warnings, "\n"); !strings.Contains(said, "which you must know by other means") {
		t.Errorf("the check does not say that the key is not known: %q", said)
	}
	unjudged := b
	unjudged.Found = Found{}
	if _, err := SealBody(unjudged, testKey(t, true)); err == nil {
		t.Error("a body without a verdict was signed")
	}
}

func TestAnotherKeyIsSeen(t *testing.T) {
	other, err := NewKey(strings.NewReader("another key of thirty-two bytes!"), true)
	if err != nil {
		t.Fatal(err)
	}
	want := other.Public()
	r, err := Check{Program: invented().Program, Key: &want}.Verify("c.json", []byte(written(t, sealedBy(t, composed(t, invented()), testKey(t, true)))))
	if err != nil || r.SignatureOK || r.KeyKnown || !r.DigestOK || !r.RecomputedOK || len(r.Differences) != 1 || r.Differences[0].Field != "seal.key_id" {
		t.Errorf("%+v, %v", r, err)
	}
}

func TestInputIsChecked(t *testing.T) {
	other := readLayUp(t, strings.Replace(inventedLayUp, "QH-0402", "QH-0499", 1))
	for _, c := range []struct {
		want   string
		change func(*Input)
	}{
		{"is no date", func(in *Input) { in.Issued = "25.11.2026" }},
		{"three faces are needed", func(in *Input) { in.Faces[2] = nil }},
		{"a control character", func(in *Input) { in.Set = "a\nb" }},
		{"not UTF-8", func(in *Input) { in.Mill = "Gr\xfcn" }},
		{"3 draws are too few", func(in *Input) { in.Draws = 3 }},
		{"1001 draws are more than", func(in *Input) { in.Draws = MostDraws + 1 }},
		{"not a number that can be sealed", func(in *Input) { in.Spec.Density = math.NaN() }},
		{"limits.step", func(in *Input) { in.Spec.Limits.Step = 0 }},
		{"does not say how the piece was supported", func(in *Input) { in.Faces[0].Support = face.Support{} }},
		{"QH-0402.csv: the size of the piece is not given", func(in *Input) { in.Faces[1].SizeX, in.Faces[1].SizeY = 0, 0 }},
		{"what the pieces lay on", func(in *Input) { in.LayUp = &LayUp{} }},
		{`the centre of the lay-up is "QH-0499"`, func(in *Input) { in.LayUp = other }},
	} {
		in := invented()
		c.change(&in)
		b, err := Compose(in)
		if err == nil {
			_, err = SealBody(b, testKey(t, true))
		}
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("want an error with %q, got %v", c.want, err)
		}
	}
}

// A warning of the first reading travels with the readings, without the folders of the mill's machine, and is said once.
func TestWarningsTravel(t *testing.T) {
	in := invented()
	f, err := face.ReadCSV("/home/mill/x/head.csv", strings.NewReader("# colour: grey\n# piece: A\nx,y,z\n0,0,0\n100,0,\n0,100,0\n100,100,0\n"))
	if err != nil {
		t.Fatal(err)
	}
	r, err := sealReading(f)
	if err != nil {
		t.Fatal(err)
	}
	if len(f.Warnings) < 2 {
		t.Fatalf("an unknown key and a gap gave the warnings %q", f.Warnings)
	}
	again, err := r.Face()
	if err != nil {
		t.Fatal(err)
	}
	for i, w := range again.Warnings {
		if want := strings.Replace(f.Warnings[i], "/home/mill/x/", "", 1); w != want || strings.Contains(w, "/") {
			t.Errorf("warning %d is %q, and was %q", i+1, w, f.Warnings[i])
		}
	}
	if len(again.Warnings) != len(f.Warnings) {
		t.Errorf("read again it has the warnings %q", again.Warnings)
	}
	in.Faces[0].Warnings = []string{in.Faces[0].Name + ":7: the pencil was blunt"}
	if b := composed(t, in); !slices.Contains(b.Found.Warnings, "QH-0401.csv:7: the pencil was blunt") {
		t.Errorf("the warnings are %q", b.Found.Warnings)
	}
}

func TestReadingsMustBeCanonical(t *testing.T) {
	r, err := sealReading(invented().Faces[0])
	if err != nil {
		t.Fatal(err)
	}
	for _, change := range []func(List[string]) List[string]{
		func(l List[string]) List[string] { l[len(l)-1] += " "; return l },
		func(l List[string]) List[string] { return append(l, "") },
		func(l List[string]) List[string] { return append(List[string]{"# unit: in"}, l...) },
		func(l List[string]) List[string] { l[0], l[1] = l[1], l[0]; return l },
		func(l List[string]) List[string] { return nil },
	} {
		other := r
		other.CSV = change(slices.Clone(r.CSV))
		if _, err := other.Face(); err == nil {
			t.Errorf("read, though it begins %q", other.CSV[:min(3, len(other.CSV))])
		}
	}
}

// What the command line answers with: other programs read these names.
func TestReportIsTheContract(t *testing.T) {
	text, err := encode(Report{})
	if err != nil {
		t.Fatal(err)
	}
	const want = `{"set":"","verdict":"","demo":false,"signature_ok":false,"digest_ok":false,"recomputed_ok":false,"key_id":"","key_known":false,` +
		`"differences":[],"warnings":[]}`
	if string(text) != want {
		t.Errorf("got %s", text)
	}
	for _, r := range []Report{{SignatureOK: true, DigestOK: true}, {SignatureOK: true, RecomputedOK: true}, {DigestOK: true, RecomputedOK: true}} {
		if r.OK() {
			t.Errorf("%+v holds", r)
		}
	}
	if !(Report{SignatureOK: true, DigestOK: true, RecomputedOK: true}).OK() {
		t.Error("it does not hold when all three do")
	}
}

// A scan of a hundred thousand points goes in and comes out whole.
func TestLargeReadingsComeBack(t *testing.T) {
	f := &face.Face{Header: face.Header{Name: "scan.ply", Piece: "S", SizeX: 914, SizeY: 1473, Side: face.Top}}
	n := 100000
	if testing.Short() {
		n = 2000
	}
	for i := range n {
		f.X, f.Y, f.Z = append(f.X, float64(i%400)*2-399), append(f.Y, float64(i/400)*5-600), append(f.Z, float64(i*7919%1000)/10000)
	}
	r, err := sealReading(f)
	if err != nil {
		t.Fatal(err)
	}
	c := Certificate{Body: Body{Format: Format, Version: Version, Given: Given{Readings: List[Reading]{r, r, r}}}}
	again, err := Parse("c.json", []byte(written(t, c)))
	if err != nil {
		t.Fatal(err)
	}
	got, err := again.Body.Given.Readings[2].Face()
	if err != nil {
		t.Fatal(err)
	}
	if !slices.Equal(got.X, f.X) || !slices.Equal(got.Y, f.Y) || !slices.Equal(got.Z, f.Z) {
		t.Error("the readings came back otherwise")
	}
}
