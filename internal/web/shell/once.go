package shell

import (
	"context"
	"crypto/sha256"
	"fmt"
	"maps"
	"slices"

	"slatewright/internal/measured/kept"
)

// mostKept is what answers may take, bytes: some hundreds of usual ones.
const mostKept = 64 << 20

// NewAnswers is an empty shelf for what [Once] works out.
func NewAnswers() *kept.Shelf { return kept.New(mostKept, 1) }

// Once works out what an answer says, or takes what is kept since the same was given: the same page in another language, or a file that is
// taken away from it, needs no second reckoning, and cannot say anything else. what names the question, with one type for each name. The work
// may use nothing but what was given and the reader's units, stop tells it that nobody waits any more, and nobody may change what it found.
func Once[T any](a Asked, what string, work func(stop func() bool) (T, error)) (T, error) {
	cut := false
	return kept.Get(a.R.Context(), a.Answers, a.key(what), kept.Work[T]{
		Do: func(ctx context.Context) (T, error) {
			if at, ok := a.ctx.Deadline(); ok {
				within, end := context.WithDeadline(ctx, at)
				defer end()
				ctx = within
			}
			value, err := work(func() bool { return ctx.Err() != nil })
			if cut = ctx.Err() != nil; cut {
				err = kept.Passing(err)
			}
			return value, err
		},
		Bytes: func(value T) int64 {
			if cut || a.Plain.Get("work") != "" { // with more time, or steps, it would say more
				return -1
			}
			return kept.Size(value)
		}})
}

// key stands for what was given to a question, in whatever language it was asked.
func (a Asked) key(what string) string {
	sum := sha256.New()
	fmt.Fprintf(sum, "%q %q\n", what, a.Units())
	for _, name := range slices.Sorted(maps.Keys(a.Lists.Lists)) {
		l := a.Lists.Lists[name]
		fmt.Fprintf(sum, "%q %q %q\n", name, l.Name, l.Text)
	}
	for _, name := range slices.Sorted(maps.Keys(a.Plain)) {
		if name != "as" && name != "work" { // a file of the same answer, and the steps that it took
			fmt.Fprintf(sum, "%q %q\n", name, a.Plain[name])
		}
	}
	return fmt.Sprintf("%x", sum.Sum(nil))
}
