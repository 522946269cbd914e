package cli_test

import (
	"bytes"
	"encoding/json"
	"errors"
	"math"
	"os"
	"os/exec"
	"strconv"
	"strings"

	"github.com/rogpeppe/go-internal/testscript"
)

// exits runs a command and wants an exact exit status:
//
//	exits 64 slatewright nonsense
//
// Its output is then at hand for stdout and stderr as after exec.
func exits(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 {
		ts.Fatalf("usage: exits STATUS PROGRAM [ARGS]")
	}
	want, err := strconv.Atoi(args[0])
	ts.Check(err)
	got := 0
	if err := ts.Exec(args[1], args[2:]...); err != nil {
		var exit *exec.ExitError
		if !errors.As(err, &exit) {
			ts.Fatalf("%s: %v", args[1], err)
		}
		got = exit.ExitCode()
	}
	if got != want {
		ts.Fatalf("exit status %d, want %d", got, want)
	}
}

// checkJSON wants the named output to be one JSON object on one line and, for each PATH=VALUE, that value there. A number is
// compared as a number, exactly, or within TOLERANCE in PATH=VALUE~TOLERANCE; a path steps through names and indices by dots.
//
//	json stdout points=54 zone_mm=0.1~1e-9 contacts.0.2=0.05 state="as read"
func checkJSON(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) == 0 {
		ts.Fatalf("usage: json stdout|stderr|FILE [PATH=VALUE ...]")
	}
	text := ts.ReadFile(args[0])
	if strings.Count(text, "\n") != 1 || !strings.HasSuffix(text, "\n") {
		ts.Fatalf("%s is not one line: %q", args[0], text)
	}
	var object map[string]any
	dec := json.NewDecoder(strings.NewReader(text))
	ts.Check(dec.Decode(&object))
	for _, a := range args[1:] {
		path, want, ok := strings.Cut(a, "=")
		if !ok {
			ts.Fatalf("%q is not PATH=VALUE", a)
		}
		got, found := step(object, strings.Split(path, "."))
		if !found {
			ts.Fatalf("%s: nothing at %s in %s", args[0], path, text)
		}
		if !matches(got, want) {
			ts.Fatalf("%s: %s is %v, want %s", args[0], path, show(got), want)
		}
	}
}

// secret wants files that only their owner may read or write.
func secret(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) == 0 {
		ts.Fatalf("usage: secret FILE ...")
	}
	for _, name := range args {
		info, err := os.Stat(ts.MkAbs(name))
		ts.Check(err)
		if info.Mode().Perm() != 0o600 {
			ts.Fatalf("%s has mode %v, want 0600", name, info.Mode().Perm())
		}
	}
}

// step follows path into a decoded JSON value.
func step(v any, path []string) (any, bool) {
	for _, p := range path {
		switch at := v.(type) {
		case map[string]any:
			next, ok := at[p]
			if !ok {
				return nil, false
			}
			v = next
		case []any:
			i, err := strconv.Atoi(p)
			if err != nil || i < 0 || i >= len(at) {
				return nil, false
			}
			v = at[i]
		default:
			return nil, false
		}
	}
	return v, true
}

func matches(got any, want string) bool {
	number, isNumber := got.(float64)
	if !isNumber {
		return show(got) == want
	}
	value, within, _ := strings.Cut(want, "~")
	w, err := strconv.ParseFloat(value, 64)
	if err != nil {
		return false
	}
	tolerance := 0.0
	if within != "" {
		if tolerance, err = strconv.ParseFloat(within, 64); err != nil {
			return false
		}
	}
	return math.Abs(number-w) <= tolerance
}

// show is a string as it is and anything else as JSON.
func show(v any) string {
	if s, ok := v.(string); ok {
		return s
	}
	var b bytes.Buffer
	if json.NewEncoder(&b).Encode(v) != nil {
		return "?"
	}
	return strings.TrimSpace(b.String())
}
