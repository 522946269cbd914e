package slatewright_test

import (
	"encoding/json"
	"os/exec"
	"slices"
	"strings"
	"testing"

	"slatewright/internal/notices"
)

// inProgram are the modules that go.mod may name for the program, each with why.
var inProgram = map[string]string{
	"github.com/alecthomas/kong":                         "a command line with many verbs, flags and helpful mistakes, from structs",
	"codeberg.org/go-pdf/fpdf":                           "PDF with embedded typefaces and the same bytes twice",
	"github.com/boombuler/barcode":                       "QR codes as modules that we draw ourselves",
	"github.com/go-fonts/dejavu":                         "a free typeface with every sign the papers need",
	"go.yaml.in/yaml/v4":                                 "bed specifications and the catalogues of words are YAML, written by people",
	"github.com/schollz/progressbar/v3":                  "one line of progress on a terminal",
	"golang.org/x/term":                                  "asks for a passphrase without showing it",
	"modernc.org/sqlite":                                 "the embedded database, without a C compiler",
	"github.com/jackc/pgx/v5":                            "speaks to PostgreSQL",
	"github.com/pressly/goose/v3":                        "brings both databases to the program's version, with one set of numbers",
	"github.com/riverqueue/river":                        "shares the slices of long computations between programs on PostgreSQL",
	"github.com/riverqueue/river/riverdriver/riverpgxv5": "its way to PostgreSQL",
	"github.com/riverqueue/river/rivertype":              "its types",
	"github.com/danielgtaylor/huma/v2":                   "typed requests, their checks and the OpenAPI document from one place",
	"github.com/oklog/ulid/v2":                           "ids of entries that any sender can make, in the order of time",
	"golang.org/x/text":                                  "rules of plurals, and the language that a browser asks for",
	"golang.org/x/crypto":                                "Argon2id for passphrases",
	"github.com/minio/minio-go/v7":                       "scans in an object store",
	"gonum.org/v1/gonum":                                 "Fourier transforms for drawing faces; in tests a second opinion on linear algebra and linear programs",
	"github.com/gofrs/flock":                             "one program on a book's folder, on every system",
}

// inTests are the modules that go.mod may name for tests only; none of them may reach the program.
var inTests = map[string]string{
	"github.com/chromedp/chromedp":         "drives Chromium as a person would",
	"github.com/chromedp/cdproto":          "its words for what no step of it says: a dark room",
	"github.com/rogpeppe/go-internal":      "scripts that run the program (testscript)",
	"github.com/johannesboyne/gofakes3":    "an object store inside the test",
	"github.com/getkin/kin-openapi":        "an independent reader of the OpenAPI document",
	"github.com/peterstace/simplefeatures": "a polygon library: a second opinion on areas and cuts",
	"pgregory.net/rapid":                   "properties over random input, with shrinking",
}

// inBuild are the modules that go.mod may name for tools that are run at build time; none of them may reach the program.
var inBuild = map[string]string{
	"github.com/evanw/esbuild": "bundles the scripts of the pages",
}

// requirement is one line of go.mod.
type requirement struct {
	Path     string
	Indirect bool
}

func requirements(t *testing.T) []requirement {
	t.Helper()
	out, err := exec.Command("go", "mod", "edit", "-json").Output()
	if err != nil {
		t.Fatalf("go mod edit: %v", err)
	}
	var file struct {
		Require []requirement
		Replace []any
	}
	if err := json.Unmarshal(out, &file); err != nil {
		t.Fatal(err)
	}
	if len(file.Require) == 0 {
		t.Fatal("go.mod requires nothing")
	}
	if len(file.Replace) != 0 {
		t.Error("go.mod replaces a module; the program must build from published modules")
	}
	return file.Require
}

func TestDirectDependenciesAreOnTheList(t *testing.T) {
	listed := map[string]bool{}
	for _, r := range requirements(t) {
		_, program := inProgram[r.Path]
		_, tests := inTests[r.Path]
		_, build := inBuild[r.Path]
		listed[r.Path] = true
		if !r.Indirect && !program && !tests && !build {
			t.Errorf("go.mod names %s, which is not on the list", r.Path)
		}
		if program && tests || program && build || tests && build {
			t.Errorf("%s stands on two lists", r.Path)
		}
	}
	for _, list := range []map[string]string{inProgram, inTests, inBuild} {
		for path, why := range list {
			if !listed[path] {
				t.Errorf("the list has %s, and go.mod does not name it", path)
			}
			if why == "" {
				t.Errorf("%s is listed without a reason", path)
			}
		}
	}
}

// linkedModules are the modules that the program is built from, without its own.
func linkedModules(t *testing.T) []string {
	t.Helper()
	out, err := exec.Command("go", "list", "-deps", "-f", "{{with .Module}}{{if not .Main}}{{.Path}}{{end}}{{end}}", "./cmd/slatewright").Output()
	if err != nil {
		t.Fatalf("go list: %v", err)
	}
	modules := strings.Fields(string(out))
	slices.Sort(modules)
	modules = slices.Compact(modules)
	if len(modules) == 0 {
		t.Fatal("the program is built from no module at all")
	}
	return modules
}

func TestLibrariesOfTestsAndToolsStayOutOfTheProgram(t *testing.T) {
	for _, m := range linkedModules(t) {
		if _, ok := inTests[m]; ok {
			t.Errorf("%s is for tests only and reached the program", m)
		}
		if _, ok := inBuild[m]; ok {
			t.Errorf("%s is for tools only and reached the program", m)
		}
	}
}

func TestEveryLinkedModuleHasItsNotice(t *testing.T) {
	linked := append(linkedModules(t), notices.GoName)
	for _, m := range linked {
		if e := notices.Table[m]; e.Licence == "" || e.Use == "" {
			t.Errorf("%s is linked in and has no licence or no use in internal/notices", m)
		}
	}
	for m := range notices.Table {
		if !slices.Contains(linked, m) {
			t.Errorf("internal/notices lists %s, which is not linked in", m)
		}
	}
}
