package halfyear

import (
	"slices"
	"time"

	"slatewright/bed"
	"slatewright/certificate"
	"slatewright/chance"
	"slatewright/internal/book"
	"slatewright/internal/rehearsal"
)

// mill is Quern Hollow while its half year is planned.
type mill struct {
	from, until time.Time
	program     string
	seed        uint64
	draw        *chance.Stream
	ids         letters
	key         certificate.Key
	spec        bed.Spec
	truth       *rehearsal.Mill
	diaries     map[string]*diary

	pages  []*page
	files  map[string][]byte // by their digest
	pieces []*piece          // in the order of their numbers
}

// tell plans the half year, each part in the hours that those before it have left.
func (m *mill) tell() error {
	m.engage()
	m.equip()
	m.quarry()
	if err := m.makeSets(); err != nil {
		return err
	}
	m.logClimate()
	return nil
}

// day is the first moment of the working day n days, by the calendar, after the beginning.
func (m *mill) day(n int) time.Time { return m.from.AddDate(0, 0, n).Add(shifts[0].from) }

// before is the first moment of the working day n days, by the calendar, before the end.
func (m *mill) before(n int) time.Time {
	return midnight(m.until).AddDate(0, 0, -n).Add(shifts[0].from)
}

// keep keeps a file and returns the digest that an act names it by.
func (m *mill) keep(text []byte) string {
	name := digest(text)
	m.files[name] = text
	return name
}

// named are the files that the entries name, in the order in which they do. A file of an act that the half year had no time for is left out.
func (m *mill) named() (list [][]byte) {
	taken := map[string]bool{"": true}
	for _, p := range m.pages {
		if name := blobOf(p.act); !taken[name] {
			taken[name] = true
			list = append(list, m.files[name])
		}
	}
	return list
}

// blobOf is the file that an act names, "" when it names none.
func blobOf(act book.Act) string {
	switch a := act.(type) {
	case *book.Survey:
		return a.Blob
	case *book.Read:
		return a.Blob
	case *book.LayUp:
		return a.Blob
	case *book.Judge:
		return a.Blob
	case *book.Certify:
		return a.Blob
	case *book.Calibrate:
		return a.Blob
	}
	return ""
}

// between draws a whole number from low to high.
func (m *mill) between(low, high int) int { return low + m.draw.IntN(high-low+1) }

// errand is a run of acts, each done as soon as its person has time after the one before. It is over when the half year is.
type errand struct {
	m    *mill
	at   time.Time
	over bool
}

func (m *mill) errand(from time.Time) *errand { return &errand{m: m, at: from} }

// do has the first of the workers who is free do an act that takes about so many minutes. It returns nil when the half year ends before.
func (e *errand) do(minutes int, station book.Station, act book.Act, any ...worker) *page {
	if e.over {
		return nil
	}
	length := time.Duration(minutes)*time.Minute + time.Duration(e.m.draw.IntN(minutes*20_000)-minutes*8_000)*time.Millisecond
	by, done := e.m.soonest(e.at, length, any)
	if done.After(e.m.until) {
		e.over = true
		return nil
	}
	e.at = done
	p := &page{id: e.m.ids.number(done), at: done, sent: done, by: by, station: station, act: act}
	e.m.pages = append(e.m.pages, p)
	return p
}

// soonest takes the hours of the worker who is done first.
func (m *mill) soonest(from time.Time, length time.Duration, any []worker) (by worker, done time.Time) {
	var best diary
	for _, w := range any {
		d := m.diaries[w.name]
		trial := diary{slices.Clone(d.taken)}
		if end := trial.take(from, length); done.IsZero() || end.Before(done) {
			by, done, best = w, end, trial
		}
	}
	*m.diaries[by.name] = best
	return by, done
}

// wait lets days go by.
func (e *errand) wait(days int) { e.at = midnight(e.at).AddDate(0, 0, days).Add(shifts[0].from) }

// join goes on when the others have come as far; it is over when one of them is.
func (e *errand) join(others []*errand) {
	for _, o := range others {
		if o.over {
			e.over = true
		}
		if o.at.After(e.at) {
			e.at = o.at
		}
	}
}
