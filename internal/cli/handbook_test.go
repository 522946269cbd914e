package cli_test

import (
	"bytes"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"slatewright/internal/cli"
	"slatewright/internal/cli/verb"
)

// shown is one command of a page with what the page says it prints.
type shown struct {
	at   string // file:line
	args []string
	from string // file that is standard input
	want []string
}

func (c shown) stdin(t *testing.T) io.Reader {
	if c.from == "" {
		return strings.NewReader("")
	}
	text, err := os.ReadFile(c.from)
	if err != nil {
		t.Fatalf("%s: %v", c.at, err)
	}
	return bytes.NewReader(text)
}

// The README and the handbook show commands in blocks marked console:
//
//	$ slatewright verb file
//	what it prints, on either output
//	…                     (alone on a line: anything may follow)
//	[exit status 1]       (when it is not 0)
//
// Every one of them is run, in a copy of the folder docs/examples and with that path, on the morning of one day, a minute after the
// one before, and with the same ids each time. Quotes hold words together as in a shell, and <FILE is standard input.
func TestPagesShowWhatTheProgramSays(t *testing.T) {
	pages, err := filepath.Glob("../../docs/*.md")
	if err != nil {
		t.Fatal(err)
	}
	pages = append(pages, "../../README.md")
	var commands []shown
	for _, page := range pages {
		text, err := os.ReadFile(page)
		if err != nil {
			t.Fatal(err)
		}
		commands = append(commands, consoles(filepath.Base(page), string(text))...)
	}
	if len(commands) == 0 {
		t.Fatal("no page shows a command")
	}
	dir := t.TempDir()
	if err := os.CopyFS(filepath.Join(dir, "docs/examples"), os.DirFS("../../docs/examples")); err != nil {
		t.Fatal(err)
	}
	t.Chdir(dir)
	ids := rand.NewChaCha8([32]byte{})
	for i, c := range commands {
		var out bytes.Buffer
		now := time.Date(2026, 11, 25, 8, i, 0, 0, time.UTC)
		if code := cli.RunIn(c.args, verb.Session{Stdin: c.stdin(t), Stdout: &out, Stderr: &out, Context: t.Context(),
			Clock: func() time.Time { return now }, Random: ids, Setting: func(string) string { return "" }}); code != 0 {
			fmt.Fprintf(&out, "[exit status %d]\n", code)
		}
		if got := strings.Split(strings.TrimRight(out.String(), "\n"), "\n"); !agrees(got, c.want) {
			t.Errorf("%s: slatewright %s prints\n%s\nand the page shows\n%s", c.at, strings.Join(c.args, " "),
				strings.Join(got, "\n"), strings.Join(c.want, "\n"))
		}
	}
}

// consoles finds the commands of a page.
func consoles(page, text string) (found []shown) {
	inside := false
	for i, line := range strings.Split(text, "\n") {
		switch {
		case strings.HasPrefix(line, "```"):
			inside = line == "```console"
		case !inside:
		case strings.HasPrefix(line, "$ slatewright "):
			c := shown{at: fmt.Sprintf("%s:%d", page, i+1), args: cli.ShellWords(line)[2:]}
			if last := len(c.args) - 1; last > 0 && strings.HasPrefix(c.args[last], "<") {
				c.from, c.args = c.args[last][1:], c.args[:last]
			}
			found = append(found, c)
		case len(found) > 0:
			last := &found[len(found)-1]
			last.want = append(last.want, line)
		}
	}
	return found
}

// agrees compares line by line; spaces at the end do not count, and a line "…" stands for any number of lines.
func agrees(got, want []string) bool {
	for len(want) > 0 && strings.TrimSpace(want[len(want)-1]) == "" {
		want = want[:len(want)-1]
	}
	if len(want) == 0 {
		return len(got) == 0
	}
	if strings.TrimSpace(want[0]) == "…" {
		for i := range len(got) + 1 {
			if agrees(got[i:], want[1:]) {
				return true
			}
		}
		return false
	}
	return len(got) > 0 && strings.TrimRight(got[0], " ") == strings.TrimRight(want[0], " ") && agrees(got[1:], want[1:])
}

func TestWrongPageIsSeen(t *testing.T) {
	page := "```console\n$ slatewright version --json\n{}\n\n$ slatewright x y=\"a b\" <c.csv\n…\n```\n\n```sh\n$ slatewright not this\n```\n"
	found := consoles("page.md", page)
	if len(found) != 2 || found[0].at != "page.md:2" || len(found[0].args) != 2 || len(found[0].want) != 2 ||
		!slices.Equal(found[1].args, []string{"x", "y=a b"}) || found[1].from != "c.csv" {
		t.Fatalf("found %+v", found)
	}
	cases := []struct {
		got, want string
		agree     bool
	}{
		{"a\nb", "a\nb", true}, {"a\nb", "a\nc", false}, {"a\nb", "a", false}, {"a", "a\nb", false},
		{"a\nb\nc", "a\n…", true}, {"a\nb\nc", "a\n…\nc", true}, {"a\nb\nc", "…\nd", false}, {"a ", "a", true},
	}
	for _, c := range cases {
		if got := agrees(strings.Split(c.got, "\n"), strings.Split(c.want, "\n")); got != c.agree {
			t.Errorf("%q against %q: %v", c.got, c.want, got)
		}
	}
}
