package halfyear

import (
	"fmt"
	"strings"
	"time"

	"slatewright/face"
	"slatewright/internal/book"
	"slatewright/internal/rehearsal"
)

const notice = rehearsal.Notice

// blockCount is how many blocks are lifted, evenly over the half year.
const blockCount = 30

// Sizes of the stone on its way, mm, and its density, kg/m³. Common practice, no source.
const (
	slabThickness = 34
	density       = 2750
)

// The two layers that were opened.
var opened = rehearsal.Layers()[:2]

// piece is one piece on its way to a set.
type piece struct {
	number string
	layer  string
	stone  *rehearsal.Piece
	mark   book.Surface
	face   *face.Face // the playing face as it was read after surfacing; nil before
	ready  time.Time  // since when it may be matched; zero: not
	turned bool       // it lies turned by half a turn against how it was first read
}

// mass is the weight of stone of these measures in whole tenths of a kilogram.
func mass(length, width, thickness float64) float64 {
	return tenths(float64(float64(length*width)*thickness) * (density / 1e9))
}

func tenths(v float64) float64 { return float64(int(float64(v*10)+0.5)) / 10 }

// quarry opens the layers, and follows each block from the layer to its surfaced pieces.
func (m *mill) quarry() {
	for i, layer := range opened {
		e := m.errand(m.day(1).Add(time.Duration(i) * time.Hour))
		e.do(5, book.Quarry, &book.TakeIn{Thing: ref(book.KindLayer, layer), Layer: &book.LayerFacts{ThicknessMM: float64(1100 + 150*i), DensityKgM3: density}}, lead)
		m.survey(e, ref(book.KindLayer, layer), 2+i, float64(6400-800*i), atQuarry...)
	}
	days := int(m.until.Sub(m.from).Hours()) / 24
	for i := range blockCount {
		m.block(i, m.errand(m.day(3+i*(days-4)/(blockCount-1)))) // the last one yesterday
	}
}

// survey looks at a layer or a block and draws its cracks.
func (m *mill) survey(e *errand, thing book.Ref, cracks int, clear float64, by ...worker) *page {
	var b strings.Builder
	fmt.Fprintf(&b, "# %s\n# survey of %s\ncrack,from_x_mm,from_y_mm,to_x_mm,to_y_mm\n", notice, thing.ID)
	for i := range cracks {
		fmt.Fprintf(&b, "%d,%d,%d,%d,%d\n", i+1, m.between(0, 2000), m.between(0, 200), m.between(0, 2000), m.between(1200, 1600))
	}
	return e.do(40, book.Quarry, &book.Survey{Thing: thing, Instruments: []string{tape}, Cracks: cracks, ClearMM: clear, Blob: m.keep([]byte(b.String()))}, by...)
}

// Blocks that crack out, and the one whose rejection came late from the quarry.
var (
	crackedBlocks = map[int]bool{7: true, 17: true, 24: true}
	lateBlock     = 12
)

// block lifts a block, looks at it, and slices it unless it is cracked.
func (m *mill) block(i int, e *errand) {
	layer := opened[i%len(opened)]
	id := fmt.Sprintf("%s-%02d", layer[3:], i/len(opened)+1)
	thing := ref(book.KindBlock, id)
	length, width, height := 2000+float64(m.between(0, 40)), 1560+float64(m.between(0, 30)), float64(slabThickness*slabsOf(i)+m.between(10, 16))
	stone := book.StoneFacts{LengthMM: length, WidthMM: width, ThicknessMM: height, MassKg: mass(length, width, height)}
	e.do(90, book.Quarry, &book.Lift{Block: id, Layer: layer, Stone: stone}, atQuarry...)
	cracks := i % 3
	if crackedBlocks[i] {
		cracks = 6
	}
	looked := m.survey(e, thing, cracks, float64(1900-100*cracks), atQuarry...)
	if looked == nil {
		return
	}
	if crackedBlocks[i] {
		e.do(10, book.Quarry, &book.Reject{Thing: thing, Cause: "crack", Note: "two cracks run through at a third of the length"}, lead)
		return
	}
	e.do(15, book.Quarry, &book.Weigh{Thing: thing, Scale: crane, MassKg: stone.MassKg + float64(m.between(-8, 8))}, atQuarry...)
	weighed := e.at
	e.wait(m.between(1, 5))
	m.slice(i, id, e)
	if i == lateBlock {
		m.fromQuarryLate(thing, looked, weighed, e.at)
	}
}

// slabsOf is how many slabs a block makes.
func slabsOf(i int) int { return 2 + i%5/4 }

// slice saws the slabs of a block and goes on with each.
func (m *mill) slice(i int, block string, e *errand) {
	var slabs []book.NewStone
	for n := range slabsOf(i) {
		stone := book.StoneFacts{LengthMM: 1980, WidthMM: 1540, ThicknessMM: slabThickness, MassKg: mass(1980, 1540, slabThickness)}
		slabs = append(slabs, book.NewStone{ID: fmt.Sprintf("%s-%c", block, 'A'+n), Stone: stone})
	}
	if e.do(150, book.Saw, &book.Slice{Block: block, How: "sawn", Disc: discs["saw"], Slabs: slabs, Last: true}, atSaw...) == nil {
		return
	}
	for n, slab := range slabs {
		own := m.errand(e.at)
		if cause := badSlabs[i]; cause != "" && n == 1 {
			own.do(10, book.Saw, &book.Reject{Thing: ref(book.KindSlab, slab.ID), Cause: cause}, lead)
			continue
		}
		own.wait(m.between(1, 4))
		m.cut(i, slab.ID, own)
	}
}

// badSlabs are the second slabs that are not cut, by the count of blocks.
var badSlabs = map[int]string{1: "vein", 5: "crack", 11: "vein", 14: "thickness", 20: "crack"}

// cut makes pieces of a slab, one or two, and sends each on its way.
func (m *mill) cut(i int, slab string, e *errand) {
	var pieces []book.NewStone
	count := 2
	if last := string(rune('A' + slabsOf(i) - 1)); i%2 == 0 && strings.HasSuffix(slab, last) {
		count = 1 // what lies at the bottom of a block is often not wide enough
	}
	first := len(m.pieces)
	for n := range count {
		p := &piece{number: fmt.Sprintf("QH-%04d", 1001+first+n), layer: opened[i%len(opened)], mark: book.OnTop}
		stone := book.StoneFacts{LengthMM: rehearsal.SizeY, WidthMM: rehearsal.SizeX, ThicknessMM: slabThickness, MarkedOn: p.mark,
			MassKg: mass(rehearsal.SizeY, rehearsal.SizeX, slabThickness)}
		pieces = append(pieces, book.NewStone{ID: p.number, Stone: stone})
		m.pieces = append(m.pieces, p)
	}
	if e.do(40, book.Saw, &book.Cut{Slab: slab, Disc: discs["cut"], Pieces: pieces, Last: true}, atSaw...) == nil {
		m.pieces = m.pieces[:first]
		return
	}
	for n, p := range m.pieces[first:] {
		p.stone = m.truth.Take(p.number, p.layer)
		own := m.errand(e.at)
		own.wait(m.between(1, 4))
		m.surface(first+n, p, own)
	}
}
