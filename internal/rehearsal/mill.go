// Package rehearsal is Quern Hollow, a slate mill that does not exist: pieces whose true faces are known everywhere, and
// the readings that an honest hand with a dial would take from them.
//
// It feeds the demonstration, and it is the proof that decisions pay: what was decided from a few dozen readings can be
// held against the truth. Faces have bow, twist, grinding tracks, rolled-off edges, short-range roughness, now and then
// a chip or a ridge; pieces come from quarry layers with tendencies of their own; some are still wet, some are read with
// one face warmer than the other. The spreads are invented, chosen to be plausible for a careful mill.
//
// Everything is drawn from a seed, with + − × ÷ √ and whole numbers only, so a seed gives the same bytes on every
// machine. The package decides nothing and knows nothing of gravity: a true face here is the face as it lies on the bench.
// All it makes says that it is invented data, not a real certificate.
package rehearsal

import (
	"fmt"
	"math"
	"time"

	"slatewright/chance"
)

// Notice stands in everything that this package writes.
const Notice = "invented data, not a real certificate"

// DemoSeed is the seed of the demonstration: among its fifteen pieces one crowns far too much, one is close to the limit,
// one is wet and one was read warm, so every kind of verdict comes up.
const DemoSeed = 24

// MillName is the name of the mill that does not exist.
const MillName = "Quern Hollow"

// Size of every piece, mm: a third of a nine-foot bed along the table, sawn to the whole millimetre, by its width.
const (
	SizeX = 914.0
	SizeY = 1473.0
)

// spread is a normal distribution.
type spread struct{ mean, sigma float64 }

func (s spread) draw(from *chance.Stream) float64 { return s.mean + float64(s.sigma*from.Normal()) }

// between returns a draw that is equally likely anywhere from low to high.
func between(from *chance.Stream, low, high float64) float64 {
	return low + float64((high-low)*from.Float64())
}

// layer is one layer of the quarry, with the shapes that its stone tends to spring into, mm in the sense of the design:
// bow + for crown, twist + for (+,+) and (−,−) corners high.
type layer struct {
	name                       string
	bowAlong, bowAcross, twist spread
}

// The three layers of Quern Hollow: a quiet one, one that crowns across, and a restless one.
var layers = [...]layer{
	{"QH-L1", spread{0.00, 0.07}, spread{0.02, 0.08}, spread{0.00, 0.12}},
	{"QH-L2", spread{0.03, 0.08}, spread{0.10, 0.10}, spread{0.04, 0.15}},
	{"QH-L3", spread{-0.02, 0.10}, spread{-0.03, 0.15}, spread{0.10, 0.20}},
}

// Mill is Quern Hollow with the pieces that lie ready.
type Mill struct {
	Pieces []*Piece

	root  *chance.Stream
	bench second // error of the bench after its map, the same under every piece
}

// New returns the mill of a seed with n pieces, whose serials count up from QH-0101. A piece's face, thickness and
// readings depend on the seed and its serial alone; which pieces are wet or warm depends on n as well. It panics if n is
// negative or above 9000.
func New(seed uint64, n int) *Mill {
	if n < 0 || n > 9000 {
		panic(fmt.Sprintf("rehearsal: %d pieces", n))
	}
	root := chance.NewStream(seed)
	m := newMill(root)
	for i := range n {
		p := newPiece(root, fmt.Sprintf("QH-%04d", 101+i), layers[i%len(layers)])
		p.Read = time.Date(2026, time.November, 16+i/6, 0, 0, 0, 0, time.UTC) // six pieces a day
		m.Pieces = append(m.Pieces, p)
	}
	m.spoil(root.Split("conditions"))
	return m
}

// newMill is the mill of a root without pieces.
func newMill(root *chance.Stream) *Mill {
	bench := root.Split("bench")
	return &Mill{root: root, bench: second{
		along:  float64(benchSigma * bench.Normal()),
		across: float64(benchSigma * bench.Normal()),
		twist:  float64(benchSigma * bench.Normal()),
	}}
}

// Open returns the mill of a seed with no piece yet; Take adds them.
func Open(seed uint64) *Mill { return newMill(chance.NewStream(seed)) }

// Take adds a piece of that serial from one of the Layers. Its face, thickness and readings depend on the seed, its serial and its layer
// alone. Nothing spoils it: it is dry and equally warm. It panics on a layer that Quern Hollow does not have.
func (m *Mill) Take(serial, from string) *Piece {
	for _, l := range layers {
		if l.name == from {
			p := newPiece(m.root, serial, l)
			m.Pieces = append(m.Pieces, p)
			return p
		}
	}
	panic("rehearsal: no layer " + from)
}

// Layers lists the layers of the quarry.
func Layers() []string {
	names := make([]string, len(layers))
	for i, l := range layers {
		names[i] = l.name
	}
	return names
}

// spoil picks the pieces that are not fit to be certified: of each kind one in fifteen, to the nearest whole piece.
func (m *Mill) spoil(draw *chance.Stream) {
	order := make([]int, len(m.Pieces))
	for i := range order {
		j := draw.IntN(i + 1) // Fisher and Yates, inside out
		order[i], order[j] = order[j], i
	}
	each := (2*len(order) + 15) / 30
	for k, i := range order {
		switch {
		case k < each:
			m.Pieces[i].Wet = true
		case k < 2*each:
			m.Pieces[i].Warm = true
		}
	}
}

// Piece is one piece of slate, its truth known. Its lengths are mm in the piece frame.
type Piece struct {
	Serial string // QH-0101 and on
	Layer  string // the quarry layer it came from

	BowAlong, BowAcross, Twist float64 // of the true face, in the sense of the design

	Wet  bool // not dried: no dry_since can be stated
	Warm bool // read with the top face half a kelvin warmer than the bottom

	Read time.Time // the day of the readings

	face    surface
	wedge   [3]float64 // top face over the bench: height in the middle, slope along x, slope along y
	stone   float64    // thickness in the middle
	board   spread     // lining: mean is its thickness in the middle, sigma its change over half the piece
	drawing *chance.Stream
}

func newPiece(root *chance.Stream, serial string, from layer) *Piece {
	draw := root.Split(serial)
	shape := draw.Split("shape")
	p := &Piece{
		Serial:    serial,
		Layer:     from.name,
		BowAlong:  from.bowAlong.draw(shape),
		BowAcross: from.bowAcross.draw(shape),
		Twist:     from.twist.draw(shape),
		drawing:   draw,
	}
	p.face = newSurface(draw, second{p.BowAlong, p.BowAcross, p.Twist})
	body := draw.Split("body")
	p.wedge = [3]float64{between(body, -0.3, 0.3), spread{0, 6e-5}.draw(body), spread{0, 4e-5}.draw(body)}
	p.stone = spread{25.95, 0.10}.draw(body)
	p.board = spread{spread{19, 0.10}.draw(body), spread{0, 0.04}.draw(body)}
	return p
}

// True returns the height of the top face at x, y as the piece lies on the bench with both faces equally warm, over the
// plane in which the dial reads zero. Outside the piece it returns NaN.
func (p *Piece) True(x, y float64) float64 {
	if !(math.Abs(x) <= SizeX/2 && math.Abs(y) <= SizeY/2) {
		return math.NaN()
	}
	return p.lean(x, y) + p.face.at(x, y)
}

// lean is the part of the top face's height that is a plane: the stone is a little thicker at one end.
func (p *Piece) lean(x, y float64) float64 {
	return p.wedge[0] + float64(p.wedge[1]*x) + float64(p.wedge[2]*y)
}

// Thickness returns the true thickness of the stone at x, y: the wedge, and 0.4 of the top's shape (the bottom face
// follows the rest of it).
func (p *Piece) Thickness(x, y float64) float64 {
	return p.stone + (p.lean(x, y) - p.wedge[0]) + float64(0.4*p.face.at(x, y))
}

// Lined returns the true thickness of stone and lining together at x, y.
func (p *Piece) Lined(x, y float64) float64 {
	board := p.board.mean + float64(p.board.sigma*(x/(SizeX/2)))
	return p.Thickness(x, y) + board
}
