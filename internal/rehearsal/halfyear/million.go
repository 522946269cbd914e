package halfyear

import (
	"iter"
	"strconv"
	"time"

	"slatewright/chance"
	"slatewright/internal/book"
)

// Million is the first n entries of a large mill, in order, for trying how a book carries many acts: block after block becomes two sets, all
// at once in every station. Files are named by digests of nothing, and no shape or certificate is computed.
func Million(seed uint64, n int) iter.Seq[book.Submission] {
	return func(yield func(book.Submission) bool) {
		root := chance.NewStream(seed)
		w := &works{draw: root.Split("million"), ids: letters{root.Split("million entries")},
			pace: 1 + n/(actsPerBlock*blockDays), morning: opening}
		w.open()
		for {
			for _, p := range w.today() {
				if n--; n < 0 || !yield(p.submission()) {
					return
				}
			}
			w.nextDay()
		}
	}
}

// A block makes about this many acts; a million of them, or any other number, are done within about this many days.
const (
	actsPerBlock = 130
	blockDays    = 370
)

// opening is the first morning of the large mill.
var opening = time.Date(2025, time.January, 6, 7, 0, 0, 0, time.UTC)

// works is the large mill on one of its days.
type works struct {
	draw    *chance.Stream
	ids     letters
	pace    int // blocks a day
	day     int
	morning time.Time
	pages   []*page
}

// do writes an act of today down; its time comes when the day is over.
func (w *works) do(station book.Station, by worker, act book.Act) *page {
	p := &page{by: by, station: station, act: act}
	w.pages = append(w.pages, p)
	return p
}

// open writes down what a mill has before its first block.
func (w *works) open() {
	w.do(book.Office, lead, &book.Settle{Name: "Quern Hollow, large", Answers: answers(), Demo: true, Note: notice}).system = true
	for i, p := range crew() {
		w.do(book.Office, lead, &book.Appoint{Person: p.name, Role: p.role, Called: p.called}).system = i == 0
	}
	for _, g := range gauges {
		w.do(book.Office, lead, &book.TakeIn{Thing: g.ref(), Instrument: &book.InstrumentFacts{Sort: g.sort, UMM: g.u, IntervalDays: 365, CalibratedAt: &opening}})
	}
	for _, t := range []*book.TakeIn{
		{Thing: ref(book.KindLayer, opened[0]), Layer: &book.LayerFacts{ThicknessMM: 1100, DensityKgM3: density}},
		{Thing: ref(book.KindLayer, opened[1]), Layer: &book.LayerFacts{ThicknessMM: 1250, DensityKgM3: density}},
		{Thing: ref(book.KindRoom, room), Room: &book.RoomFacts{Places: 5000}},
		{Thing: ref(book.KindBoardBatch, boards[0].id), Batch: &book.BatchFacts{Sort: "MDF, moisture resistant", ThicknessMM: 19}},
		{Thing: ref(book.KindGlueBatch, glues[0].id), Batch: &book.BatchFacts{Sort: "PUR"}},
		{Thing: ref(book.KindDisc, discs["saw"]), Tool: &book.ToolFacts{DiameterMM: 1600}},
		{Thing: ref(book.KindDisc, discs["cut"]), Tool: &book.ToolFacts{DiameterMM: 1600}},
	} {
		w.do(book.Office, lead, t)
	}
	for _, use := range stages {
		w.do(book.Office, lead, &book.TakeIn{Thing: ref(book.KindDisc, discs[use]), Tool: &book.ToolFacts{DiameterMM: 400, Grit: grits[use], Bits: 24}})
	}
	for _, use := range append(stages, "drill") {
		w.do(book.Office, lead, &book.TakeIn{Thing: ref(book.KindBitSet, bits[use][0].id), Tool: &book.ToolFacts{Grit: grits[use], Bits: 24}})
	}
}

// calibrationDays is after how many working days every gauge is calibrated again.
const calibrationDays = 100

// today is what is done on this day, evenly over eight hours.
func (w *works) today() []*page {
	if w.day%calibrationDays == calibrationDays-1 {
		for _, g := range gauges {
			w.do(book.Bench, inspectors[0], &book.Calibrate{Thing: g.ref(), Good: true, Due: midnight(w.morning).AddDate(1, 0, 0)})
		}
	}
	for _, s := range timetable {
		first := (w.day - s.day) * w.pace
		if first < 0 {
			continue // no block has come so far yet
		}
		for c := range w.pace {
			s.work(newLot(w, first+c))
		}
	}
	gap := 8 * time.Hour / time.Duration(len(w.pages)+1)
	for i, p := range w.pages {
		p.at = w.morning.Add(time.Duration(i) * gap).Truncate(time.Millisecond)
		p.sent, p.id = p.at, w.ids.number(p.at)
	}
	return w.pages
}

// nextDay goes on to the next day from Monday to Friday.
func (w *works) nextDay() {
	w.pages = w.pages[:0]
	w.day++
	for w.morning = w.morning.AddDate(0, 0, 1); w.morning.Weekday() == time.Saturday || w.morning.Weekday() == time.Sunday; {
		w.morning = w.morning.AddDate(0, 0, 1)
	}
}

// lot is one block and what becomes of it: two slabs, six pieces and one that is rejected, two sets.
type lot struct {
	*works
	count  int
	block  string
	slabs  [2]string
	pieces [7]string
	sets   [2]string
}

const (
	piecesOfSet = 3
	piecesMade  = 6 // without the one that is rejected
)

func newLot(w *works, count int) *lot {
	l := &lot{works: w, count: count, block: "B" + strconv.Itoa(1000+count)}
	for i := range l.slabs {
		l.slabs[i] = l.block + "-" + string(rune('A'+i))
		l.sets[i] = "S" + strconv.Itoa(1000+2*count+i)
	}
	for i := range l.pieces {
		l.pieces[i] = "P" + strconv.Itoa(10000+7*count+i)
	}
	return l
}

// file is the digest of a file that does not exist.
func (l *lot) file() string {
	const hex = "0123456789abcdef"
	name := make([]byte, 64)
	for i := 0; i < len(name); i += 16 {
		for j, u := 0, l.draw.Uint64(); j < 16; j, u = j+1, u>>4 {
			name[i+j] = hex[u&15]
		}
	}
	return string(name)
}

// either is the first or the second of two workers, by the count of the lot.
func (l *lot) either(of []worker) worker { return of[l.count%len(of)] }

// timetable says on which working day after a block was lifted what is done with it. 23 working days in the room are 31 days.
var timetable = []struct {
	day  int
	work func(*lot)
}{
	{0, (*lot).lift}, {1, (*lot).slice}, {2, (*lot).cut}, {3, (*lot).surface}, {4, (*lot).gauge}, {5, (*lot).match}, {6, (*lot).drill}, {7, (*lot).enter},
	{14, (*lot).weigh}, {21, (*lot).weigh}, {30, (*lot).leave}, {31, (*lot).glue}, {33, (*lot).ream}, {34, (*lot).finish}, {35, (*lot).last}, {36, (*lot).certify},
	{37, (*lot).pack}, {39, (*lot).ship}, {80, (*lot).complain},
}
