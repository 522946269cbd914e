package tongue

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
)

// tellers are the rooms whose refusals a person meets on a page.
var tellers = []string{"../book", "../gate", "../evidence", "../measured"}

// sentences finds what the sources say with trouble.Data as one text, perhaps with places: code, what is wrong, what to do next.
func sentences(t *testing.T) map[string]string {
	t.Helper()
	found := map[string]string{}
	for _, room := range tellers {
		err := filepath.WalkDir(room, func(path string, d fs.DirEntry, err error) error {
			if err != nil || d.IsDir() || filepath.Ext(path) != ".go" || strings.HasSuffix(path, "_test.go") || strings.Contains(path, "gatetest") {
				return err
			}
			text, err := os.ReadFile(path)
			if err != nil {
				return err
			}
			files := token.NewFileSet()
			f, err := parser.ParseFile(files, path, text, 0)
			if err != nil {
				return err
			}
			ast.Inspect(f, func(n ast.Node) bool {
				if c, ok := n.(*ast.CallExpr); ok && calls(c, "trouble", "Data") {
					for _, said := range c.Args[2:4] {
						if s, known := textOf(said); known && strings.ContainsAny(s, " ") && strings.Trim(s, "§ ") != "" {
							found[s] = files.Position(said.Pos()).String()
						}
					}
				}
				return true
			})
			return nil
		})
		if err != nil {
			t.Fatal(err)
		}
	}
	if len(found) < 100 {
		t.Fatalf("only %d sentences", len(found))
	}
	return found
}

func calls(c *ast.CallExpr, room, name string) bool {
	s, ok := c.Fun.(*ast.SelectorExpr)
	if !ok || s.Sel.Name != name {
		return false
	}
	x, ok := s.X.(*ast.Ident)
	return ok && x.Name == room
}

// textOf is a text of the sources with § for what is filled in.
func textOf(e ast.Expr) (text string, known bool) {
	switch x := e.(type) {
	case *ast.BasicLit:
		s, err := strconv.Unquote(x.Value)
		return s, err == nil
	case *ast.BinaryExpr:
		a, one := textOf(x.X)
		b, two := textOf(x.Y)
		return a + b, one || two
	case *ast.CallExpr:
		if calls(x, "fmt", "Sprintf") {
			if format, ok := textOf(x.Args[0]); ok {
				return verbs.Replace(format), true
			}
		}
	}
	return "§", false
}

var verbs = strings.NewReplacer("%s", "§", "%q", "§", "%d", "§", "%g", "§", "%v", "§", "%.0f", "§", "%.1f", "§", "%.80q", "§", "%.64s", "§", "%.4f", "§", "%.3f", "§", "%%", "%")

func TestEverySentenceOfTheBookIsKnown(t *testing.T) {
	for said, at := range sentences(t) {
		if strings.Contains(said, "%") {
			t.Errorf("%s: %q has a verb that this test does not know", at, said)
		}
		known := false
		for _, p := range patterns() {
			known = known || p.fits.MatchString(said)
		}
		if !known {
			t.Errorf("%s: %q is not in en/told.yaml", at, said)
		}
	}
}

// Each sentence is found by its own words, whatever stands in its places.
func TestSentencesAreFound(t *testing.T) {
	for key, e := range all(t)[English] {
		if !strings.HasPrefix(key, told) {
			continue
		}
		said := place.ReplaceAllString(e[other], "QH-7")
		if strings.HasPrefix(said, ",") {
			said = "wait until noon" + said
		}
		for _, l := range Languages()[1:] {
			w := In(l, Metric)
			got := w.InWords(said)
			if got == said {
				t.Errorf("%s %s: %q is said in English", l, key, said)
			}
			if n := strings.Count(said, "QH-7"); strings.Count(got, "QH-7") != n {
				t.Errorf("%s %s: %q has not the %d values of %q", l, key, got, n, said)
			}
		}
	}
}

func TestInWords(t *testing.T) {
	es := In(Spanish, Metric)
	if got := In(English, Metric).InWords("piece QH-1 is in no room"); got != "piece QH-1 is in no room" {
		t.Errorf("English becomes %q", got)
	}
	if got := es.InWords("what nobody ever said of anything before"); got != "what nobody ever said of anything before" {
		t.Errorf("an unknown sentence becomes %q", got)
	}
	outer := es.InWords("then the entry drill of 2026-10-01 by lead could not follow: piece QH-1 is in no room")
	if inner := es.InWords("piece QH-1 is in no room"); !strings.Contains(outer, inner) || !strings.Contains(outer, es.Say("act.drill")) {
		t.Errorf("%q should hold %q and the word for drill", outer, inner)
	}
}

// What a certificate seals is said too, sentence by sentence, with figures as the language writes them.
func TestSealedSentences(t *testing.T) {
	const wet, again = "Nothing says that the stone was dry, and wet stone bows as it dries.", "The piece was read on 2026-09-14 and is dry only since 2026-09-16."
	for _, l := range Languages()[1:] {
		w := In(l, Metric)
		one, two := w.InWords(wet), w.InWords(again)
		if one == wet || two == again || w.InWords(wet+" "+again) != one+w.gap()+two || strings.Contains(two, "2026-09-14") == (l != Chinese) && l != Chinese {
			t.Errorf("%s: %q, %q, together %q", l, one, two, w.InWords(wet+" "+again))
		}
		apart := w.InWords("Top and bottom are 1.2 K apart, more than 0.3 K.")
		if comma := strings.Contains(apart, "1,2"); comma == (l == Chinese) {
			t.Errorf("%s: %q", l, apart)
		}
	}
}
