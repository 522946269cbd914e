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
	GoName:                                               {"BSD-3-Clause", "the language's library and runtime"},
	"github.com/alecthomas/kong":                         {"MIT", "parses the command line"},
	"codeberg.org/go-pdf/fpdf":                           {"MIT", "writes PDF papers"},
	"github.com/boombuler/barcode":                       {"MIT", "computes QR codes"},
	"github.com/go-fonts/dejavu":                         {"BSD-3-Clause AND Bitstream-Vera", "the typeface of the papers (its changes are in the public domain)"},
	"go.yaml.in/yaml/v4":                                 {"MIT AND Apache-2.0", "reads bed specifications"},
	"github.com/schollz/progressbar/v3":                  {"MIT", "draws the progress line"},
	"github.com/mitchellh/colorstring":                   {"MIT", "used by the progress line"},
	"github.com/rivo/uniseg":                             {"MIT", "used by the progress line"},
	"golang.org/x/sys":                                   {"BSD-3-Clause", "used by the progress line"},
	"golang.org/x/term":                                  {"BSD-3-Clause", "tells whether the output is a terminal"},
	"github.com/cespare/xxhash/v2":                       {"MIT", "used by the object store"},
	"github.com/danielgtaylor/huma/v2":                   {"MIT", "describes the programming interface and checks requests"},
	"github.com/dustin/go-humanize":                      {"MIT", "used by the embedded database and the object store"},
	"github.com/gofrs/flock":                             {"BSD-3-Clause", "locks the folder of a book"},
	"github.com/google/uuid":                             {"BSD-3-Clause", "used by the embedded database"},
	"github.com/jackc/pgpassfile":                        {"MIT", "used by the PostgreSQL driver"},
	"github.com/jackc/pgservicefile":                     {"MIT", "used by the PostgreSQL driver"},
	"github.com/jackc/pgx/v5":                            {"MIT", "speaks to PostgreSQL"},
	"github.com/jackc/puddle/v2":                         {"MIT", "used by the PostgreSQL driver"},
	"github.com/klauspost/compress":                      {"Apache-2.0 AND BSD-3-Clause AND MIT", "used by the object store"},
	"github.com/klauspost/cpuid/v2":                      {"MIT", "used by the object store"},
	"github.com/klauspost/crc32":                         {"BSD-3-Clause", "used by the object store"},
	"github.com/mfridman/interpolate":                    {"MIT", "used by the migrations"},
	"github.com/minio/crc64nvme":                         {"Apache-2.0", "used by the object store"},
	"github.com/minio/md5-simd":                          {"Apache-2.0 AND BSD-3-Clause", "used by the object store"},
	"github.com/minio/minio-go/v7":                       {"Apache-2.0", "speaks to an object store"},
	"github.com/oklog/ulid/v2":                           {"Apache-2.0", "makes the ids of entries"},
	"github.com/philhofer/fwd":                           {"MIT", "used by the object store"},
	"gonum.org/v1/gonum":                                 {"BSD-3-Clause", "takes the Fourier transforms behind drawn faces"},
	"github.com/pressly/goose/v3":                        {"MIT", "brings a database to the program's version"},
	"github.com/remyoudompheng/bigfft":                   {"BSD-3-Clause", "used by the embedded database"},
	"github.com/riverqueue/river":                        {"MPL-2.0", "shares long computations between programs on PostgreSQL"},
	"github.com/riverqueue/river/riverdriver":            {"MPL-2.0", "used by the sharing of long computations"},
	"github.com/riverqueue/river/riverdriver/riverpgxv5": {"MPL-2.0", "used by the sharing of long computations"},
	"github.com/riverqueue/river/rivershared":            {"MPL-2.0", "used by the sharing of long computations"},
	"github.com/riverqueue/river/rivertype":              {"MPL-2.0", "used by the sharing of long computations"},
	"github.com/rs/xid":                                  {"MIT", "used by the object store"},
	"github.com/sethvargo/go-retry":                      {"Apache-2.0", "used by the migrations"},
	"github.com/tidwall/gjson":                           {"MIT", "used by the sharing of long computations"},
	"github.com/tidwall/match":                           {"MIT", "used by the sharing of long computations"},
	"github.com/tidwall/pretty":                          {"MIT", "used by the sharing of long computations"},
	"github.com/tidwall/sjson":                           {"MIT", "used by the sharing of long computations"},
	"github.com/tinylib/msgp":                            {"MIT", "used by the object store"},
	"github.com/zeebo/xxh3":                              {"BSD-2-Clause", "used by the object store"},
	"go.uber.org/multierr":                               {"MIT", "used by the migrations"},
	"go.yaml.in/yaml/v3":                                 {"MIT AND Apache-2.0", "used by the object store"},
	"golang.org/x/crypto":                                {"BSD-3-Clause", "hashes passphrases"},
	"golang.org/x/net":                                   {"BSD-3-Clause", "used by the object store"},
	"golang.org/x/sync":                                  {"BSD-3-Clause", "used by the PostgreSQL driver and the migrations"},
	"golang.org/x/text":                                  {"BSD-3-Clause", "rules of plurals in the languages of the pages"},
	"gopkg.in/ini.v1":                                    {"Apache-2.0", "used by the object store"},
	"modernc.org/libc":                                   {"BSD-3-Clause AND MIT", "used by the embedded database"},
	"modernc.org/mathutil":                               {"BSD-3-Clause", "used by the embedded database"},
	"modernc.org/memory":                                 {"BSD-3-Clause", "used by the embedded database"},
	"modernc.org/sqlite":                                 {"BSD-3-Clause AND blessing", "the embedded database (SQLite itself is in the public domain)"},
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
