package certificate

import (
	"strings"
	"testing"

	"slatewright/bed"
	"slatewright/face"
)

// inventedFace is a face of whole micrometres: bow along and across, twist and a scatter of ±2 µm, read on a grid of nine by
// six and along both joint edges. Whole numbers only, so that it is the same on every machine.
func inventedFace(piece string, along, across, twist int64, seed uint64) *face.Face {
	const hx, hy = 457, 736
	top, bottom := 20.1, 20.2
	f := &face.Face{Header: face.Header{
		Name: "mill/" + piece + ".csv", Piece: piece, SizeX: 914, SizeY: 1473, Side: face.Top,
		Support:    face.Support{Kind: face.SupportBench, Text: "bench"},
		Instrument: "dial indicator 7 on bench 2", U: 0.005, TempTop: &top, TempBottom: &bottom,
		DrySince: "2026-10-02", Date: "2026-11-20",
	}}
	for i, at := range [][2]float64{{-380, -520}, {-380, 0}, {-380, 520}, {380, -520}, {380, 0}, {380, 520}, {0, -650}, {0, 650}} {
		f.Thickness = append(f.Thickness, face.Thickness{X: at[0], Y: at[1], T: 25.75 - 0.25*float64(i%2)})
		f.Lined = append(f.Lined, face.Thickness{X: at[0], Y: at[1], T: 44.7 - 0.25*float64(i%2)})
	}
	read := func(x, y int64, row face.Row) {
		seed = seed*6364136223846793005 + 1442695040888963407
		z := along*(hx*hx-x*x)/(hx*hx) + across*(hy*hy-y*y)/(hy*hy) + twist*x*y/(hx*hy) + int64(seed>>33)%5 - 2
		f.X, f.Y, f.Z, f.Row = append(f.X, float64(x)), append(f.Y, float64(y)), append(f.Z, float64(z)/1000), append(f.Row, row)
	}
	for i := range int64(6) {
		for j := range int64(9) {
			read(-430+172*i, -700+175*j, face.NoRow)
		}
	}
	for j := range int64(9) {
		read(447, -700+175*j, face.JointPlus)
	}
	for j := range int64(9) {
		read(-447, -700+175*j, face.JointMinus)
	}
	return f
}

// invented is the set that the tests certify. Few draws: what they find is not the point here.
func invented() Input {
	in := Input{
		Program: "slatewright 0 (test)", Demo: true, Mill: "Quern Hollow", Set: "QH-S-0042", DateCode: "26-329", Issued: "2026-11-25",
		Spec: bed.NineFoot(), Seed: 42, Draws: 50,
	}
	for i, f := range []*face.Face{
		inventedFace("QH-0401", 30, 40, 12, 1), inventedFace("QH-0402", 22, 51, -9, 2), inventedFace("QH-0403", -8, 44, 15, 3),
	} {
		in.Faces[i] = f
	}
	return in
}

const inventedLayUp = `# invented data, not a real certificate
# pieces: QH-0401, QH-0402, QH-0403
# unit: mm
# support: bench, shimmed as on the card
# instrument: step gauge 3
# u: 0.005 mm
# date: 2026-11-24
joint,y_mm,step_mm
head-centre,-660,-0.006
head-centre,-330,0.002
head-centre,0,0.004
head-centre,330,-0.003
head-centre,660,0.001
centre-foot,660,0.001
centre-foot,330,-0.002
centre-foot,0,0.004
centre-foot,-330,0.006
centre-foot,-660,-0.001
`

func readLayUp(t testing.TB, text string) *LayUp {
	t.Helper()
	l, err := ReadLayUp("mill/lay-up.csv", strings.NewReader(text))
	if err != nil {
		t.Fatal(err)
	}
	return &l
}

func composed(t testing.TB, in Input) Body {
	t.Helper()
	b, err := Compose(in)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func sealedBy(t testing.TB, b Body, k Key) Certificate {
	t.Helper()
	c, err := SealBody(b, k)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

func written(t testing.TB, c Certificate) string {
	t.Helper()
	text, err := c.Text()
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}
