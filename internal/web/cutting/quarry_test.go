package cutting

import (
	"bytes"
	"encoding/json"
	"net/http"
	"os"
	"strings"
	"testing"

	"slatewright/cutting/layer/answers"
	"slatewright/cutting/layer/mapfile"
	recovery "slatewright/cutting/recovery/answers"
	"slatewright/internal/tongue"
	"slatewright/sheet"
)

func exampleText(t *testing.T, name string) string {
	t.Helper()
	text, err := os.ReadFile("examples/" + name)
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

// asked is one question with what its answer says, or is refused with.
type asked struct {
	name  string
	pairs []string
	code  int
	says  []string
}

func hold(t *testing.T, path string, list []asked) {
	t.Helper()
	b := own.SignIn(t, mux, "visitor-1")
	for _, c := range list {
		code, text, page := b.Ask(t, path, c.pairs...)
		text = strings.Join(strings.Fields(text+page), " ")
		if code/100 != c.code/100 {
			t.Errorf("%s: %d %.400s", c.name, code, text)
		}
		for _, want := range c.says {
			if !strings.Contains(text, want) {
				t.Errorf("%s: nothing says %q", c.name, want)
			}
		}
	}
}

func TestLayers(t *testing.T) {
	survey, drawing, blocks := exampleText(t, "survey.csv"), exampleText(t, "survey.dxf"), exampleText(t, "blocks.csv")
	survey = strings.Replace(survey, "-2 to 2 by 1", "0", 1) // one direction: quick
	const degrees = `{"type":"FeatureCollection","features":[]}`
	hold(t, onLayer, []asked{
		{"a survey", []string{"survey", survey, "time", "soon"}, 200, []string{"blocks, worth", "Blind cutting", "Worth a second look", "IMG-035", "A second look at crack", "no plan of such runs is worth more", "Heaviest block", "The layer from above with", "Drawing (DXF)"}},
		{"a drawing", []string{"survey", drawing, "blocks", blocks, "time", atLength}, 200, []string{"20 blocks, worth", "shapes that are not read: 1 HATCH"}},
		{"too small", []string{"survey", strings.NewReplacer("1473 x 914 mm", "14730 x 9140 mm", "1204 x 700 mm", "12040 x 7000 mm").Replace(survey)}, 200, []string{"No block fits into this layer."}},
		{"a drawing alone", []string{"survey", drawing}, 400, []string{"a drawing does not say how deep"}},
		{"degrees", []string{"survey", degrees, "blocks", blocks}, 400, []string{"longitudes and latitudes"}},
		{"a row", []string{"survey", survey + "fault,F1,1,1\n"}, 400, []string{"in a survey"}},
		{"blocks", []string{"survey", drawing, "blocks", "name,length_mm\n9 ft,1\n"}, 400, []string{"there is no column"}},
		{"binary", []string{"survey", "AutoCAD Binary DXF\r\n\x1a"}, 400, nil},
		{"DWG", []string{"survey", "AC1032 x"}, 400, []string{"the drawing is a DWG"}},
	})
}

// A layer is taken away as JSON, as the command line prints it, as a list of cuts and as a drawing.
func TestLayersAreTakenAway(t *testing.T) {
	b := own.SignIn(t, mux, "visitor-1")
	for as, begins := range map[string]string{"json": "{", "csv": "what,order,run,type,", "dxf": "  0\nSECTION", "pdf": "%PDF"} {
		code, _, text := b.Ask(t, onLayer, "survey", exampleText(t, "survey.dxf"), "blocks", exampleText(t, "blocks.csv"), "as", as)
		if code != http.StatusOK || !strings.HasPrefix(text, begins) {
			t.Errorf("%s: %d %.100q", as, code, text)
		}
		var a answers.Answer
		if err := json.Unmarshal([]byte(text), &a); as == "json" && (err != nil || len(a.Blocks) != 20 || a.Degrees != 0) {
			t.Errorf("%+v, %v", a.Counts, err)
		}
	}
}

// The sheets are printed for readers of every language.
func TestSheetsInEveryLanguage(t *testing.T) {
	m, err := mapfile.Read("survey.csv", strings.NewReader(strings.Replace(exampleText(t, "survey.csv"), "-2 to 2 by 1", "0", 1)), nil)
	if err != nil {
		t.Fatal(err)
	}
	a, err := answers.Of(m)
	if err != nil {
		t.Fatal(err)
	}
	for _, l := range tongue.Languages() {
		var out bytes.Buffer
		if err := (laid{tongue.In(l, tongue.Metric), a}).sheets(&out); err != nil || !bytes.HasPrefix(out.Bytes(), []byte("%PDF")) {
			t.Errorf("%s: %v", l, err)
		}
	}
}

func TestLeaves(t *testing.T) {
	block, needs, cleaned := exampleText(t, "block.csv"), exampleText(t, "needs.csv"), exampleText(t, "cleaned.json")
	hold(t, onLeaves, []asked{
		{"by the rule", []string{"block", block}, 200, []string{"leaves, worth", "no other cutting of this block is worth more.", "the mill&#39;s own rule", "The order", "Heaviest leaf"}},
		{"by a history", []string{"block", block, "history", needs, "layer", "14", "share", "95 %"}, 200, []string{"Needed in 95 % of 70 pieces", "what clean-up needed"}},
		{"by clean-ups", []string{"block", block, "history", cleaned, "layer", "14"}, 200, []string{"4 leaves, worth 1240.00", "where the saw cut thinner"}},
		{"too few", []string{"block", block, "history", "need_mm\n5\n6\n"}, 200, []string{"by the rule: what clean-up needs cannot be told", "cannot tell"}},
		{"a plane elsewhere", []string{"block", strings.Replace(block, "150 mm", "20 mm", 1)}, 400, []string{"is not in the block"}},
		{"too thin", []string{"block", "# thickness: 30 mm\n# kerf: 5 mm\n# allowance: 8 mm\nfinished,value\n25.4 mm,100\n"}, 200, []string{"No leaf fits into this block."}},
		{"a layer alone", []string{"block", block, "layer", "14"}, 400, []string{"there is no history to pick it from"}},
		{"a layer with a comma", []string{"block", block, "history", "need_mm,layer\n5,\"14,west\"\n6,\"14,west\"\n7,13\n", "layer", "14,west"}, 200, []string{"of 2 pieces"}},
		{"another layer", []string{"block", block, "history", needs, "layer", "99"}, 400, []string{"there is no piece of this layer in the history"}},
		{"no share", []string{"block", block, "history", needs, "share", "all"}, 400, []string{"“all” is no share of the pieces."}},
		{"all pieces", []string{"block", block, "history", needs, "share", "100"}, 400, []string{"50 to 99.9"}},
		{"not a number", []string{"block", block, "history", needs, "share", "NaN"}, 400, []string{"is no share"}},
		{"no answer", []string{"block", block, "history", `{"slab":"A"}`}, 400, []string{"this is no answer about the clean-up"}},
		{"no kerf", []string{"block", strings.Replace(block, "# kerf: 4 mm\n", "", 1)}, 400, []string{"# kerf"}},
	})
}

func TestRecovery(t *testing.T) {
	year, lift := exampleText(t, "year.csv"), exampleText(t, "lift.csv")
	hold(t, onRecovery, []asked{
		{"a year", []string{"list", year}, 200, []string{"12.9 % of the rock below the overburden becomes finished stone", "Most money is lost by cracks found after lifting", "Recovery, overburden in", "10 losses in tonnes, pieces and money", "5317"}},
		{"overburden in", []string{"list", strings.Replace(year, "overburden: out", "overburden: in", 1)}, 200, []string{"7.5 % of all rock moved"}},
		{"without prices", []string{"list", "# overburden: in\nstage,entry,cause,tonnes,doubt\nsaw,in,,40,1\nsaw,loss,kerf,10,1\nsaw,out,,30,1\n"}, 200, []string{"Most is lost by kerf, at saw: 10.0"}},
		{"no balance", []string{"list", "# overburden: in\nstage,entry,cause,tonnes,doubt\nsaw,in,,40,1\nsaw,out,,15,1\n"}, 200, []string{"do not balance", "not accounted for"}},
		{"nothing but overburden", []string{"list", "# overburden: out\nstage,entry,cause,tonnes,doubt\nq,in,,40,1\nq,overburden,,40,1\nq,out,,0,1\n"}, 200, []string{"Cannot tell: no rock is left"}},
		{"lifts", []string{"list", lift}, 200, []string{"The typed mass of QH-B13 is more than a tenth off", "Measure again before it is lifted", "The masses for lifting of 3 bodies"}},
		{"lifts that agree", []string{"list", strings.Replace(lift, ",280", ",390", 1)}, 200, []string{"Of 3 bodies QH-B12 is the heaviest: lift it for 625"}},
		{"undefined", []string{"list", strings.Replace(year, "# overburden: out\n", "", 1)}, 400, []string{"whether overburden counts"}},
		{"an entry", []string{"list", year + "saw,dust,,3\n"}, 400, []string{"there is no entry"}},
		{"a body", []string{"list", "name,length_mm,width_mm,thickness_mm\nA,0,1,1\n"}, 400, []string{"not above 0"}},
	})
}

// Of very many blocks those side by side are drawn as one: no picture has more than some thousand.
func TestManyBlocksAreDrawnTogether(t *testing.T) {
	text := "# depth: 140 mm\n# kerf: 6 mm\n# runs: along\n# block: a, 300 x 300 mm, value 1\nwhat,name,x_m,y_m,x2_m,y2_m,stance\noutline,,0,0\noutline,,20,0\noutline,,20,20\noutline,,0,20\ncrack,J1,9,0,9,20,steep\n"
	m, err := mapfile.Read("f", strings.NewReader(text), nil)
	if err != nil {
		t.Fatal(err)
	}
	m.Stop = func() bool { return true }
	a, err := answers.Of(m)
	if err != nil {
		t.Fatal(err)
	}
	l := laid{tongue.In(tongue.English, tongue.Metric), a}
	if n := len(l.bodies()); len(a.Blocks) <= mostDrawn || n > 200 {
		t.Errorf("%d blocks are drawn as %d", len(a.Blocks), n)
	}
	length := 0.0
	for _, b := range l.bodies() {
		length += b.corners[1].X - b.corners[0].X
	}
	if least := 300 * float64(len(a.Blocks)); length < least || length > 1.03*least {
		t.Errorf("bodies of %v mm for blocks of %v", length, least)
	}
	b := own.SignIn(t, mux, "visitor-1")
	if code, text, _ := b.Ask(t, onLayer, "survey", strings.Replace(text, "300 x 300", "60 x 60", 1)); code/100 != 4 || !strings.Contains(text, "blocks of this size lie in the layer") {
		t.Errorf("%d %.300s", code, text)
	}
}

// Readers of inches see pounds in the picture of masses as well.
func TestMassesInPounds(t *testing.T) {
	s, err := sheet.Read("lift.csv", strings.NewReader(exampleText(t, "lift.csv")))
	if err != nil {
		t.Fatal(err)
	}
	bodies, err := recovery.ReadLift(s)
	if err != nil {
		t.Fatal(err)
	}
	got, err := recovery.OfLifts(bodies)
	if err != nil {
		t.Fatal(err)
	}
	for units, name := range map[tongue.Units]string{tongue.Metric: ">kg<", tongue.Inch: ">lb<"} {
		if picture := string((lifted{tongue.In(tongue.English, units), got}).draw(344)); !strings.Contains(picture, name) {
			t.Errorf("%v: %s", units, picture)
		}
	}
}
