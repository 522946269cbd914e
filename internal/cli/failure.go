package cli

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"runtime"
	"strings"

	"slatewright/internal/cli/verb"
	"slatewright/trouble"
)

// asTrouble gives any error its place: trouble as it is, a file that cannot be used as input or output, the rest as our own
// fault, since data and usage are told by trouble where they are read.
func asTrouble(err error) *trouble.Trouble {
	var t *trouble.Trouble
	if errors.As(err, &t) {
		return t
	}
	var pe *fs.PathError
	if errors.As(err, &pe) { // not told where it happened: told in the same words here
		if pe.Op == "write" || pe.Op == "mkdir" {
			return verb.Unwritable(pe.Path, err)
		}
		return verb.Unreadable(pe.Path, err)
	}
	return trouble.Own("unexpected", "", "the program met an error that it does not know: "+err.Error(), verb.ReportIt).Because(err)
}

// fault is the trouble of a panic, with the place in our own code that was running. It must be called by the deferred
// function that recovered.
func fault(p any) *trouble.Trouble {
	what := fmt.Sprintf("the program met a fault of its own: %v", p)
	return trouble.Own("fault", panicPlace(), what, verb.ReportIt)
}

// panicPlace returns package.function:line of the innermost frame of this module that was running when the panic began.
func panicPlace() string {
	pcs := make([]uintptr, 64)
	frames := runtime.CallersFrames(pcs[:runtime.Callers(2, pcs)])
	panicking := false
	for {
		f, more := frames.Next()
		if f.Function == "runtime.gopanic" {
			panicking = true
		} else if panicking && strings.HasPrefix(f.Function, "slatewright/") {
			return fmt.Sprintf("%s:%d", f.Function, f.Line)
		}
		if !more {
			return ""
		}
	}
}

// wantsJSON tells whether --json is among the flags; it is asked when the parser may have failed before it came to it.
func wantsJSON(args []string) bool {
	for _, a := range args {
		switch a {
		case "--json", "--json=true":
			return true
		case "--":
			return false
		}
	}
	return false
}

// writeTrouble tells t on standard error. There is nowhere left to tell a failure of that, so none is told.
func writeTrouble(w io.Writer, t *trouble.Trouble, asJSON bool) {
	if asJSON {
		enc := json.NewEncoder(w)
		enc.SetEscapeHTML(false)
		_ = enc.Encode(struct {
			Code  string `json:"code"`
			Kind  string `json:"kind"`
			What  string `json:"what"`
			Where string `json:"where"`
			Next  string `json:"next"`
			Exit  int    `json:"exit"`
		}{t.Code, t.Kind.String(), t.What, t.Where, t.Next, t.Kind.ExitCode()})
		return
	}
	var b strings.Builder
	fmt.Fprintf(&b, "slatewright cannot go on (%s)\n", t.Code)
	for _, part := range []struct{ name, text string }{{"what:  ", t.What}, {"where: ", t.Where}, {"next:  ", t.Next}} {
		if part.text != "" {
			b.WriteString(verb.Wrap(part.text, "  "+part.name, "         ", verb.Width))
		}
	}
	_, _ = io.WriteString(w, b.String())
}
