package bench

import (
	"slatewright/internal/web/problem"
	"slatewright/internal/web/shell"
)

// noKey says that nothing can be certified here, and what to do.
func noKey(v *shell.Visit) *problem.Problem {
	return problem.New("no-key", "", v.Say("bench.no-key"), v.Say("bench.no-key-next"))
}
