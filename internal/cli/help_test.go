package cli

import (
	"strings"
	"testing"

	"github.com/alecthomas/kong"
)

// verbs returns the nodes of the grammar.
func verbs(t *testing.T) (*kong.Kong, []*kong.Node) {
	t.Helper()
	k, err := newParser(&grammar{}, nil)
	if err != nil {
		t.Fatal(err)
	}
	if len(k.Model.Children) == 0 {
		t.Fatal("the grammar has no verbs")
	}
	return k, k.Model.Leaves(true)
}

func TestEveryVerbAndFlagIsExplained(t *testing.T) {
	k, nodes := verbs(t)
	program := string(helpText(k.Model, nil))
	for _, n := range nodes {
		if !strings.HasSuffix(n.Help, "?") {
			t.Errorf("%s: the help %q is not the question that the verb answers", n.Name, n.Help)
		}
		if !strings.Contains(program, "  "+path(n)+" ") {
			t.Errorf("the program's help does not name %s", path(n))
		}
		text := string(helpText(k.Model, n))
		for _, f := range append(append([]*kong.Flag{}, n.Flags...), k.Model.Flags...) {
			if f.Help == "" || !strings.Contains(text, "--"+f.Name) {
				t.Errorf("%s --%s is not explained", n.Name, f.Name)
			}
		}
		for _, p := range n.Positional {
			if p.Help == "" || !strings.Contains(text, strings.ToUpper(p.Name)) {
				t.Errorf("%s %s is not explained", n.Name, p.Name)
			}
		}
		for i, line := range strings.Split(text, "\n") {
			if len([]rune(line)) > 100 {
				t.Errorf("%s: line %d of the help is %d columns wide", n.Name, i+1, len([]rune(line)))
			}
		}
	}
}

func TestExamplesParse(t *testing.T) {
	_, nodes := verbs(t)
	for _, n := range nodes {
		a := asVerb(n).About()
		if a.Text == "" || len(a.Examples) == 0 {
			t.Errorf("%s has no text or no examples", n.Name)
		}
		for _, e := range a.Examples {
			ours := e.Line() // up to where the shell's part begins
			if at := strings.IndexAny(ours, "|&<>"); at >= 0 {
				ours = ours[:at]
			}
			line := ShellWords(ours)
			if !strings.HasPrefix(e.Line()+" ", "slatewright "+path(n)+" ") {
				t.Errorf("%s: example %q does not show the verb", path(n), e.Line())
				continue
			}
			if _, _, _, err := parse(line[1:], nil); err != nil {
				t.Errorf("%s: example %q: %v", path(n), e.Line(), err)
			}
		}
	}
}
