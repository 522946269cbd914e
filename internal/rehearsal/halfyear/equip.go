package halfyear

import (
	"fmt"
	"time"

	"slatewright/internal/book"
)

// What the mill measures with. Numbers of instruments that stand in readings files are those of package rehearsal.
const (
	spareDial  = "QH-D1"
	dial       = "QH-D2"
	stepGauge  = "QH-D5"
	caliper    = "QH-C1"
	tape       = "QH-T1"
	floorScale = "QH-W1"
	crane      = "QH-W2"
	meter      = "QH-M1"
	otherMeter = "QH-M2"
	bench      = "QH-B1"
	setBench   = "QH-B2"
	room       = "QH-R1"
)

var hygrometers = [...]string{"QH-H1", "QH-H2"}

// gauge is an instrument or bench: how long a calibration holds, how many days before the beginning it was last calibrated and when,
// in days after the beginning, it is calibrated again; 0: not within the half year.
type gauge struct {
	id, sort             string
	u                    float64
	interval, old, again int
}

// The spare dial runs out before the end and nobody has calibrated it; the first moisture meter was calibrated after its day, and the second
// one used meanwhile. The others keep their days, with room for a closed fortnight.
var gauges = []gauge{
	{spareDial, "dial", 0.005, 180, 20, 0},
	{dial, "dial", 0.005, 180, 100, 60},
	{stepGauge, "dial", 0.005, 365, 90, 0},
	{caliper, "caliper", 0.01, 365, 120, 0},
	{tape, "tape", 0.5, 365, 150, 0},
	{"QH-F1", "straightedge", 0.01, 365, 60, 0},
	{floorScale, "scale", 0, 365, 45, 0},
	{crane, "scale", 0, 365, 45, 0},
	{hygrometers[0], "hygrometer", 0, 365, 80, 0},
	{hygrometers[1], "hygrometer", 0, 365, 80, 0},
	{meter, "moisture-meter", 0, 120, 10, 121},
	{otherMeter, "moisture-meter", 0, 365, 10, 0},
	{bench, "bench", 0.004, 180, 60, 95},
	{setBench, "bench", 0.004, 365, 30, 0},
}

func (g gauge) ref() book.Ref {
	if g.sort == "bench" {
		return book.Ref{Kind: book.KindBench, ID: g.id}
	}
	return book.Ref{Kind: book.KindInstrument, ID: g.id}
}

// batch is a delivery of boards, glue or bits, by the day after the beginning on which it came.
type batch struct {
	id  string
	day int
}

var (
	boards = []batch{{"MB-1", 1}, {"MB-2", 60}, {"MB-3", 120}}
	glues  = []batch{{"PU-1", 1}, {"PU-2", 70}, {"PU-3", 130}}
	epoxy  = batch{"EP-1", 1}
	// Bits wear; each stage gets a new set on the way.
	bits = map[string][]batch{
		"rough": {{"BS-R1", 0}, {"BS-R2", 55}, {"BS-R3", 110}}, "middle": {{"BS-M1", 0}, {"BS-M2", 85}}, "fine": {{"BS-F1", 0}, {"BS-F2", 100}},
		"drill": {{"BS-D1", 0}, {"BS-D2", 90}},
	}
	stages = []string{"rough", "middle", "fine"}
	grits  = map[string]string{"rough": "30/40", "middle": "80/100", "fine": "200/230", "drill": "core, 40/50"}
	discs  = map[string]string{"rough": "QH-G1", "middle": "QH-G2", "fine": "QH-G3", "saw": "QH-SD1", "cut": "QH-SD2"}
)

// order is an order of nine-foot sets, by the day after the beginning on which it came.
type order struct {
	id        string
	day, sets int
}

var orders = []order{{"QH-O1", 3, 3}, {"QH-O2", 40, 3}, {"QH-O3", 90, 4}, {"QH-O4", 150, 2}}

// latest is the last of the batches that has lain in the mill for a week, as boards must before they are glued.
func (m *mill) latest(of []batch, at time.Time) string {
	id := of[0].id
	for _, b := range of {
		if m.day(b.day + 7).Before(at) {
			id = b.id
		}
	}
	return id
}

// meterFor is the moisture meter that is in use: the second one around the time when the first one's calibration had run out.
func (m *mill) meterFor(at time.Time) string {
	if at.After(m.day(105)) && at.Before(m.day(140)) {
		return otherMeter
	}
	return meter
}

// equip takes in what the mill works with: first what is there, then what comes.
func (m *mill) equip() {
	e := m.errand(m.day(0).Add(time.Hour))
	for _, g := range gauges {
		at := midnight(m.from).AddDate(0, 0, -g.old).Add(10 * time.Hour)
		e.do(3, book.Office, &book.TakeIn{Thing: g.ref(), Instrument: &book.InstrumentFacts{Sort: g.sort, UMM: g.u, IntervalDays: g.interval, CalibratedAt: &at}}, lead)
		if g.again > 0 {
			m.calibrate(g)
		}
	}
	e.do(3, book.Office, &book.TakeIn{Thing: ref(book.KindRoom, room), Room: &book.RoomFacts{Places: 120}}, lead)
	for _, use := range []string{"rough", "middle", "fine", "saw", "cut"} {
		facts := &book.ToolFacts{DiameterMM: 400, Grit: grits[use], Bits: 24}
		if use == "saw" || use == "cut" {
			facts = &book.ToolFacts{DiameterMM: 1600}
		}
		e.do(2, book.Office, &book.TakeIn{Thing: ref(book.KindDisc, discs[use]), Tool: facts}, lead)
	}
	m.deliver()
}

// calibrate has a gauge calibrated again.
func (m *mill) calibrate(g gauge) {
	e := m.errand(m.day(g.again))
	off := 0.0
	if g.u > 0 {
		off = float64(m.between(-3, 3)) / 1000
	}
	sheet := fmt.Sprintf("# %s\n# calibration of %s on %s\ngauge,error_mm\n%s,%.3f\n", notice, g.id, e.at.Format(time.DateOnly), g.id, off)
	e.do(45, book.Bench, &book.Calibrate{Thing: g.ref(), Good: true, ErrorMM: off, Due: midnight(e.at).AddDate(0, 0, g.interval),
		Blob: m.keep([]byte(sheet)), By: "against the mill's master, by reversal"}, inspectors[0])
}

// deliver takes in batches, bits and orders as they come.
func (m *mill) deliver() {
	for _, use := range append(stages, "drill") {
		for _, b := range bits[use] {
			m.takeIn(b.day, &book.TakeIn{Thing: ref(book.KindBitSet, b.id), Tool: &book.ToolFacts{Grit: grits[use], Bits: 24}})
		}
	}
	for _, b := range boards {
		facts := &book.BatchFacts{Sort: "MDF, moisture resistant", ThicknessMM: 19, MoisturePercent: float64(m.between(70, 80)) / 10}
		e := m.takeIn(b.day, &book.TakeIn{Thing: ref(book.KindBoardBatch, b.id), Batch: facts})
		e.wait(3)
		moist := float64(m.between(70, 80)) / 10
		e.do(10, book.Lining, &book.Read{Thing: ref(book.KindBoardBatch, b.id), What: "moisture", Instruments: []string{m.meterFor(e.at)}, Value: &moist, Unit: "%"}, inspectors[1])
	}
	for _, b := range glues {
		m.takeIn(b.day, &book.TakeIn{Thing: ref(book.KindGlueBatch, b.id), Batch: &book.BatchFacts{Sort: "PUR", UseBefore: m.in(b.day + 200)}})
	}
	m.takeIn(epoxy.day, &book.TakeIn{Thing: ref(book.KindGlueBatch, epoxy.id), Batch: &book.BatchFacts{Sort: "epoxy", UseBefore: m.in(300)}})
	for _, o := range orders {
		m.takeIn(o.day, &book.TakeIn{Thing: ref(book.KindOrder, o.id), Order: &book.OrderFacts{Size: "9 ft", Sets: o.sets, Due: midnight(m.day(o.day + 120))}})
	}
}

func (m *mill) takeIn(day int, act *book.TakeIn) *errand {
	e := m.errand(m.day(day).Add(2 * time.Hour))
	e.do(4, book.Office, act, lead)
	return e
}

func (m *mill) in(days int) *time.Time {
	t := midnight(m.day(days))
	return &t
}

func ref(kind book.Kind, id string) book.Ref { return book.Ref{Kind: kind, ID: id} }

// logClimate reads the room's air on every working morning.
func (m *mill) logClimate() {
	for n := 1; m.day(n).Before(m.until); n++ {
		if closed(m.day(n)) {
			continue
		}
		e := m.errand(m.day(n))
		air, wet := float64(m.between(190, 210))/10, float64(m.between(470, 540))/10
		e.do(5, book.Room, &book.Read{Thing: ref(book.KindRoom, room), What: "climate", Instruments: []string{hygrometers[n/7%2]},
			Value: &air, Unit: "C", HumidityPercent: &wet}, atLining...)
	}
}
