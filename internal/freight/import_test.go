package freight

import (
	"encoding/json"
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/oklog/ulid/v2"

	"slatewright/internal/book"
	"slatewright/trouble"
)

func options(list List, files ...string) ImportOptions {
	return ImportOptions{List: list, Files: files, Caller: book.Caller{Person: "lead-1", Role: book.Lead}, Now: noon, Zone: time.FixedZone("mill", 3600),
		Open: func(name string) (io.ReadCloser, error) { return os.Open(name) }}
}

// texts are files by their names.
type texts map[string]string

func (x texts) options(list List, files ...string) ImportOptions {
	o := options(list, files...)
	o.Open = func(name string) (io.ReadCloser, error) {
		text, ok := x[name]
		if !ok {
			return nil, trouble.IO("unreadable", name, "the file cannot be read", "check the name").Because(fs.ErrNotExist)
		}
		return io.NopCloser(strings.NewReader(text)), nil
	}
	return o
}

// acts imports one list and returns the acts it became, as words and bodies.
func acts(t *testing.T, m *mill, o ImportOptions) (list []string, report ImportReport) {
	t.Helper()
	before := len(m.journal)
	report, err := Import(t.Context(), m, newStore(), o)
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range m.journal[before:] {
		list = append(list, e.Act+" "+string(e.Station)+" "+e.Entry.At.Format(time.RFC3339)+" "+string(e.Body))
	}
	return list, report
}

func TestEachList(t *testing.T) {
	cases := []struct {
		list List
		text string
		want []string
	}{
		{Pieces, "serial;size [in];thickness;mass [kg];slab;marked on;date;colour\nQ-1;36 x 58;1 in;96,5;SL-7;bottom;2026-11-20;grey\nlayer:L1;;3 m;;;;2026-11-20;\nQ-2;;;;;;;\n", []string{
			`take-in surfacing 2026-11-19T23:00:00Z {"thing":"piece:Q-1","note":"colour: grey","stone":{"from":"SL-7","length_mm":1473.2,"width_mm":914.4,"thickness_mm":25.4,"mass_kg":96.5,"marked_on":"bottom"}}`,
			`take-in surfacing 2026-11-19T23:00:00Z {"thing":"layer:L1","layer":{"thickness_mm":3000}}`,
			`take-in surfacing 2026-11-25T12:00:00Z {"thing":"piece:Q-2","stone":{}}`}},
		{Weights, "piece,weight [kg],scale,at,station\nQ-1,96.5,S-1,2026-11-20 14:30,room\nslab:SL-7,300 kg,S-1,2026-11-20,\n", []string{
			`weigh room 2026-11-20T13:30:00Z {"thing":"piece:Q-1","scale":"S-1","mass_kg":96.5}`,
			`weigh bench 2026-11-20T11:00:00Z {"thing":"slab:SL-7","scale":"S-1","mass_kg":300}`}},
		{RoomLog, "time;temperature [°C];rh [%];logger;room\n2026-11-20T14:30:00Z;18,5;55;H-1;R-1\n2026-11-20 15:45;;54,5 %;H-1;R-1\n", []string{
			`read room 2026-11-20T14:30:00Z {"thing":"room:R-1","what":"climate","instruments":["H-1"],"humidity_percent":55,"value":18.5,"unit":"C"}`,
			`read room 2026-11-20T14:45:00Z {"thing":"room:R-1","what":"climate","instruments":["H-1"],"humidity_percent":54.5}`}},
		{Orders, "order,size,class,sets,due,date\nO-1,9 ft,tournament,12,2027-03-01,2026-11-01\n", []string{
			`take-in office 2026-10-31T23:00:00Z {"thing":"order:O-1","order":{"size":"9 ft","class":"tournament","sets":12,"due":"2027-02-28T23:00:00Z"}}`}},
	}
	for _, c := range cases {
		m := newMill()
		got, report := acts(t, m, texts{"l.csv": c.text}.options(c.list, "l.csv"))
		if !slices.Equal(got, c.want) || report.New != len(c.want) || report.Rows != len(c.want) || report.Trouble() != nil {
			t.Errorf("%s: %+v\n%s", c.list, report, strings.Join(got, "\n"))
		}
		for _, e := range m.journal {
			if id, err := ulid.ParseStrict(e.ID); err != nil || e.Person != "lead-1" || e.Site != m.site {
				t.Errorf("entry %v %v", id, err)
			}
		}
	}
	if len(cases) != len(Lists())-1 {
		t.Errorf("%d of %d lists", len(cases), len(Lists()))
	}
}

// The same list again, in another form and by somebody else, changes nothing; one row more is one entry more.
func TestAgainChangesNothing(t *testing.T) {
	m := newMill()
	first := texts{"a.csv": "piece,mass [kg],date\nQ-1,96.5,2026-11-20\nQ-2,97,\n"}.options(Pieces, "a.csv")
	again := texts{"b.csv": "date;weight;note;serial\r\n2026-11-20;96500 g;;Q-1\r\n;97 kg;;Q-2\r\n;97 kg;;Q-3\r\n"}.options(Pieces, "b.csv")
	again.Now, again.Caller.Person = noon.Add(48*time.Hour), "inspector-1"
	if _, report := acts(t, m, first); report.New != 2 {
		t.Fatalf("%+v", report)
	}
	if _, report := acts(t, m, again); report.New != 1 || report.Repeated != 2 || len(m.journal) != 3 {
		t.Errorf("%+v, %d entries", report, len(m.journal))
	}
	if _, report := acts(t, m, again); report.New != 0 || report.Repeated != 3 || len(m.journal) != 3 {
		t.Errorf("%+v, %d entries", report, len(m.journal))
	}
	if m.journal[0].ID[:10] == m.journal[1].ID[:10] || m.journal[1].ID[:10] != "0000000000" {
		t.Errorf("ids %s, %s: the time of the row, and none", m.journal[0].ID, m.journal[1].ID)
	}
}

// What was weighed or read today, with no hour, is of the hour of the import: in the morning noon is still to come, and in the
// afternoon what was weighed may have come into the book after noon. Tomorrow it is still the same row.
func TestADayThatIsNotOver(t *testing.T) {
	list := texts{"a.csv": "piece,mass [kg],scale,at\nQ-1,96.5,S-1,2026-11-25\n"}
	for _, hour := range []int{0, 7, 11, 13, 22} { // UTC; the mill's clock is an hour ahead
		m, o := newMill(), list.options(Weights, "a.csv")
		o.Now = time.Date(2026, 11, 25, hour, 30, 0, 0, time.UTC)
		if _, report := acts(t, m, o); report.New != 1 || !m.journal[0].Entry.At.Equal(o.Now) {
			t.Errorf("at %v: %+v %+v", o.Now, report, m.journal)
		}
		o.Now = noon.Add(24 * time.Hour)
		if _, report := acts(t, m, o); report.New != 0 || report.Repeated != 1 {
			t.Errorf("the day after: %+v", report)
		}
	}
	m, o := newMill(), list.options(Weights, "a.csv")
	o.Now = time.Date(2026, 11, 25, 23, 30, 0, 0, time.UTC) // half past midnight at the mill
	if _, report := acts(t, m, o); report.New != 1 || m.journal[0].Entry.At.Hour() != 11 {
		t.Errorf("yesterday's: %+v %+v", report, m.journal)
	}
	o.Now = time.Date(2026, 11, 24, 22, 30, 0, 0, time.UTC) // half past eleven the evening before
	if _, report := acts(t, m, o); len(report.Faults) != 1 || report.Faults[0].Code != "clock-ahead" {
		t.Errorf("tomorrow's: %+v", report)
	}
}

func TestARowTwiceIsTakenOnce(t *testing.T) {
	m := newMill()
	_, report := acts(t, m, texts{"a.csv": "piece,mass [kg],scale,at\nQ-1,96.5,S-1,2026-11-20\nQ-1,96.5,S-1,2026-11-20\n"}.options(Weights, "a.csv"))
	if report.New != 1 || len(report.Warnings) != 1 || !strings.Contains(report.Warnings[0], "a.csv:3") || !strings.Contains(report.Warnings[0], "a.csv:2") {
		t.Errorf("%+v", report)
	}
}

// All faults of a list are told, those of its form and those that the book finds, and then nothing is taken.
func TestAllOrNothing(t *testing.T) {
	m := newMill()
	m.refuse = func(e book.Entry) error {
		if strings.Contains(string(e.Body), "Q-6") {
			return trouble.Data("already-there", "thing", "the book has a piece Q-6", "correct it there")
		}
		return nil
	}
	text := "piece,mass,marked on,date\nQ-1,96.5 kg,top,\nQ-2,heavy,top,\nQ-3,96 kg,top,2026-11-26\n,1 kg,,\nQ 5,1 kg,,\nQ-6,90 kg,,\nQ-7,1,234,top,2026-11-20\n"
	for _, dry := range []bool{true, false} {
		o := texts{"a.csv": text}.options(Pieces, "a.csv")
		o.DryRun = dry
		got, report := acts(t, m, o)
		var told []string
		for _, f := range report.Faults {
			told = append(told, f.Code+" "+f.Where)
			if f.Next == "" {
				t.Errorf("%v has no next step", f)
			}
		}
		want := []string{"bad-number a.csv:3, mass", "clock-ahead a.csv:4, at", "empty-cell a.csv:5, piece", "bad-id a.csv:6, thing", "columns a.csv:8", "already-there a.csv:7, thing"}
		slices.Sort(want)
		slices.Sort(told)
		if len(got) > 0 || !slices.Equal(told, want) || report.New != 0 || report.Trouble() == nil {
			t.Errorf("dry %v: %q", dry, told)
		}
		o.MaxFaults = 2
		if _, report = acts(t, m, o); len(report.Faults) != 2 || report.More != 4 || !strings.Contains(report.Trouble().What, "6 faults") {
			t.Errorf("%+v", report)
		}
	}
}

func TestDryRunChangesNothing(t *testing.T) {
	m := newMill()
	o := texts{"a.csv": "piece\nQ-1\n"}.options(Pieces, "a.csv")
	o.DryRun = true
	if got, report := acts(t, m, o); len(got) > 0 || report.New != 1 || !report.DryRun {
		t.Errorf("%q %+v", got, report)
	}
}

func TestRowsThatLackSomething(t *testing.T) {
	cases := []struct {
		list List
		text string
		code string
	}{
		{Weights, "piece,mass\nQ-1,1 kg\n", "no-instrument"},
		{Weights, "piece,mass,scale\nQ-1,1 kg,S-1\n", "no-time"},
		{Weights, "piece,mass,scale,at\nblok:Q-1,1 kg,S-1,2026-11-20\n", "not-one-of"},
		{RoomLog, "at,air [C]\n2026-11-20,18\n", "no-room"},
		{RoomLog, "at,room,air [C],logger\n2026-11-20,R-1,,H-1\n", "empty-row"},
		{RoomLog, "at,room,air [C]\n2026-11-20,R-1,18\n", "no-instrument"},
		{Orders, "order,size,sets\nO-1,9 ft,1\n", "no-column"},
		{Pieces, "piece,size,length\nQ-1,36 x 58 in,58 in\n", "two-sizes"},
		{Pieces, "", "empty"},
		{Pieces, "piece,mass\nQ-1,96\n", "no-unit"},
	}
	for _, c := range cases {
		_, report := acts(t, newMill(), texts{"a.csv": c.text}.options(c.list, "a.csv"))
		if len(report.Faults) == 0 || report.Faults[0].Code != c.code || report.Faults[0].Next == "" {
			t.Errorf("%s %q: %v", c.list, c.text, report.Faults)
		}
	}
	if _, err := Import(t.Context(), newMill(), newStore(), ImportOptions{List: "people"}); code(err) != "bad-list" {
		t.Error(err)
	}
	if _, err := Import(t.Context(), newMill(), newStore(), texts{}.options(Pieces, "gone.csv")); code(err) != "unreadable" {
		t.Error(err)
	}
}

const (
	plain = "# piece: Q-1 head\n# face: top\n# support: bench\n# temperature: top 20.1 C, bottom 20.3 C\n# date: 2026-11-20\n0,0,0.012\n100,0,0.02\n0,100,0.01\n"
	poor  = "0,0,0.012\n100,0,0.02\n0,100,0.01\n"
)

func TestReadingsFiles(t *testing.T) {
	files := texts{"r/list.csv": "file;piece;what;instruments;at;bench;top temperature;wet\na.csv;;;D-1 B-1;2026-11-20 10:00;B-1;;\nsub/b.csv;Q-2;bottom;D-1;2026-11-20;;68 F;yes\n",
		"r/a.csv": plain, "r/sub/b.csv": poor}
	m, blobs := newMill(), newStore()
	report, err := Import(t.Context(), m, blobs, files.options(Readings, "r/list.csv"))
	if err != nil || report.New != 2 || report.Blobs != 2 || len(report.Faults) > 0 {
		t.Fatalf("%+v %v", report, err)
	}
	var a, b book.Read
	if json.Unmarshal(m.journal[0].Body, &a) != nil || json.Unmarshal(m.journal[1].Body, &b) != nil {
		t.Fatal("no readings")
	}
	if a.Thing.ID != "Q-1" || a.What != "top" || a.Support != "bench" || *a.TopC != 20.1 || *a.BottomC != 20.3 || string(blobs.blobs[a.Blob]) != plain || a.Bench != "B-1" {
		t.Errorf("%+v", a)
	}
	if b.Thing.ID != "Q-2" || b.What != "bottom" || *b.TopC != 20 || b.BottomC != nil || !b.Wet || string(blobs.blobs[b.Blob]) != poor {
		t.Errorf("%+v", b)
	}
	loose := files.options(Readings, "r/a.csv")
	loose.Instruments = []string{"D-1"}
	if report, err = Import(t.Context(), m, blobs, loose); err != nil || report.New != 1 || !m.journal[2].At.Equal(time.Date(2026, 11, 20, 11, 0, 0, 0, time.UTC)) {
		t.Errorf("%+v %v", report, err)
	}
	if report, err = Import(t.Context(), m, blobs, loose); err != nil || report.New != 0 || report.Repeated != 1 {
		t.Errorf("again: %+v %v", report, err)
	}
}

func TestReadingsFilesThatAreRefused(t *testing.T) {
	cases := map[string]struct {
		files texts
		first string
		code  string
		where string
	}{
		"another piece": {texts{"l.csv": "file,piece\na.csv,Q-9\n", "a.csv": plain}, "l.csv", "two-pieces", "l.csv:2, file"},
		"another face":  {texts{"l.csv": "file,what\na.csv,bottom\n", "a.csv": plain}, "l.csv", "two-faces", "l.csv:2, file"},
		"out of reach":  {texts{"l.csv": "file\n../a.csv\n", "../a.csv": plain}, "l.csv", "bad-name", "l.csv:2, file"},
		"gone":          {texts{"l.csv": "file\na.csv\n"}, "l.csv", "unreadable", "l.csv:2, file"},
		"broken":        {texts{"l.csv": "file\na.csv\n", "a.csv": "0,0\n"}, "l.csv", "columns", "l.csv:2, file"},
		"no piece":      {texts{"a.csv": poor}, "a.csv", "no-piece", "a.csv"},
		"no face":       {texts{"a.csv": "# piece: Q-1\n" + poor}, "a.csv", "no-face", "a.csv"},
		"no day":        {texts{"a.csv": "# piece: Q-1\n# face: top\n" + poor}, "a.csv", "no-time", "a.csv"},
		"to come":       {texts{"a.csv": "# piece: Q-1\n# face: top\n# date: 2026-12-24\n" + poor}, "a.csv", "clock-ahead", "a.csv"},
		"too large":     {texts{"a.csv": plain + strings.Repeat("# a remark\n", 400)}, "a.csv", "too-large", "a.csv"},
	}
	for name, c := range cases {
		m, blobs := newMill(), newStore()
		o := c.files.options(Readings, c.first)
		o.Instruments, o.MaxFile = []string{"D-1"}, 4000
		report, err := Import(t.Context(), m, blobs, o)
		if err != nil || len(report.Faults) != 1 || report.Faults[0].Code != c.code || report.Faults[0].Where != c.where || len(m.journal)+len(blobs.blobs) > 0 {
			t.Errorf("%s: %v %v", name, report.Faults, err)
		}
	}
}

// A readings file that changes between the look and the copy is not taken.
func TestAFileThatChanges(t *testing.T) {
	m := newMill()
	o := texts{}.options(Readings, "a.csv")
	o.Instruments = []string{"D-1"}
	opened := 0
	o.Open = func(string) (io.ReadCloser, error) {
		opened++
		return io.NopCloser(strings.NewReader(plain + strings.Repeat(" ", opened/3))), nil
	}
	if _, err := Import(t.Context(), m, newStore(), o); code(err) != "changed" || len(m.journal) > 0 {
		t.Errorf("%v after %d openings", err, opened)
	}
}

func FuzzImport(f *testing.F) {
	f.Add(uint8(0), []byte("piece;size [in];mass\nQ-1;36 x 58;96,5 kg\n"))
	f.Add(uint8(1), []byte("piece,mass [kg],scale,at\nQ-1,96.5,S-1,2026-11-20 14:30\n"))
	f.Add(uint8(2), []byte("file,piece,what,instruments,at\nf,Q-1,top,D-1,2026-11-20\n"))
	f.Add(uint8(2), []byte(plain))
	f.Add(uint8(3), []byte("at,room,air [C],rh,logger\n2026-11-20,R-1,18,55,H-1\n"))
	f.Add(uint8(4), []byte("order,size,sets,due\nO-1,9 ft,2,2027-01-01\n"))
	f.Fuzz(func(t *testing.T, list uint8, text []byte) {
		o := texts{"f": string(text)}.options(Lists()[int(list)%len(Lists())], "f")
		m := newMill()
		report, err := Import(t.Context(), m, newStore(), o)
		var tr *trouble.Trouble
		if err != nil && !errors.As(err, &tr) {
			t.Fatal(err)
		}
		if len(report.Faults) > 0 && len(m.journal) > 0 {
			t.Fatal("not all or nothing")
		}
		for _, fault := range report.Faults {
			if fault.Where == "" || fault.What == "" {
				t.Fatalf("%+v", fault)
			}
		}
	})
}

// docs/import-export.md is executed: every list on the page is imported, and every refused one is refused as it says.
func TestPage(t *testing.T) {
	page, err := os.ReadFile(filepath.Join("..", "..", "docs", "import-export.md"))
	if err != nil {
		t.Fatal(err)
	}
	blocks := 0
	for _, part := range strings.Split(string(page), "\n```csv ")[1:] {
		head, rest, _ := strings.Cut(part, "\n")
		text, _, ended := strings.Cut(rest, "```")
		if !ended {
			t.Fatalf("%s: no end", head)
		}
		blocks++
		list, refusal, refused := strings.Cut(head, " refused: ")
		o := texts{"l.csv": text, "readings/Q-0412-top.csv": plain, "readings/Q-0413-bottom.csv": poor}.options(List(list), "l.csv")
		o.Zone = time.UTC
		_, report := acts(t, newMill(), o)
		switch {
		case refused && (len(report.Faults) == 0 || report.Faults[0].Code != refusal):
			t.Errorf("%s: %v\n%s", head, report.Faults, text)
		case !refused && (len(report.Faults) > 0 || report.New == 0 || report.New != report.Rows):
			t.Errorf("%s: %+v %v\n%s", head, report, report.Faults, text)
		}
	}
	if blocks < 8 {
		t.Errorf("%d examples", blocks)
	}
}
