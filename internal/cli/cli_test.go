package cli

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"math"
	"os"
	"runtime"
	"strings"
	"syscall"
	"testing"

	"github.com/alecthomas/kong"

	"slatewright/cores"
	"slatewright/internal/cli/verb"
	"slatewright/trouble"
)

// planted is a verb that does what a test needs.
type planted struct {
	do func() (verb.Report, error)
}

func (p planted) Run(*verb.Session) (verb.Report, error) { return p.do() }
func (planted) About() verb.About {
	return verb.About{Text: "Planted.", Examples: []verb.Example{{"slatewright planted", "x"}}}
}

// said is a report with a number and an exit status.
type said struct {
	Number float64 `json:"number"`
	status verb.Outcome
}

func (s said) Outcome() verb.Outcome { return s.status }
func (s said) Print(w io.Writer)     { fmt.Fprintln(w, "number", s.Number) }

// runPlanted runs the verb 'planted', which does do.
func runPlanted(do func() (verb.Report, error), args ...string) (code int, stdout, stderr string) {
	var out, errs bytes.Buffer
	v := planted{do}
	code = run(append([]string{"planted"}, args...), verb.Session{Stdin: strings.NewReader(""), Stdout: &out, Stderr: &errs}, kong.DynamicCommand("planted", "Planted?", "", &v))
	return code, out.String(), errs.String()
}

func TestOutcomeIsTheExitStatus(t *testing.T) {
	for _, status := range []verb.Outcome{verb.Done, verb.Refused, verb.CannotTell} {
		code, out, errs := runPlanted(func() (verb.Report, error) { return said{2.5, status}, nil })
		if code != int(status) || out != "number 2.5\n" || errs != "" {
			t.Errorf("%d: code %d, stdout %q, stderr %q", status, code, out, errs)
		}
		code, out, errs = runPlanted(func() (verb.Report, error) { return said{2.5, status}, nil }, "--json")
		if code != int(status) || out != `{"number":2.5}`+"\n" || errs != "" {
			t.Errorf("%d: code %d, stdout %q, stderr %q", status, code, out, errs)
		}
	}
}

func TestEveryKindOfErrorHasItsStatusAndLeavesStandardOutputEmpty(t *testing.T) {
	cases := []struct {
		err   error
		code  int
		word  string
		where string
	}{
		{trouble.Usage("a", "here", "what", "next"), 64, "a", "here"},
		{trouble.Data("b", "x.csv:3", "what", "next"), 65, "b", "x.csv:3"},
		{fmt.Errorf("while reading: %w", trouble.Data("b", "x.csv:3", "what", "next")), 65, "b", "x.csv:3"},
		{trouble.Own("c", "", "what", "next"), 70, "c", ""},
		{errors.New("nobody knows me"), 70, "unexpected", ""},
		{trouble.IO("d", "dev", "what", "next"), 74, "d", "dev"},
		{&fs.PathError{Op: "open", Path: "y.csv", Err: syscall.ENOENT}, 74, "unreadable", "y.csv"},
		{&fs.PathError{Op: "write", Path: "y.pdf", Err: syscall.ENOSPC}, 74, "unwritable", "y.pdf"},
	}
	for _, c := range cases {
		code, out, errs := runPlanted(func() (verb.Report, error) { return said{}, c.err }, "--json")
		var told struct{ Code, Kind, What, Where, Next string }
		if err := json.Unmarshal([]byte(errs), &told); err != nil {
			t.Fatalf("%v: stderr %q: %v", c.err, errs, err)
		}
		if code != c.code || out != "" || told.Code != c.word || told.Where != c.where || told.What == "" || told.Next == "" {
			t.Errorf("%v: code %d, stdout %q, stderr %q", c.err, code, out, errs)
		}
		code, out, errs = runPlanted(func() (verb.Report, error) { return said{}, c.err })
		if code != c.code || out != "" || !strings.Contains(errs, "("+c.word+")") || !strings.Contains(errs, "next:") {
			t.Errorf("%v: code %d, stdout %q, stderr %q", c.err, code, out, errs)
		}
	}
}

func TestPanicIsOurOwnFaultWithItsPlace(t *testing.T) {
	panics := map[string]func() (verb.Report, error){
		"index out of range": func() (verb.Report, error) { return said{Number: []float64{}[len(os.Args)]}, nil },
		"invalid memory":     func() (verb.Report, error) { var s *said; return *s, nil },
		"said so":            func() (verb.Report, error) { panic("said so") },
	}
	for word, do := range panics {
		code, out, errs := runPlanted(do)
		if code != 70 || out != "" || !strings.Contains(errs, word) || !strings.Contains(errs, "cli.TestPanicIs") {
			t.Errorf("%s: code %d, stdout %q, stderr %q", word, code, out, errs)
		}
	}
}

// A panic in work that is shared over the cores is raised again in the verb, and so has words and its own status.
func TestPanicOnAnotherCoreIsOurOwnFault(t *testing.T) {
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(4))
	code, out, errs := runPlanted(func() (verb.Report, error) {
		cores.Share(100, 1, func(from, to int) {
			if to == 100 {
				panic("broken at the end")
			}
		})
		return said{}, nil
	}, "--json")
	if code != 70 || out != "" || !strings.Contains(errs, "broken at the end") || !strings.Contains(errs, `"exit":70`) {
		t.Errorf("code %d, stdout %q, stderr %q", code, out, errs)
	}
}

func TestNumberThatJSONCannotHoldIsOurOwnFault(t *testing.T) {
	code, out, errs := runPlanted(func() (verb.Report, error) { return said{Number: math.NaN()}, nil }, "--json")
	if code != 70 || out != "" || !strings.Contains(errs, "unwritable-report") {
		t.Errorf("code %d, stdout %q, stderr %q", code, out, errs)
	}
}

// broken is a writer that takes nothing.
type broken struct{ err error }

func (b broken) Write([]byte) (int, error) { return 0, b.err }

func TestUnwritableOutput(t *testing.T) {
	for _, err := range []error{syscall.EPIPE, syscall.ENOSPC, &fs.PathError{Op: "write", Path: "/dev/stdout", Err: syscall.EIO}} {
		var errs bytes.Buffer
		code := Run([]string{"version"}, strings.NewReader(""), broken{err}, &errs)
		if code != 74 || !strings.Contains(errs.String(), "unwritable-output") || !strings.Contains(errs.String(), verb.Reason(err)) {
			t.Errorf("%v: code %d, stderr %q", err, code, errs.String())
		}
	}
}

func TestNothingToTellTroubleTo(t *testing.T) {
	if code := Run([]string{"nonsense"}, strings.NewReader(""), io.Discard, broken{syscall.EPIPE}); code != 64 {
		t.Errorf("code %d, want 64", code)
	}
}
