package bench

import (
	"fmt"
	"html/template"
	"sync"

	"slatewright/face"
	"slatewright/internal/web/shell"
	"slatewright/wholeface"
)

// beliefs says what is believed of the face between the readings while it is read. It takes a good part of a second of a processor: who
// comes while it is at work for another is answered without it, and asks again with the next reading.
type beliefs struct {
	prior  *wholeface.Prior
	mu     sync.Mutex
	fields map[[3]float64]*wholeface.Fields // by size and edge band
}

// mostSizes is how many sizes of pieces are kept ready; a mill makes three or four.
const mostSizes = 8

func newBeliefs(prior *wholeface.Prior) *beliefs {
	if prior == nil {
		prior = wholeface.Unlearned()
	}
	return &beliefs{prior: prior, fields: map[[3]float64]*wholeface.Fields{}}
}

// belief is what is believed of a face, and where a reading would settle most.
type belief struct {
	wholeface.Answer
	keeps float64
	next  []wholeface.Advice
}

// of answers for the readings of a face; not while another is answered, nor for readings that say too little.
func (b *beliefs) of(f *face.Face, band, u, limit float64) (belief, bool) {
	if len(f.Z) < wholeface.LeastReading || !b.mu.TryLock() {
		return belief{}, false
	}
	defer b.mu.Unlock()
	size := [3]float64{f.SizeX, f.SizeY, band}
	if b.fields[size] == nil {
		if len(b.fields) >= mostSizes {
			clear(b.fields)
		}
		b.fields[size] = wholeface.NewFields(f.SizeX, f.SizeY, band, 0)
	}
	q := wholeface.Question{SizeX: f.SizeX, SizeY: f.SizeY, Band: band, Cutoff: b.prior.CutoffMM, State: "as read", U: u, Fields: b.fields[size]}
	for i := range f.Z {
		q.Readings = append(q.Readings, wholeface.Reading{X: f.X[i], Y: f.Y[i], Z: f.Z[i]})
	}
	live, err := wholeface.Start(q, b.prior)
	if err != nil {
		return belief{}, false // too few, or a piece of no size: the readings alone are shown
	}
	answer, err := live.Answer()
	if err != nil {
		return belief{}, false
	}
	return belief{answer, answer.Conforms(limit), live.Next(limit, 1)}, true
}

// picture shows what is believed, in words and as an interval against the limit. Left is how many readings the agreed grid still wants.
func (b belief) picture(v *shell.Visit, limit float64, left int) string {
	say := func(key string, pairs ...any) string { return template.HTMLEscapeString(v.Say(key, pairs...)) }
	zone := b.Interval()
	text := fmt.Sprintf(`<div class="believed">%s<p>%s %s</p>`, shell.Interval{Value: zone.Median, Low: zone.Low, High: zone.High, Limit: limit}.Picture(v.Words),
		say("bench.believed", "zone_mm", zone.Median, "low_mm", zone.Low, "high_mm", zone.High), say("bench.believed-keeps", "limit_mm", limit, "keeps_chance", b.keeps))
	if !b.Calibrated {
		text += `<p class="soft">` + say("bench.believed-rough") + "</p>"
	}
	stop, _ := b.MayStop(b.keeps, b.Readings+left, wholeface.Certify)
	switch {
	case left > 0 && stop:
		text += `<p class="told bad" data-bench-enough>` + say("bench.believed-no", "limit_mm", limit) + "</p>"
	case left > 0 && len(b.next) > 0:
		text += "<p>" + say("bench.believed-next", "x_size", b.next[0].X, "y_size", b.next[0].Y) + "</p>"
	}
	return text + "</div>"
}
