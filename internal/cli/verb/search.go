package verb

import (
	"os"
	"os/signal"
	"strconv"
	"strings"
	"time"

	"slatewright/trouble"
)

// Gap reads how far from its bound an answer may be, such as "2%" or "0.02".
func Gap(text string) (float64, error) {
	number, percent := strings.CutSuffix(strings.TrimSpace(text), "%")
	v, err := strconv.ParseFloat(strings.TrimSpace(number), 64)
	if percent {
		v /= 100
	}
	if err != nil || !(v >= 0 && v < 1) {
		return 0, trouble.Usage("bad-gap", "--gap", "the gap is no share of the bound", "write --gap 2% or 0.02")
	}
	return v, nil
}

// Until lets a search end when a share of its time has passed, by the interrupt key, or when nobody wants the answer any more, and shows how far it is.
// stop may be asked by several at once.
func Until(s *Session, most time.Duration, doing string) (stop func(share float64) bool, done func()) {
	ctx, end := signal.NotifyContext(s.Context, os.Interrupt)
	start := s.Clock()
	const parts = 1000
	progress := NewProgress(s, parts, doing)
	stop = func(share float64) bool {
		passed := s.Clock().Sub(start)
		progress.Set(min(parts, int64(parts*passed.Seconds()/max(most.Seconds(), 1e-3))), parts)
		return passed.Seconds() >= share*most.Seconds() || ctx.Err() != nil
	}
	return stop, func() {
		progress.Close()
		end()
	}
}
