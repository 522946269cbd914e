package halfyear

import "slatewright/internal/book"

// worker is a person of the mill, who is called by what they do.
type worker struct {
	name   string
	role   book.Role
	called string
}

// The people of Quern Hollow.
var (
	lead        = worker{"lead", book.Lead, "lead of the mill"}
	inspectors  = []worker{{"inspector-1", book.Inspector, "first inspector"}, {"inspector-2", book.Inspector, "second inspector"}}
	atQuarry    = []worker{{"quarry-1", book.Hand, "first hand at the quarry"}, {"quarry-2", book.Hand, "second hand at the quarry"}}
	atSaw       = []worker{{"saw-1", book.Hand, "first hand at the saw"}, {"saw-2", book.Hand, "second hand at the saw"}}
	atSurfacing = []worker{{"surfacing-1", book.Hand, "first hand at the surfacing machines"}, {"surfacing-2", book.Hand, "second hand at the surfacing machines"}}
	atDrilling  = []worker{{"drilling-1", book.Hand, "hand at the drill"}}
	atLining    = []worker{{"lining-1", book.Hand, "hand at the lining and the room"}}
	atBench     = []worker{{"bench-1", book.Hand, "hand at the bench"}}
	atShipping  = []worker{{"shipping-1", book.Hand, "hand at the crates"}}
	visitor     = worker{"visitor-1", book.Visitor, "visitor of a buyer"}
)

// crew lists everybody, the lead first.
func crew() []worker {
	all := []worker{lead}
	for _, w := range [][]worker{inspectors, atQuarry, atSaw, atSurfacing, atDrilling, atLining, atBench, atShipping, {visitor}} {
		all = append(all, w...)
	}
	return all
}

// answers are what the mill says of itself.
func answers() map[string]string {
	return map[string]string{"flatness-state": "laid", "lining-layout": "full", "surfacing": "before the room", "supports": "bench"}
}

// engage opens the book: the mill settles its answers and appoints its people, who have no hours before that.
func (m *mill) engage() {
	for _, w := range crew() {
		m.diaries[w.name] = &diary{}
	}
	e := m.errand(m.from)
	settled := e.do(10, book.Office, &book.Settle{Name: "Quern Hollow", Answers: answers(), Demo: true, Note: notice}, lead)
	settled.system = true
	for i, w := range crew() {
		p := e.do(2, book.Office, &book.Appoint{Person: w.name, Role: w.role, Called: w.called}, lead)
		p.system = i == 0
	}
}
