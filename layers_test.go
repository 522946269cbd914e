// Package slatewright_test holds the laws of the house: who may import whom, what the computing may touch, which dependencies
// there are. The laws are lists that a person can read; the tests fail on anything that is not listed and on any line that
// no longer says something true.
package slatewright_test

import (
	"bytes"
	"encoding/json"
	"io"
	"os/exec"
	"slices"
	"strings"
	"testing"
)

// room is a package with what it may import: packages of this module, modules of third parties (any package in them), and
// what only its tests may import on top of that. Any test may import its own package and what everyTest lists. The standard library is free here; what the
// reckoning may not take from it stands in purity_test.go.
type room struct{ name, may, third, tests string }

// law lists every package. A ring imports only inward: doors → mill → reckoning; the doors do not know each other, but
// for the command line, which opens them.
var law = map[string][]room{
	"reckoning": {
		{name: "trouble"},
		{name: "cores"},
		{name: "stations"},
		{name: "polygon", tests: "github.com/peterstace/simplefeatures"},
		{name: "measure", may: "trouble"},
		{name: "sheet", may: "measure trouble"},
		{name: "spelling"},
		{name: "keyed", may: "spelling trouble", third: "go.yaml.in/yaml/v4"},
		{name: "chance"},
		{name: "assignment", may: "trouble"},
		{name: "lowlp", may: "trouble", tests: "gonum.org/v1/gonum"},
		{name: "face/stream", may: "trouble"},
		{name: "face/ply", may: "face/stream trouble"},
		{name: "face", may: "face/ply face/stream measure stations trouble"},
		{name: "flatness", may: "cores lowlp stations trouble"},
		{name: "traverse", may: "face/stream flatness measure trouble"},
		{name: "traverse/feelers", may: "lowlp measure traverse trouble", tests: "chance flatness"},
		{name: "traverse/levels", may: "chance measure traverse trouble", tests: "gonum.org/v1/gonum"},
		{name: "traverse/answers", may: "judge measure traverse/feelers traverse/levels trouble"},
		{name: "bed", may: "trouble"},
		{name: "bed/specfile", may: "bed bed/pattern bed/pattern/patternfile measure trouble"},
		{name: "bed/pattern", may: "bed bed/pattern/shape trouble"},
		{name: "bed/pattern/patternfile", may: "bed bed/pattern bed/pattern/published bed/pattern/shape bed/pattern/sums keyed measure spelling trouble", third: "go.yaml.in/yaml/v4", tests: "github.com/getkin/kin-openapi github.com/peterstace/simplefeatures"},
		{name: "bed/pattern/sums", may: "measure spelling trouble"},
		{name: "bed/pattern/published", tests: "internal/truth"},
		{name: "bed/pattern/revision", may: "bed/pattern measure", tests: "bed/pattern/patternfile"},
		{name: "bed/rules", may: "bed/pattern bed/pattern/published bed/pattern/shape measure", tests: "bed/pattern/patternfile"},
		{name: "bed/rules/answers", may: "bed/pattern bed/pattern/revision bed/rules measure", tests: "bed/pattern/patternfile"},
		{name: "bed/drawing", may: "bed/pattern bed/pattern/shape measure", tests: "bed/pattern/patternfile github.com/peterstace/simplefeatures"},
		{name: "bed/pattern/shape", may: "polygon trouble", tests: "github.com/peterstace/simplefeatures"},
		{name: "bed/holes", may: "bed bed/holes/cause bed/holes/fit bed/holes/float bed/pattern chance judge trouble"},
		{name: "bed/holes/answers", may: "bed/holes bed/holes/cause bed/holes/edge bed/holes/fit bed/holes/float bed/holes/holefile bed/pattern judge measure", tests: "bed sheet"},
		{name: "bed/holes/holefile", may: "bed/holes bed/holes/cause bed/holes/edge bed/holes/fit measure sheet trouble"},
		{name: "bed/holes/fit", may: "trouble", tests: "chance"},
		{name: "bed/holes/cause", may: "bed/holes/fit", tests: "chance"},
		{name: "bed/holes/edge", may: "lowlp trouble", tests: "chance"},
		{name: "bed/holes/float", may: "bed/holes/fit lowlp trouble", tests: "chance gonum.org/v1/gonum"},
		{name: "wholeface", may: "chance flatness trouble", third: "gonum.org/v1/gonum"},
		{name: "bed/program", may: "bed/pattern bed/pattern/shape bed/program/gcode bed/program/machine bed/program/setup bed/program/toolpath bed/program/tour trouble", tests: "bed/pattern/patternfile bed/program/machinefile"},
		{name: "bed/program/answers", may: "bed/pattern bed/program bed/program/gcode bed/program/machine bed/program/replay bed/program/setup trouble", tests: "bed/pattern/patternfile bed/program/machinefile"},
		{name: "bed/program/gcode", may: "bed/pattern/shape bed/program/machine trouble"},
		{name: "bed/program/machine", may: "trouble"},
		{name: "bed/program/machinefile", may: "bed/program/machine keyed measure trouble", third: "go.yaml.in/yaml/v4"},
		{name: "bed/program/replay", may: "bed/pattern/shape bed/program/gcode bed/program/machine bed/program/setup bed/program/toolpath", tests: "bed/pattern bed/pattern/patternfile bed/program bed/program/machinefile"},
		{name: "bed/program/setup", may: "bed/pattern bed/pattern/shape bed/program/machine bed/program/toolpath trouble", tests: "bed/pattern/patternfile"},
		{name: "bed/program/toolpath", may: "bed/pattern/shape"},
		{name: "bed/program/tour", may: "chance"},
		{name: "wholeface/advice", may: "bed chance judge judge/ways judge/ways/costfile measure wholeface"},
		{name: "wholeface/scan", may: "flatness trouble", tests: "chance"},
		{name: "wholeface/learn", may: "chance cores trouble wholeface wholeface/scan", tests: "flatness"},
		{name: "lining", may: "gauge/tables measure plate trouble", tests: "chance"},
		{name: "lining/casefile", may: "sheet lining measure"},
		{name: "lining/coupon", may: "sheet gauge/tables lining measure trouble", tests: "chance"},
		{name: "lining/answers", may: "sheet lining lining/casefile lining/coupon trouble"},
		{name: "seasoning", may: "chance cores sheet gauge/tables measure seasoning/relax trouble"},
		{name: "seasoning/relax", tests: "chance"},
		{name: "seasoning/room", may: "sheet measure trouble"},
		{name: "seasoning/answers", may: "measure seasoning seasoning/room trouble", tests: "sheet"},
		{name: "seating", may: "bed cores face flatness lowlp stations trouble", tests: "gonum.org/v1/gonum"},
		{name: "seating/levelling", may: "bed flatness lowlp plate plate/contact seating stations trouble", tests: "chance face"},
		{name: "stone", may: "trouble"},
		{name: "surfacing/machine", may: "trouble"},
		{name: "surfacing/cleanup", may: "chance cores gauge/tables judge/ways lowlp trouble", tests: "gonum.org/v1/gonum"},
		{name: "surfacing/cleanup/stock", may: "surfacing/cleanup"},
		{name: "surfacing/cleanup/rough", may: "lowlp measure sheet trouble", tests: "chance"},
		{name: "surfacing/cleanup/answers", may: "cores face measure plate stone surfacing/cleanup surfacing/cleanup/rough surfacing/cleanup/stock trouble", tests: "chance sheet"},
		{name: "surfacing/disc", may: "chance measure sheet trouble"},
		{name: "surfacing/disc/wear", may: "gauge/tables sheet trouble", tests: "chance"},
		{name: "surfacing/disc/answers", may: "measure surfacing/disc surfacing/disc/wear trouble", tests: "sheet"},
		{name: "surfacing/worked", may: "gauge/tables surfacing/machine surfacing/worked/removal trouble", tests: "chance"},
		{name: "surfacing/worked/answers", may: "face plate stone surfacing/machine surfacing/machine/machinefile surfacing/passes surfacing/worked surfacing/worked/belief surfacing/worked/joblist surfacing/worked/removal trouble", tests: "chance sheet"},
		{name: "surfacing/worked/belief", may: "chance surfacing/machine"},
		{name: "surfacing/worked/joblist", may: "measure sheet surfacing/machine surfacing/worked"},
		{name: "surfacing/worked/removal", may: "chance gauge/tables trouble"},
		{name: "surfacing/passes", may: "judge/ways measure plate stone surfacing/machine trouble", tests: "chance surfacing/machine/machinefile"},
		{name: "surfacing/passes/answers", may: "measure surfacing/cleanup/answers surfacing/machine surfacing/passes trouble", tests: "face surfacing/machine/machinefile"},
		{name: "surfacing/toolmarks", may: "gauge/tables surfacing/toolmarks/height surfacing/toolmarks/modes surfacing/toolmarks/raster trouble", tests: "chance internal/rehearsal/grinding"},
		{name: "surfacing/toolmarks/height", may: "chance"},
		{name: "surfacing/toolmarks/modes"},
		{name: "surfacing/toolmarks/raster", tests: "chance"},
		{name: "surfacing/toolmarks/trend", tests: "chance"},
		{name: "surfacing/toolmarks/answers", may: "face measure sheet surfacing/machine surfacing/toolmarks surfacing/toolmarks/trend trouble"},
		{name: "surfacing/machine/machinefile", may: "keyed measure surfacing/machine trouble", third: "go.yaml.in/yaml/v4"},
		{name: "cutting/drawing", may: "trouble"},
		{name: "cutting/guillotine", may: "trouble"},
		{name: "cutting/marking", may: "cutting/slab polygon trouble"},
		{name: "cutting/sawing", may: "cutting/recovery cutting/slab polygon trouble", tests: "cutting/slab/check cutting/slab/search cutting/slab/slabfile"},
		{name: "cutting/slab", may: "polygon trouble"},
		{name: "cutting/slab/ground", may: "cutting/slab polygon", tests: "cutting/slab/check"},
		{name: "cutting/slab/search", may: "assignment chance cores cutting/guillotine cutting/slab cutting/slab/ground polygon", tests: "cutting/slab/check"},
		{name: "cutting/slab/check", may: "cutting/slab polygon", tests: "cutting/slab/search"},
		{name: "cutting/slab/orders", may: "assignment cutting/slab cutting/slab/search trouble"},
		{name: "cutting/slab/slabfile", may: "cutting/drawing cutting/marking cutting/slab cutting/slab/orders measure sheet trouble"},
		{name: "cutting/slab/answers", may: "cutting/slab cutting/slab/check cutting/slab/orders cutting/slab/search trouble"},
		{name: "cutting/layer", may: "chance cores polygon trouble"},
		{name: "cutting/layer/mapfile", may: "cutting/drawing cutting/layer measure polygon sheet trouble"},
		{name: "cutting/layer/answers", may: "cutting/layer cutting/layer/mapfile cutting/recovery"},
		{name: "cutting/leaves", may: "chance gauge/tables lowlp trouble"},
		{name: "cutting/leaves/answers", may: "cutting/leaves cutting/recovery measure sheet trouble", tests: "face surfacing/cleanup surfacing/cleanup/answers"},
		{name: "cutting/recovery", may: "trouble", tests: "chance"},
		{name: "cutting/recovery/answers", may: "cutting/recovery measure sheet", tests: "trouble"},
		{name: "plate/sparse", tests: "gonum.org/v1/gonum"},
		{name: "plate/contact"},
		{name: "plate", may: "plate/contact plate/sparse polygon trouble"},
		{name: "plate/shape", may: "plate trouble"},
		{name: "plate/answers", may: "measure plate plate/contact stone trouble"},
		{name: "seating/levelling/answers", may: "bed face sheet judge plate seating seating/levelling stone trouble"},
		{name: "judge", may: "bed chance face measure seating trouble"},
		{name: "judge/ways", may: "bed chance gauge/tables judge measure trouble"},
		{name: "judge/ways/costfile", may: "bed judge judge/ways keyed measure trouble", third: "go.yaml.in/yaml/v4"},
		{name: "sets/beds", may: "bed cores face seating trouble", tests: "internal/rehearsal"},
		{name: "sets/colour"},
		{name: "sets/late", may: "chance gauge/tables trouble"},
		{name: "sets/learned", may: "gauge/tables trouble", tests: "chance"},
		{name: "sets", may: "assignment bed cores face sets/beds sets/colour sets/threes trouble", tests: "seating"},
		{name: "sets/stockfile", may: "bed cores face measure sets sets/beds sheet trouble", tests: "flatness seating"},
		{name: "sets/answers", may: "bed cores face judge seating/levelling/answers sets sets/late sets/stockfile stone trouble", tests: "seating sets/beds sheet"},
		{name: "sets/marks", may: "bed"},
		{name: "sets/threes", may: "chance sets/threes/cuts sets/threes/growlp sets/threes/known trouble"},
		{name: "sets/threes/cuts", tests: "chance"},
		{name: "sets/threes/growlp", tests: "assignment chance"},
		{name: "sets/threes/known", may: "cores sets/threes/cuts trouble", tests: "chance"},
		{name: "certificate", may: "bed face flatness judge measure seating trouble"},
		{name: "gauge/tables", may: "chance", tests: "gonum.org/v1/gonum"},
		{name: "gauge/agreement", may: "chance sheet gauge/tables trouble"},
		{name: "gauge/budget", may: "chance gauge/tables trouble"},
		{name: "gauge", may: "chance gauge/budget sheet gauge/tables measure trouble"},
		{name: "gauge/history", may: "sheet gauge/tables trouble", tests: "chance"},
		{name: "gauge/worth", may: "chance sheet gauge/tables measure trouble"},
		{name: "gauge/study", may: "chance sheet gauge/tables measure trouble", tests: "gonum.org/v1/gonum"},
		{name: "gauge/answers", may: "face gauge gauge/agreement gauge/history sheet gauge/study gauge/worth measure trouble"},
	},
	"mill": {
		{name: "internal/rehearsal/families", may: "chance"},
		{name: "internal/rehearsal/grinding", may: "chance"},
		{name: "internal/rehearsal/grinding/trial", may: "internal/rehearsal/grinding surfacing/toolmarks"},
		{name: "internal/rehearsal/trial", may: "chance cores internal/rehearsal/families wholeface wholeface/learn wholeface/scan"},
		{name: "internal/book", may: "internal/book/field trouble", tests: "internal/rehearsal/halfyear github.com/oklog/ulid/v2"},
		{name: "internal/book/field", may: "spelling trouble"},
		{name: "internal/book/blank", may: "internal/book measure trouble"},
		{name: "internal/book/lost", may: "internal/book trouble"},
		{name: "internal/evidence", may: "certificate face internal/book judge trouble", tests: "bed internal/ledger internal/ledger/blobs internal/rehearsal internal/rehearsal/halfyear"},
		{name: "internal/freight", may: "face internal/book internal/freight/sheet trouble", third: "github.com/oklog/ulid/v2"},
		{name: "internal/freight/sheet", may: "measure trouble"},
		{name: "internal/gate", may: "internal/book trouble", third: "golang.org/x/crypto golang.org/x/text", tests: "internal/gate/gatetest"},
		{name: "internal/jobs", may: "internal/book trouble"},
		{name: "internal/flat", may: "face flatness trouble"},
		{name: "internal/jobs/reckon", may: "bed bed/specfile face internal/book internal/flat internal/jobs judge sets sets/beds trouble", tests: "internal/rehearsal seating"},
		{name: "internal/measured", may: "bed bed/specfile certificate face sheet lining/answers internal/book internal/flat internal/measured/ground internal/measured/kept " +
			"internal/picture/bedmap internal/picture/contour internal/picture/facemap internal/picture/look judge seating seating/levelling seating/levelling/answers stone trouble", tests: "chance internal/cli " +
			"internal/paper/desk internal/rehearsal"},
		{name: "internal/measured/ground", may: "internal/picture/contour"},
		{name: "internal/measured/kept", may: "trouble"},
		{name: "internal/rehearsal", may: "bed chance face measure"},
		{name: "internal/rehearsal/stock", may: "chance face internal/rehearsal"},
		{name: "internal/waiting", may: "bed chance internal/book internal/waiting/house judge trouble", tests: "internal/ledger internal/rehearsal internal/rehearsal/halfyear internal/tongue"},
		{name: "internal/marked", may: "bed internal/book internal/tongue sets/marks trouble"},
		{name: "internal/waiting/house", may: "internal/book trouble", tests: "internal/ledger internal/rehearsal internal/rehearsal/halfyear"},
		{name: "internal/rehearsal/halfyear", may: "bed certificate chance face internal/book internal/rehearsal judge measure seating sets/beds", third: "github.com/oklog/ulid/v2"},
	},
	"doors": {
		{name: "internal/paper", may: "bed cutting/sawing cutting/slab internal/caution internal/picture/cutplan internal/picture/bedmap internal/picture/contour internal/picture/ink internal/picture/look internal/picture/markplan internal/tongue judge sets/marks trouble", tests: "cutting/slab/search cutting/slab/slabfile"},
		{name: "internal/paper/page", may: "internal/caution internal/paper internal/picture/bedmap internal/picture/look internal/tongue judge trouble"},
		{name: "internal/paper/desk", may: "certificate face internal/paper internal/picture/bedmap internal/paper/page internal/tongue judge measure", tests: "bed"},
		{name: "internal/ledger", may: "internal/book internal/ledger/migrations internal/ledger/postgres internal/ledger/replica " +
			"internal/ledger/sqlite trouble", tests: "internal/freight internal/gate internal/ledger/blobs internal/ledger/credentials internal/ledger/pgtest " +
			"internal/rehearsal/halfyear github.com/oklog/ulid/v2"},
		{name: "internal/ledger/sqlite", may: "trouble", third: "github.com/gofrs/flock modernc.org/sqlite", tests: "internal/book internal/ledger internal/ledger/ledgertest github.com/oklog/ulid/v2"},
		{name: "internal/ledger/postgres", may: "trouble", third: "github.com/jackc/pgx/v5", tests: "internal/book internal/ledger internal/ledger/ledgertest internal/ledger/pgtest github.com/oklog/ulid/v2"},
		{name: "internal/ledger/migrations", third: "github.com/pressly/goose/v3", tests: "internal/ledger/pgtest github.com/jackc/pgx/v5 modernc.org/sqlite"},
		{name: "internal/ledger/replica", may: "internal/book", tests: "internal/rehearsal/halfyear"},
		{name: "internal/ledger/blobs", may: "internal/book trouble", third: "github.com/minio/minio-go/v7", tests: "github.com/johannesboyne/gofakes3"},
		{name: "internal/ledger/credentials", may: "internal/book internal/gate internal/ledger internal/ledger/postgres internal/ledger/sqlite trouble", tests: "internal/gate/gatetest internal/ledger/migrations internal/ledger/pgtest github.com/jackc/pgx/v5 " +
			"modernc.org/sqlite"},
		{name: "internal/ledger/work", may: "internal/book internal/jobs internal/ledger trouble", third: "github.com/jackc/pgx/v5 github.com/oklog/ulid/v2 github.com/riverqueue/river " +
			"github.com/riverqueue/river/riverdriver/riverpgxv5 github.com/riverqueue/river/rivertype", tests: "internal/jobs/jobstest internal/jobs/reckon internal/ledger/blobs internal/ledger/pgtest internal/rehearsal"},
		{name: "internal/web", may: "sets/marks cutting/sawing judge/ways/costfile wholeface certificate trouble internal/tongue internal/book internal/jobs internal/measured internal/measured/kept internal/waiting internal/web/bench internal/web/bending internal/web/cutting internal/web/drilling internal/web/drying internal/web/floor internal/web/gauging internal/web/gluing internal/web/live internal/web/packing internal/web/matching internal/web/specimen bed judge internal/web/api internal/web/office internal/web/problem internal/web/proof internal/web/script internal/web/shell internal/web/signin internal/web/stone internal/web/surfacing", tests: "internal/gate internal/ledger internal/ledger/blobs internal/ledger/credentials internal/web/pagetest github.com/getkin/kin-openapi " +
			"github.com/oklog/ulid/v2"},
		{name: "internal/web/api", may: "internal/book internal/book/lost internal/gate internal/jobs internal/web/problem internal/web/signin trouble", third: "github.com/danielgtaylor/huma/v2 github.com/oklog/ulid/v2"},
		{name: "internal/web/problem", may: "trouble"},
		{name: "internal/web/bedplan", may: "bed internal/tongue"},
		{name: "internal/web/slip", may: "internal/book internal/tongue internal/waiting internal/web/shell"},
		{name: "internal/web/script", tests: "face"},
		{name: "internal/web/floor", may: "sets/marks measure internal/book internal/book/blank internal/book/lost internal/caution internal/tongue internal/waiting internal/web/problem internal/web/shell internal/web/slip",
			tests: "internal/web/pagetest github.com/oklog/ulid/v2"},
		{name: "internal/web/bench", may: "wholeface bed certificate face internal/book internal/caution internal/flat internal/measured internal/tongue internal/waiting internal/web/problem internal/web/shell judge measure internal/web/bedplan",
			tests: "internal/web/pagetest github.com/oklog/ulid/v2"},
		{name: "internal/web/packing", may: "bed internal/book internal/caution internal/marked internal/picture/markplan internal/tongue internal/web/problem internal/web/shell sets/marks",
			tests: "internal/web/pagetest"},
		{name: "internal/web/gluing", may: "internal/book internal/caution internal/picture/chart internal/tongue internal/web/problem internal/web/shell lining lining/answers lining/coupon",
			tests: "internal/web/pagetest"},
		{name: "internal/web/drying", may: "internal/book internal/caution internal/picture/chart internal/tongue internal/web/problem internal/web/shell seasoning seasoning/answers seasoning/room",
			tests: "internal/web/pagetest"},
		{name: "internal/web/proof", may: "bed face internal/book internal/measured internal/picture/chart internal/picture/contour internal/tongue internal/web/problem internal/web/shell judge judge/ways/costfile lowlp measure traverse/answers traverse/feelers " +
			"traverse/levels trouble wholeface wholeface/advice wholeface/scan",
			tests: "internal/web/pagetest"},
		{name: "internal/web/gauging", may: "face gauge/answers gauge/history sheet gauge/study gauge/worth internal/book internal/picture/chart internal/tongue internal/web/problem internal/web/shell",
			tests: "internal/web/pagetest github.com/oklog/ulid/v2"},
		{name: "internal/web/bending", may: "internal/book internal/caution internal/picture/contour internal/picture/facemap internal/tongue internal/web/problem internal/web/shell measure plate plate/answers stone",
			tests: "internal/web/pagetest"},
		{name: "internal/web/cutting", may: "cutting/layer cutting/layer/answers cutting/layer/mapfile cutting/leaves/answers cutting/marking cutting/recovery/answers cutting/sawing cutting/slab cutting/slab/answers cutting/slab/search cutting/slab/slabfile internal/book internal/caution internal/picture/chart internal/picture/cutplan internal/picture/layermap internal/tongue internal/web/problem internal/web/shell measure sheet", tests: "cutting/slab/check internal/web/pagetest"},
		{name: "internal/web/drilling", may: "bed/drawing bed/holes bed/holes/answers bed/holes/cause bed/holes/holefile bed/pattern bed/pattern/patternfile bed/pattern/revision bed/pattern/shape bed/rules bed/rules/answers internal/book internal/caution internal/picture/beddrawing internal/picture/chart internal/picture/drafting internal/tongue internal/web/problem internal/web/shell judge sheet", tests: "internal/web/pagetest"},
		{name: "internal/web/matching", may: "bed bed/specfile face internal/book internal/caution internal/measured internal/measured/kept internal/picture/chart internal/waiting internal/waiting/house internal/web/problem internal/web/shell judge measure sets sets/answers sets/beds sets/learned sets/stockfile trouble", tests: "internal/web/pagetest"},
		{name: "internal/web/surfacing", may: "face measure surfacing/passes surfacing/passes/answers internal/book internal/caution internal/picture/chart internal/tongue internal/web/problem internal/web/shell surfacing/cleanup surfacing/cleanup/answers surfacing/cleanup/rough surfacing/disc surfacing/disc/answers surfacing/disc/wear sheet stone surfacing/machine surfacing/machine/machinefile surfacing/worked/answers surfacing/worked/joblist surfacing/toolmarks surfacing/toolmarks/answers", tests: "internal/web/pagetest"},
		{name: "internal/web/live", may: "internal/book internal/web/api internal/web/shell"},
		{name: "internal/web/office/checked", may: "certificate"},
		{name: "internal/web/office", may: "bed certificate internal/book internal/gate internal/measured internal/picture/look internal/tongue internal/web/office/checked internal/web/problem internal/web/shell internal/web/signin trouble internal/waiting internal/web/slip",
			tests: "internal/web/pagetest github.com/oklog/ulid/v2"},
		{name: "internal/web/shell", may: "internal/book internal/book/blank internal/caution internal/gate internal/measured/kept internal/picture/look internal/tongue internal/web/problem internal/web/signin judge measure sheet trouble", third: "github.com/oklog/ulid/v2"},
		{name: "internal/web/specimen", may: "internal/book trouble"},
		{name: "internal/web/stone", may: "bed internal/book internal/caution internal/measured internal/picture/facemap internal/tongue internal/waiting internal/web/problem internal/web/shell judge measure seating/levelling seating/levelling/answers trouble internal/web/slip internal/web/bedplan",
			tests: "internal/gate internal/ledger internal/ledger/blobs internal/rehearsal internal/rehearsal/halfyear github.com/oklog/ulid/v2"},
		{name: "internal/web/signin", may: "internal/book internal/gate trouble"},
		{name: "internal/trust", may: "trouble"},
		{name: "internal/cli", may: "bed bed/specfile certificate chance face internal/cli/bending internal/cli/cutting internal/cli/drilling internal/cli/drying internal/cli/floor internal/cli/gauging internal/cli/gluing internal/cli/levelling internal/cli/marking internal/cli/matching internal/cli/office internal/cli/opened internal/cli/surfacing " +
			"internal/web/script internal/cli/verb internal/cli/whole internal/flat internal/notices internal/paper internal/paper/desk internal/paper/page internal/picture/ink internal/rehearsal " +
			"internal/rehearsal/halfyear internal/tongue judge measure seating sets sets/beds traverse/answers traverse/feelers traverse/levels trouble", third: "github.com/alecthomas/kong", tests: "cores internal/ledger/pgtest github.com/rogpeppe/go-internal"},
		{name: "internal/cli/bending", may: "face sheet internal/cli/verb internal/flat internal/picture/contour internal/picture/facemap measure plate plate/answers plate/shape stone trouble"},
		{name: "internal/cli/gluing", may: "sheet internal/caution internal/cli/verb internal/tongue lining lining/answers measure"},
		{name: "internal/cli/drying", may: "sheet internal/cli/verb measure seasoning seasoning/answers seasoning/room trouble"},
		{name: "internal/cli/cutting", may: "internal/picture/cutplan cutting/layer/answers cutting/layer/mapfile internal/picture/layermap cutting/leaves/answers cutting/recovery/answers cutting/slab cutting/slab/answers cutting/slab/search cutting/slab/slabfile internal/caution internal/cli/verb internal/tongue measure sheet trouble cutting/sawing internal/paper"},
		{name: "internal/cli/drilling", may: "bed/drawing bed/holes bed/holes/answers bed/holes/holefile bed/pattern bed/pattern/patternfile bed/program/answers bed/program/machine bed/program/machinefile bed/rules bed/rules/answers internal/caution internal/cli/verb internal/picture/beddrawing internal/picture/drafting internal/tongue judge measure sheet trouble"},
		{name: "internal/cli/surfacing", may: "face internal/cli/verb measure sheet stone surfacing/cleanup surfacing/cleanup/answers surfacing/machine/machinefile surfacing/passes surfacing/passes/answers surfacing/cleanup/rough surfacing/disc surfacing/disc/answers surfacing/disc/wear surfacing/worked/answers surfacing/worked/joblist surfacing/toolmarks surfacing/toolmarks/answers trouble"},
		{name: "internal/cli/marking", may: "internal/book internal/cli/opened internal/cli/verb internal/marked internal/paper internal/picture/ink internal/tongue sets/marks trouble"},
		{name: "internal/cli/gauging", may: "face gauge/answers gauge/history sheet internal/cli/verb measure trouble"},
		{name: "internal/cli/matching", may: "bed bed/specfile face internal/caution internal/cli/verb measure sets sets/answers sets/stockfile sheet trouble"},
		{name: "internal/cli/levelling", may: "bed bed/specfile face internal/cli/verb measure seating/levelling seating/levelling/answers stone trouble"},
		{name: "internal/cli/advice", may: "bed internal/cli/verb judge/ways judge/ways/costfile measure wholeface/advice", tests: "chance"},
		{name: "internal/cli/floor", may: "internal/book internal/book/blank internal/book/lost internal/cli/opened internal/cli/verb internal/ledger internal/ledger/blobs " +
			"trouble", third: "github.com/oklog/ulid/v2 go.yaml.in/yaml/v4"},
		{name: "internal/cli/office", may: "sets/marks cutting/sawing judge/ways/costfile wholeface internal/paper internal/paper/desk internal/picture/ink internal/tongue certificate face internal/book internal/cli/opened internal/cli/verb internal/freight internal/gate " +
			"internal/jobs internal/jobs/reckon internal/ledger internal/ledger/blobs internal/ledger/credentials " +
			"internal/ledger/work internal/trust internal/web trouble", third: "go.yaml.in/yaml/v4", tests: "cutting/slab"},
		{name: "internal/cli/opened", may: "internal/book internal/cli/verb internal/evidence internal/gate internal/ledger internal/ledger/blobs " +
			"internal/ledger/credentials trouble", third: "github.com/oklog/ulid/v2"},
		{name: "internal/cli/whole", may: "bed face internal/cli/advice internal/cli/verb judge measure trouble wholeface wholeface/advice wholeface/learn wholeface/scan", tests: "internal/rehearsal/families"},
		{name: "internal/cli/verb", may: "internal/caution internal/tongue judge measure trouble", third: "github.com/schollz/progressbar/v3 golang.org/x/term"},
		{name: "cmd/slatewright", may: "internal/cli internal/cli/verb", tests: "internal/web/script"},
	},
	"beside": {
		{name: "internal/picture/bedmap", may: "internal/picture/contour internal/picture/ink internal/picture/look internal/tongue trouble"},
		{name: "internal/picture/facemap", may: "internal/picture/contour internal/picture/ink internal/picture/look trouble"},
		{name: "internal/picture/markplan", may: "bed internal/picture/contour internal/picture/ink internal/picture/look internal/tongue sets/marks"},
		{name: "internal/picture/dxf", may: "internal/picture/contour"},
		{name: "internal/picture/drafting", may: "internal/picture/contour internal/picture/dxf internal/picture/ink"},
		{name: "internal/picture/beddrawing", may: "bed/drawing bed/pattern bed/pattern/revision bed/pattern/shape internal/picture/drafting internal/picture/ink internal/tongue trouble", tests: "bed/pattern/patternfile"},
		{name: "internal/picture/layermap", may: "cutting/layer cutting/layer/answers internal/picture/contour internal/picture/dxf internal/picture/ink internal/picture/look measure", tests: "cutting/layer/mapfile"},
		{name: "internal/picture/cutplan", may: "cutting/sawing cutting/slab internal/picture/contour internal/picture/dxf internal/picture/ink internal/picture/look internal/tongue polygon"},
		{name: "internal/picture/look", may: "internal/picture/contour internal/picture/ink judge"},
		{name: "internal/picture/contour", may: "trouble"},
		{name: "internal/picture/chart"},
		{name: "internal/picture/ink", may: "internal/picture/contour trouble",
			third: "codeberg.org/go-pdf/fpdf github.com/boombuler/barcode github.com/go-fonts/dejavu"},
		{name: "internal/caution", may: "internal/book internal/tongue"},
		{name: "internal/tongue", third: "go.yaml.in/yaml/v4 golang.org/x/text", tests: "internal/book internal/web/problem"},
		{name: "internal/truth"},
		{name: "internal/notices"},
		{name: "internal/notices/gather", may: "internal/notices"},
		{name: "internal/web/script/bundle", third: "github.com/evanw/esbuild"},
		{name: "internal/gate/gatetest", may: "internal/book internal/gate"},
		{name: "internal/jobs/jobstest", may: "internal/book internal/jobs trouble"},
		{name: "internal/web/pagetest", may: "bed certificate internal/book internal/evidence internal/gate internal/ledger internal/ledger/blobs internal/ledger/credentials " +
			"internal/rehearsal internal/rehearsal/halfyear internal/tongue internal/waiting internal/web/shell"},
		{name: "internal/ledger/ledgertest", may: "internal/book internal/ledger internal/rehearsal/halfyear trouble", third: "github.com/oklog/ulid/v2"},
		{name: "internal/ledger/pgtest", third: "github.com/jackc/pgx/v5"},
		{name: "browser", tests: "github.com/chromedp/chromedp github.com/chromedp/cdproto"},
		{name: "faults", tests: "chance internal/book internal/ledger internal/ledger/pgtest github.com/oklog/ulid/v2"},
		{name: "speed", may: "bed bed/drawing bed/holes bed/holes/fit bed/pattern bed/pattern/patternfile bed/program bed/program/gcode bed/program/machine bed/program/machinefile bed/program/replay bed/program/setup chance cutting/layer cutting/slab cutting/slab/check cutting/slab/search face flatness internal/book internal/gate internal/ledger internal/ledger/credentials internal/picture/beddrawing internal/rehearsal/families internal/rehearsal/grinding internal/rehearsal/grinding/trial internal/rehearsal/halfyear internal/rehearsal/stock internal/rehearsal/trial judge plate seasoning seating seating/levelling sets sets/beds sets/threes surfacing/cleanup/answers surfacing/disc wholeface", third: "gonum.org/v1/gonum github.com/oklog/ulid/v2 modernc.org/sqlite"},
	},
}

// mayUseThird are the only packages of the reckoning that may import more than the standard library: keyed, bed/pattern/patternfile, bed/program/machinefile, judge/ways/costfile and surfacing/machine/machinefile stand at its
// edge and read a file's form into the pure types beside them; wholeface lies off the sealing path and takes Fourier transforms.
const mayUseThird = "keyed bed/pattern/patternfile bed/program/machinefile wholeface judge/ways/costfile surfacing/machine/machinefile"

// inward says which rings a ring may import besides itself. The packages beside the house serve any ring that lists them.
var inward = map[string]string{
	"reckoning": "",
	"mill":      "reckoning beside", // what is measured is shown as pictures, and a picture knows nothing of the mill
	"doors":     "mill reckoning beside",
	"beside":    "doors mill reckoning",
}

// everyTest is what the tests of any package may import.
const everyTest = "internal/truth trouble pgregory.net/rapid"

// onlyTests must never be imported by anything but tests.
const onlyTests = "internal/truth internal/gate/gatetest internal/jobs/jobstest internal/ledger/ledgertest internal/ledger/pgtest internal/web/pagetest"

const module = "slatewright"

// packageInfo is what the go command says of a package.
type packageInfo struct {
	ImportPath, Dir                    string
	GoFiles                            []string
	Imports, TestImports, XTestImports []string
}

// name is the package's path within the module; the module's root is ".".
func (p packageInfo) name() string { return within(p.ImportPath) }

func within(path string) string {
	if path == module {
		return "."
	}
	return strings.TrimPrefix(path, module+"/")
}

// packages lists the packages of the module.
func packages(t *testing.T) []packageInfo {
	t.Helper()
	cmd := exec.Command("go", "list", "-json=ImportPath,Dir,GoFiles,Imports,TestImports,XTestImports", "./...")
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("go list: %v", err)
	}
	var list []packageInfo
	for dec := json.NewDecoder(bytes.NewReader(out)); ; {
		var p packageInfo
		if err := dec.Decode(&p); err == io.EOF {
			break
		} else if err != nil {
			t.Fatal(err)
		}
		list = append(list, p)
	}
	if len(list) < 2 {
		t.Fatalf("go list found %d packages", len(list))
	}
	return list
}

// foreign keeps what is not of the standard library, paths of this module shortened.
func foreign(imports []string) []string {
	var list []string
	for _, path := range imports {
		first, _, _ := strings.Cut(path, "/")
		if first == module || strings.Contains(first, ".") {
			list = append(list, within(path))
		}
	}
	return list
}

// ringOf finds the ring and the room of a package.
func ringOf(name string) (string, room, bool) {
	for ring, rooms := range law {
		for _, r := range rooms {
			if r.name == name {
				return ring, r, true
			}
		}
	}
	return "", room{}, false
}

func TestImportsAreLaw(t *testing.T) {
	found := map[string]bool{}
	for _, p := range packages(t) {
		name := p.name()
		if name == "." {
			continue // these laws
		}
		found[name] = true
		_, r, ok := ringOf(name)
		if !ok {
			t.Errorf("%s is not in the law: it imports %q", name, foreign(p.Imports))
			continue
		}
		for _, fault := range breaches(p, r) {
			t.Error(fault)
		}
	}
	for ring, rooms := range law {
		for _, r := range rooms {
			if !found[r.name] {
				t.Errorf("the law lists %s in the ring %s, and there is no such package", r.name, ring)
			}
		}
	}
}

// breaches compares what a package and its tests import with what its room may.
func breaches(p packageInfo, r room) (faults []string) {
	may := strings.Fields(r.may + " " + r.third)
	tests := strings.Fields(r.tests)
	imports := foreign(p.Imports)
	testImports := foreign(append(append([]string{}, p.TestImports...), p.XTestImports...))
	for _, i := range imports {
		if !listed(may, i) {
			faults = append(faults, p.name()+" imports "+i+", which the law does not allow")
		}
	}
	for _, m := range may {
		if !needed(m, imports) {
			faults = append(faults, "the law lets "+p.name()+" import "+m+", and it does not")
		}
	}
	free := append(append([]string{p.name()}, strings.Fields(everyTest)...), may...)
	for _, i := range testImports {
		if !listed(free, i) && !listed(tests, i) {
			faults = append(faults, "the tests of "+p.name()+" import "+i+", which the law does not allow")
		}
	}
	for _, m := range tests {
		if !needed(m, testImports) {
			faults = append(faults, "the law lets the tests of "+p.name()+" import "+m+", and they do not")
		}
	}
	return faults
}

// listed reports whether the list allows an import: a package of this module by its name, a third party by its module.
func listed(list []string, path string) bool {
	return slices.ContainsFunc(list, func(l string) bool { return allows(l, path) })
}

// needed reports whether any import makes use of the entry.
func needed(entry string, imports []string) bool {
	return slices.ContainsFunc(imports, func(path string) bool { return allows(entry, path) })
}

func allows(entry, path string) bool {
	host, _, _ := strings.Cut(entry, "/")
	return path == entry || strings.Contains(host, ".") && strings.HasPrefix(path, entry+"/")
}

// door is the folder of a door, which may have rooms of its own.
func door(name string) string {
	parts := strings.SplitN(name, "/", 3)
	return strings.Join(parts[:min(2, len(parts))], "/")
}

func TestRingsImportOnlyInward(t *testing.T) {
	count := 0
	for ring, rooms := range law {
		allowed := append(strings.Fields(inward[ring]), ring)
		for _, r := range rooms {
			count++
			for _, m := range strings.Fields(r.may) {
				other, _, ok := ringOf(m)
				if !ok || !slices.Contains(allowed, other) {
					t.Errorf("%s (%s) may not import %s (%s)", r.name, ring, m, other)
				}
				if slices.Contains(strings.Fields(onlyTests), m) {
					t.Errorf("%s may not import %s: only tests may", r.name, m)
				}
				if ring == "doors" && other == "doors" && door(r.name) != door(m) && door(r.name) != "internal/cli" &&
					r.name != "cmd/slatewright" {
					t.Errorf("the doors %s and %s may not know each other", r.name, m)
				}
			}
			if ring == "reckoning" && r.third != "" && !slices.Contains(strings.Fields(mayUseThird), r.name) {
				t.Errorf("%s may use the standard library only, not %s", r.name, r.third)
			}
		}
	}
	if count == 0 {
		t.Fatal("the law is empty")
	}
}

// A law that finds nothing wrong in a wrong package would be worth nothing.
func TestBreachesAreSeen(t *testing.T) {
	r := room{name: "flatness", may: "lowlp trouble", tests: "gonum.org/v1/gonum"}
	right := packageInfo{ImportPath: module + "/flatness", Imports: []string{"sort", "slatewright/lowlp", "slatewright/trouble"},
		TestImports: []string{"testing"}, XTestImports: []string{"slatewright/flatness", "slatewright/internal/truth", "gonum.org/v1/gonum/mat"}}
	if faults := breaches(right, r); len(faults) != 0 {
		t.Errorf("found fault with a lawful package: %q", faults)
	}
	wrong := map[string]func(p *packageInfo){
		"imports face":         func(p *packageInfo) { p.Imports = append(p.Imports, "slatewright/face") },
		"imports example.com/": func(p *packageInfo) { p.Imports = append(p.Imports, "example.com/x") },
		"import lowlp, and":    func(p *packageInfo) { p.Imports = []string{"slatewright/trouble"} },
		"tests of flatness import internal/cli": func(p *packageInfo) {
			p.TestImports = append(p.TestImports, "slatewright/internal/cli")
		},
		"and they do not": func(p *packageInfo) { p.XTestImports = nil },
	}
	for want, change := range wrong {
		p := right
		p.Imports, p.TestImports = slices.Clone(p.Imports), slices.Clone(p.TestImports)
		change(&p)
		if faults := breaches(p, r); len(faults) != 1 || !strings.Contains(faults[0], want) {
			t.Errorf("want one fault with %q, got %q", want, faults)
		}
	}
}
