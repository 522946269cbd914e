package rehearsal

import (
	"math"
	"time"

	"slatewright/bed"
	"slatewright/chance"
	"slatewright/face"
	"slatewright/measure"
)

// What the readings are worth, mm.
const (
	readingSigma = 0.005 // one dial reading; stated in the file as "# u:"
	benchSigma   = 0.004 // each second-order term of the bench's error, the same under all pieces
	caliperSigma = 0.010 // one caliper reading
)

// Where a piece is read.
const (
	gridX, gridY = 6, 9 // readings along and across the table
	edgeBand     = 20.0 // the outermost readings of the grid lie on its border
	rowFromArris = 10.0 // the joint rows lie this far from the arris
)

// warmBy is how much warmer the top face of a warm piece is, in tenths of a kelvin.
const warmBy = 5

// expansion of slate per kelvin, and the thickness with which its effect is computed. Source: a stored data sheet of a
// North American slate.
const expansion, nominalThickness = 11.2e-6, 25.4

// stations returns n places from −reach to +reach, marked out to a tenth of a millimetre and symmetric.
func stations(n int, reach float64) []float64 {
	at := make([]float64, n)
	for i := range at {
		at[i] = rounded(reach*float64(2*i-n+1)/float64(n-1), 10)
	}
	return at
}

// rounded returns the nearest multiple of 1/per to v, halves away from zero.
func rounded(v float64, per int) float64 {
	n := math.Round(v * float64(per))
	if n == 0 {
		return 0 // not −0
	}
	return n / float64(per)
}

// Readings returns what a hand with a dial reads from the piece: the grid, then a row along each joint edge, with the
// header that an honest hand writes. Each call gives the same readings.
func (m *Mill) Readings(p *Piece) *face.Face { return m.ReadingsOn(p, "readings") }

// ReadingsOn returns what is read on one of several occasions: the same face with other small errors of the hand. The same occasion
// gives the same readings.
func (m *Mill) ReadingsOn(p *Piece, occasion string) *face.Face {
	draw := p.drawing.Split(occasion)
	f := &face.Face{Header: p.header(draw.Split("header"))}
	bend := thermal(*f.TempTop - *f.TempBottom)
	noise := draw.Split("noise")
	take := func(x, y float64, row face.Row) {
		z := p.True(x, y) + bend.at(x, y) + m.bench.at(x, y) + float64(readingSigma*noise.Normal())
		f.X, f.Y, f.Z = append(f.X, x), append(f.Y, y), append(f.Z, rounded(z, 1000))
		f.Row = append(f.Row, row)
	}
	across := stations(gridY, SizeY/2-edgeBand)
	for _, x := range stations(gridX, SizeX/2-edgeBand) {
		for _, y := range across {
			take(x, y, face.NoRow)
		}
	}
	for _, row := range [2]face.Row{face.JointMinus, face.JointPlus} {
		x := SizeX/2 - rowFromArris
		if row == face.JointMinus {
			x = -x
		}
		for _, y := range across {
			take(x, y, row)
		}
	}
	return f
}

// thermal returns the crown of a piece whose top face is warmer than the bottom by kelvin: α·ΔT·L²/(8h) each way.
func thermal(kelvin float64) second {
	curvature := expansion * kelvin / nominalThickness
	return second{along: curvature * SizeX * SizeX / 8, across: curvature * SizeY * SizeY / 8}
}

func (p *Piece) header(draw *chance.Stream) face.Header {
	h := face.Header{
		Name:       p.Serial + ".csv",
		Piece:      p.Serial,
		Unit:       measure.MM,
		SizeX:      SizeX,
		SizeY:      SizeY,
		Side:       face.Top,
		Support:    face.Support{Kind: face.SupportBench, Text: "bench"},
		Instrument: "dial QH-D2, 0.001 mm, over bench QH-B1 with its map subtracted",
		U:          readingSigma,
		Date:       p.Read.Format(time.DateOnly),
		Other:      []face.KeyValue{{Value: Notice + " (layer " + p.Layer + " of " + MillName + ", a mill that does not exist)"}},
	}
	bottom := 198 + draw.IntN(5) // tenths of a degree
	top := bottom + draw.IntN(3) - 1
	if p.Warm {
		top = bottom + warmBy
	}
	h.TempTop, h.TempBottom = tenths(top), tenths(bottom)
	if days := 24 + draw.IntN(20); !p.Wet {
		h.DrySince = p.Read.AddDate(0, 0, -days).Format(time.DateOnly)
	}
	for _, at := range caliperPlaces() {
		stone := p.Thickness(at[0], at[1]) + float64(caliperSigma*draw.Normal())
		lined := p.Lined(at[0], at[1]) + float64(caliperSigma*draw.Normal())
		h.Thickness = append(h.Thickness, face.Thickness{X: at[0], Y: at[1], T: rounded(stone, 100)})
		h.Lined = append(h.Lined, face.Thickness{X: at[0], Y: at[1], T: rounded(lined, 100)})
	}
	return h
}

func tenths(n int) *float64 {
	v := float64(n) / 10
	return &v
}

// caliperPlaces lists where thickness is read: over the supports of a nine-foot bed, and near the middle of the two ends.
func caliperPlaces() [][2]float64 {
	supports := bed.NineFoot().Supports[bed.Centre]
	return append(supports, [2]float64{0, -640}, [2]float64{0, 640})
}

// Scan returns the truth on a square grid of that pitch in mm, centred and as close to the edges as it goes, without
// noise, rounding or header beyond the size. It panics if the pitch is not above 1 mm and below 200 mm.
func (p *Piece) Scan(pitch float64) *face.Face {
	if !(pitch >= 1 && pitch <= 200) {
		panic("rehearsal: a scan needs a pitch of 1 to 200 mm")
	}
	f := &face.Face{Header: face.Header{
		Name: p.Serial + " (true)", Piece: p.Serial, SizeX: SizeX, SizeY: SizeY, Side: face.Top,
		Instrument: "none: the invented truth itself",
		Other:      []face.KeyValue{{Value: Notice}},
	}}
	nx, ny := int(math.Floor(SizeX/pitch)), int(math.Floor(SizeY/pitch)) // gaps between readings
	for i := range nx + 1 {
		x := pitch / 2 * float64(2*i-nx)
		for j := range ny + 1 {
			y := pitch / 2 * float64(2*j-ny)
			f.X, f.Y, f.Z = append(f.X, x), append(f.Y, y), append(f.Z, p.True(x, y))
		}
	}
	return f
}
