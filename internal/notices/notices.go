// Package notices knows whose work is linked into the program and under which licence.
//
// What is linked in is asked of the program itself (its build information), what a licence is called stands in a table here,
// and the full texts are copied out of the modules at build time: 'make build' runs gather, which writes full/notices.json,
// a file that is never committed. Without that file the program still tells names, versions and licences. The package does
// not judge whether licences go together.
package notices

import (
	"embed"
	"encoding/json"
	"runtime"
	"runtime/debug"
	"sort"
)

//go:generate go run ./gather full/notices.json

//go:embed full
var full embed.FS

// Text is one licence or notice file as its owner wrote it.
type Text struct {
	File string `json:"file"`
	Text string `json:"text"`
}

// Notice is one third party's part in the program.
type Notice struct {
	Name    string `json:"name"` // module path, or "Go" for the language's own library
	Version string `json:"version"`
	Licence string `json:"licence"` // SPDX expression
	Use     string `json:"use"`     // what it does in this program
	Texts   []Text `json:"texts"`   // empty when the program was built without them
}

// Entry is what the table says of a third party.
type Entry struct{ Licence, Use string }

// GoName is the name under which the language's own library and runtime stand in the table.
const GoName = "Go"

// Table holds every third party that may be linked into the program. A test at the root of the module holds it to what is
// really linked in, and holds each licence to the text of the module.
var Table = map[string]Entry{
	GoName:                              {"BSD-3-Clause", "the language's library and runtime"},
	"github.com/alecthomas/kong":        {"MIT", "parses the command line"},
	"codeberg.org/go-pdf/fpdf":          {"MIT", "writes PDF papers"},
	"github.com/boombuler/barcode":      {"MIT", "computes QR codes"},
	"github.com/go-fonts/dejavu":        {"BSD-3-Clause AND Bitstream-Vera", "the typeface of the papers (its changes are in the public domain)"},
	"go.yaml.in/yaml/v4":                {"MIT AND Apache-2.0", "reads bed specifications"},
	"github.com/schollz/progressbar/v3": {"MIT", "draws the progress line"},
	"github.com/mitchellh/colorstring":  {"MIT", "used by the progress line"},
	"github.com/rivo/uniseg":            {"MIT", "used by the progress line"},
	"golang.org/x/sys":                  {"BSD-3-Clause", "used by the progress line"},
	"golang.org/x/term":                 {"BSD-3-Clause", "tells whether the output is a terminal"},
}

// Linked returns the third parties of the running program in order of name, Go first. A module that the table does not know
// is told with the licence "not recorded".
func Linked() []Notice {
	texts := gathered()
	list := []Notice{notice(GoName, runtime.Version(), texts)}
	info, ok := debug.ReadBuildInfo()
	if !ok {
		return list
	}
	deps := append([]*debug.Module(nil), info.Deps...)
	sort.Slice(deps, func(i, j int) bool { return deps[i].Path < deps[j].Path })
	for _, m := range deps {
		if m.Replace != nil {
			m = m.Replace
		}
		list = append(list, notice(m.Path, m.Version, texts))
	}
	return list
}

func notice(name, version string, texts map[string][]Text) Notice {
	n := Notice{Name: name, Version: version, Licence: "not recorded", Texts: texts[name+"@"+version]}
	if e, ok := Table[name]; ok {
		n.Licence, n.Use = e.Licence, e.Use
	}
	return n
}

// Gathered is the form of full/notices.json: the texts by name@version.
type Gathered map[string][]Text

// gathered returns the texts that were built in; none when there are none.
func gathered() Gathered {
	var g Gathered
	data, err := full.ReadFile("full/notices.json")
	if err != nil {
		return nil // a plain build
	}
	if err := json.Unmarshal(data, &g); err != nil {
		panic("notices: full/notices.json was not written by gather: " + err.Error())
	}
	return g
}
