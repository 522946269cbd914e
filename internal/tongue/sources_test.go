package tongue

import (
	"go/ast"
	"go/parser"
	"go/token"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// tellers are the rooms whose refusals a person meets on a page: what they say with trouble.Data.
var tellers = []string{"../book", "../book/*", "../gate", "../evidence", "../measured"}

// reckoners are the rooms of the reckoning whose refusals and warnings a person meets on a page: all that they say.
var reckoners = []string{"cutting/drawing", "cutting/guillotine", "cutting/marking", "cutting/slab", "cutting/slab/answers", "cutting/slab/orders", "cutting/slab/slabfile", "face", "flatness", "gauge", "gauge/*", "measure", "seating", "seating/levelling", "seating/levelling/*", "sets", "sets/answers", "sets/stockfile", "plate", "plate/*", "stone", "lining", "lining/*", "seasoning", "seasoning/*", "surfacing/disc", "surfacing/disc/*", "internal/book/lost", "traverse", "traverse/*", "certificate", "bed", "bed/holes", "bed/holes/*", "bed/program", "bed/program/*", "face/ply", "face/stream", "judge", "judge/ways",
	"wholeface", "wholeface/*", "cutting/leaves", "cutting/leaves/*", "cutting/recovery", "cutting/recovery/*", "cutting/layer", "cutting/layer/*", "surfacing/cleanup", "surfacing/cleanup/*", "surfacing/worked", "surfacing/worked/*", "keyed", "surfacing/machine", "surfacing/machine/*", "surfacing/passes", "surfacing/passes/*", "surfacing/toolmarks", "surfacing/toolmarks/answers",
	"bed/pattern", "bed/pattern/*", "bed/rules", "bed/rules/*",
	"sets/late", "sets/learned"}

// unsaid are texts of those rooms that nobody meets on a page, by the name of their file or by their beginning, and why.
var unsaid = map[string]string{
	"the machine file cannot":             "a file of the command line",
	"check the path":                      "a file of the command line",
	"pressed on the bed":                  "the page has words of its own",
	"on free supports":                    "the page has words of its own",
	"wear of the last pass":               "the page has words of its own",
	"history:       ":                     "a remark that is written into a file",
	"write each on a line of":             "a file that was written by hand; the line begins with a brace",
	"cutting/guillotine/guillotine.go":    "a plain rectangle comes from a slab, whose sizes were checked",
	"surfacing/toolmarks/answers/list.go": "lists of files and machine files are the command line's: the page has words of its own",
	"cutting/slab/slabfile/instance.go":   "a file of the command line",
	"the days are out of":                 "a question of the command line: the page has words of its own",
	"give a number of days":               "a question of the command line: the page has words of its own",
	"add a header line such":              "a question of the command line: the page has words of its own",
	"--thickness needs the":               "a question of the command line: the page has words of its own",
	"--share § is no share":               "a question of the command line: the page has words of its own",
	"write 0.02mm for a":                  "a question of the command line: the page has words of its own",
	"does not meet":                       "the page has words of its own",
	"face/write.go":                       "files are written by the command line",
	"wholeface/priorfile.go":              "a file of the command line and of the mill's settings, with a code of its own",
	"wholeface/correct.go":                "names of features in that file",
	"lining/words.go":                     "the page says a remark by its key",
	"12 mm, or 12 ± 0.2 mm":               "an example of what can be written",
	"lining/climate.go":                   "names of climates: the page has words of its own",
	"plate/sparse/factor.go":              "our own fault",
	"over 7 of 7 supports":                "known with and without its parts",
	"flatness/level.go":                   "our own fault",
	"All three pieces lay on":             "what a support proves is sealed and stands on no page",
	"Two lines at 0.22 of":                "what a support proves is sealed and stands on no page",
	"The way the pieces were":             "what a support proves is sealed and stands on no page",
	"pieces a year":                       "a key of a list, as people write it",
	"feed m per min":                      "a title of a list, as people write it",
	"idle power kw":                       "a key of a list, as people write it",
	"skin stress mpa":                     "a key of a list, as people write it",
	"x § y §":                             "a place",
	"0.25 mm, 250 µm":                     "an example of what can be written",
	"minutes per mm":                      "a key of a list, as people write it",
	"skin of top":                         "a key of a list, as people write it",
	"skin of bottom":                      "a key of a list, as people write it",
	"price a tonne":                       "a title of a list, as people write it",
	"price a piece":                       "a title of a list, as people write it",
	" of stone and lining":                "a part of a sentence that is known with it",
	" of the stone":                       "a part of a sentence that is known with it",
	"§: no thickness§":                    "known with both of its parts",
	"; its heights there":                 "a part of a sentence that is known with it",
	"; it is the last cut":                "a part of a sentence that is known with it",
	" if the blocks stand":                "a part of a sentence that is known with it",
	"Re-grind the § (§)":                  "known with and without its last part",
	"the key \"§\" is not":                "known with and without its last part",
	"the § conforms§":                     "known with and without its last part",
	"on packs of shims that":              "known with each of its parts",
	"The value lies § mm":                 "known with each of its words",
	"bed/tournament.go":                   "what a specification does not check is sealed with its name before it",
	"certificate/method.go":               "the statement of method is put together there; internal/paper/desk reads it whole",
	"slatewright § key":                   "a file",
	"bed/program/program.go":              "written into the program itself, in the letters and words of a machine",
	"bed/program/moves.go":                "written into the program itself, in the letters and words of a machine",
	"as was asked":                        "a question of the command line",
	"head left diagonal":                  "a title of a list",
	"head right diagonal":                 "a title of a list",
	"bed/pattern/patternfile/table.go":    "what a key is for: the handbook's and the editor's; its refusals are known",
	"bed/pattern/patternfile/promise.go":  "what a key is for: the handbook's and the editor's; its refusals are known",
}

// sentences finds what the sources say: each text with § for what is filled in, and where it stands.
func sentences(t *testing.T) map[string]string {
	t.Helper()
	found := map[string]string{}
	for _, f := range sources(t, tellers, "") {
		ast.Inspect(f.tree, func(n ast.Node) bool {
			if c, ok := n.(*ast.CallExpr); ok && calls(c, "trouble", "Data") {
				for _, said := range c.Args[2:4] {
					if s, known := textOf(said); known && strings.Contains(s, " ") && strings.Trim(s, "§7 ") != "" {
						found[s] = f.at(said)
					}
				}
			}
			return true
		})
	}
	if len(found) < 100 {
		t.Fatalf("only %d sentences of the book", len(found))
	}
	for _, f := range sources(t, reckoners, "../../") {
		for _, s := range f.texts() {
			found[s.text] = s.at
		}
	}
	return found
}

type source struct {
	name  string
	files *token.FileSet
	tree  *ast.File
}

func (s source) at(n ast.Node) string { return s.files.Position(n.Pos()).String() }

// sources reads the files of some rooms, without their tests.
func sources(t *testing.T, rooms []string, root string) (list []source) {
	t.Helper()
	for _, room := range rooms {
		names, err := filepath.Glob(root + room + "/*.go")
		if err != nil || len(names) == 0 {
			t.Fatalf("%s: %d sources, %v", room, len(names), err)
		}
		for _, name := range names {
			if strings.HasSuffix(name, "_test.go") || strings.Contains(name, "gatetest") {
				continue
			}
			files := token.NewFileSet()
			tree, err := parser.ParseFile(files, name, nil, 0)
			if err != nil {
				t.Fatal(err)
			}
			list = append(list, source{strings.TrimPrefix(name, root), files, tree})
		}
	}
	return list
}

type saidAt struct{ text, at string }

// texts are all texts of a source of three words or more, but for what only we ourselves would ever read.
func (s source) texts() (list []saidAt) {
	filled := map[ast.Node]string{}
	ast.Inspect(s.tree, func(n ast.Node) bool {
		if c, ok := n.(*ast.CallExpr); ok {
			if name, plain := c.Fun.(*ast.Ident); plain && name.Name == "panic" || calls(c, "trouble", "Own") || calls(c, "errors", "New") && strings.Contains(s.name, "lowlp") {
				return false
			}
			fill(c, filled)
		}
		e, ok := n.(ast.Expr)
		if !ok {
			_, imported := n.(*ast.ImportSpec)
			field, ok := n.(*ast.Field)
			return !imported && !(ok && field.Tag != nil)
		}
		text, known := textOf(e)
		if format, ok := filled[n]; ok {
			text = format
		}
		if known && sentence.MatchString(text) {
			list = append(list, saidAt{text, s.at(n)})
		}
		return !known
	})
	return list
}

// sentence is a text of three words.
var sentence = regexp.MustCompile(`[a-z]+,? ([^ ]+ )*[a-z§]+,? ([^ ]+ )*[a-z]+`)

// fill notes what the formats among the arguments of a call say when they are filled.
func fill(c *ast.CallExpr, filled map[ast.Node]string) {
	for i, arg := range c.Args {
		if format, known := textOf(arg); known && strings.Contains(format, "%") && !calls(c, "fmt", "Sprintf") {
			filled[arg] = verbsFilled(format, c.Args[i+1:])
		}
	}
}

func calls(c *ast.CallExpr, room, name string) bool {
	s, ok := c.Fun.(*ast.SelectorExpr)
	if !ok || s.Sel.Name != name {
		return false
	}
	x, ok := s.X.(*ast.Ident)
	return ok && x.Name == room
}

// textOf is a text of the sources with § for what is filled in, and 7 for a number of things.
func textOf(e ast.Expr) (text string, known bool) {
	switch x := e.(type) {
	case *ast.BasicLit:
		s, err := strconv.Unquote(x.Value)
		return s, x.Kind == token.STRING && err == nil
	case *ast.ParenExpr:
		return textOf(x.X)
	case *ast.BinaryExpr:
		if x.Op != token.ADD {
			return "§", false
		}
		a, one := textOf(x.X)
		b, two := textOf(x.Y)
		return a + b, one || two
	case *ast.CallExpr:
		return textOfCall(x)
	}
	return "§", false
}

func textOfCall(c *ast.CallExpr) (text string, known bool) {
	switch {
	case calls(c, "fmt", "Sprintf"):
		if format, ok := textOf(c.Args[0]); ok {
			return verbsFilled(format, c.Args[1:]), true
		}
	case calls(c, "trouble", "Count"):
		many, ok := textOf(c.Args[2])
		return "7 " + many, ok
	case calls(c, "strconv", "Itoa"):
		return "7", false
	}
	return "§", false
}

var verb = regexp.MustCompile(`%[-+#0-9.]*[a-zA-Z%]`)

// verbsFilled fills the verbs of a format with the texts of its arguments.
func verbsFilled(format string, args []ast.Expr) string {
	i := 0
	return verb.ReplaceAllStringFunc(format, func(v string) string {
		if v == "%%" {
			return "%"
		}
		said := "§"
		if i < len(args) {
			if text, known := textOf(args[i]); known {
				said = text
			}
		}
		i++
		switch v[len(v)-1] {
		case 'd':
			said = "7"
		case 'q':
			said = `"` + said + `"`
		}
		return said
	})
}

func TestEverySentenceIsKnown(t *testing.T) {
	used := map[string]bool{}
	all := sentences(t)
	for said, at := range all {
		w := In(Spanish, Metric)
		if _, known := w.Known(strings.TrimSpace(said)); known || w.value(said, 0) != said {
			continue
		}
		if why := exempt(said, at); why != "" {
			used[why] = true
			continue
		}
		t.Errorf("%s: %q is not in a told file of en", strings.TrimPrefix(at, "../../"), said)
	}
	if len(all) < 700 {
		t.Errorf("only %d sentences", len(all))
	}
	for begin := range unsaid {
		if !used[begin] {
			t.Errorf("%s need not be listed as unsaid", begin)
		}
	}
}

// exempt finds the entry of unsaid that lets a text be.
func exempt(said, at string) string {
	for begin := range unsaid {
		if strings.HasPrefix(said, begin) || slices.Contains(strings.Split(strings.TrimPrefix(at, "../../"), ":"), begin) {
			return begin
		}
	}
	return ""
}

// A sentence that nobody says is not known.
func TestUnknownSentences(t *testing.T) {
	for _, said := range []string{"Nothing says that the stone was green, and green stone bows.", "the moon was § over the §"} {
		if _, known := In(Spanish, Metric).Known(said); known {
			t.Errorf("%q is known", said)
		}
	}
}

// A sentence that stood twice would be said in two ways.
func TestNoSentenceStandsTwice(t *testing.T) {
	at := map[string]string{}
	for key, e := range all(t)[English] {
		if !strings.HasPrefix(key, told) && !strings.HasPrefix(key, sealed) {
			continue
		}
		for _, text := range e {
			text = place.ReplaceAllString(text, "§")
			if other := at[text]; other != "" {
				t.Errorf("%s and %s say the same: %q", other, key, text)
			}
			at[text] = key
		}
	}
}
