package cli

import (
	"bytes"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"

	"slatewright/bed"
	"slatewright/bed/specfile"
	"slatewright/certificate"
	"slatewright/chance"
	"slatewright/face"
	"slatewright/internal/cli/office"
	"slatewright/internal/cli/verb"
	"slatewright/internal/paper"
	"slatewright/internal/paper/desk"
	"slatewright/internal/paper/page"
	"slatewright/internal/rehearsal"
	"slatewright/internal/rehearsal/halfyear"
	"slatewright/judge"
	"slatewright/sets"
	"slatewright/sets/beds"
	"slatewright/trouble"
)

// demoVerb runs the main job on the invented mill.
type demoVerb struct {
	Out      string `default:"out" placeholder:"FOLDER" help:"Where everything goes; files of an earlier demo are taken away."`
	Seed     uint64 `default:"${demoSeed}" help:"Seed of the invented mill: another seed is another mill."`
	Pieces   int    `default:"15" help:"How many pieces lie ready, 3 to 60."`
	NoBook   bool   `name:"no-book" help:"Leave out the mill's book of half a year."`
	printing `embed:""`
}

func (demoVerb) About() verb.About {
	return verb.About{
		Text: `Runs the main job on Quern Hollow, a mill that does not exist: its pieces are measured with a dial over a bench; the best sets
			are chosen, with proof that no other choice is better; each is judged, and each gets its certificate or its reasoned no. The first set
			that conforms is then laid up dry and its steps measured.

			It also fills the invented mill's book with half a year of acts: quarried, sawn, surfaced, read, matched, seasoned, lined, certified
			and shipped, with what went wrong on the way. slatewright serve --demo opens it.

			Everything made says "invented data, not a real certificate", and it is signed with a key that any verification shows
			as a trial key. Open index.html in the folder to see it all. The PDF papers and the maps speak the language of --language; the page
			and the sealed files are in English.`,
		Examples: []verb.Example{
			{"slatewright demo", "writes the folder out"},
			{"slatewright demo --seed 7 --out elsewhere", "another mill"},
		},
	}
}

// demoReport is what the demo decided.
type demoReport struct {
	Demo   bool       `json:"demo"`
	Mill   string     `json:"mill"`
	Out    string     `json:"out"`
	Pieces int        `json:"pieces"`
	Threes int        `json:"threes"` // threes of pieces that were weighed
	Priced int        `json:"priced"` // of those, truly laid together in every place and turn; none of the others could win
	Sets   []*demoSet `json:"sets"`
	Unused []string   `json:"unused"`
	Index  string     `json:"index"`
	Book   string     `json:"book"` // folder of the mill's book; empty when it was left out
	Acts   int        `json:"acts"` // in it
}

type demoSet struct {
	Set     string    `json:"set"`
	Pieces  [3]string `json:"pieces"` // head, centre, foot
	Verdict string    `json:"verdict"`
	Basis   string    `json:"basis"`
	Next    string    `json:"next_step"`
	Files   []string  `json:"files"`
	desk    *desk.Set
}

// demo is the mill at work.
type demo struct {
	verb     demoVerb
	session  *verb.Session
	progress *verb.Progress
	mill     *rehearsal.Mill
	spec     bed.Spec
	key      certificate.Key
	faces    []*face.Face
	form     paper.Form
	report   *demoReport
}

// mostPieces is how many pieces the demo takes: judging their sets is a matter of a minute.
const mostPieces = 60

// Run rehearses the main job.
func (v demoVerb) Run(s *verb.Session) (verb.Report, error) {
	if v.Pieces < 3 || v.Pieces > mostPieces {
		return nil, trouble.Usage("bad-count", "slatewright demo", fmt.Sprintf("--pieces %d cannot be matched", v.Pieces), fmt.Sprintf("give 3 to %d", mostPieces))
	}
	form, err := v.form(s, paper.A4)
	if err != nil {
		return nil, err
	}
	d := &demo{verb: v, session: s, form: form, mill: rehearsal.New(v.Seed, v.Pieces), spec: bed.NineFoot()}
	d.spec.Pattern = "invented nine-foot bed"
	d.report = &demoReport{Demo: true, Mill: rehearsal.MillName, Out: v.Out, Pieces: v.Pieces, Unused: []string{}}
	d.progress = verb.NewProgress(s, int64(1+v.Pieces/3), "seating and judging") // choosing takes about as long as judging one set
	defer d.progress.Close()
	for _, step := range []func() error{d.clear, d.measure, d.newKey, d.matchAndJudge, d.layUpFirst, d.write, d.fillBook} {
		if err := step(); err != nil {
			return nil, err
		}
	}
	return d.report, nil
}

// put writes a file of the demo, over an earlier one.
func (d *demo) put(name string, text []byte) error {
	path := filepath.Join(d.verb.Out, name)
	err := os.MkdirAll(filepath.Dir(path), 0o777)
	if err == nil {
		err = os.WriteFile(path, text, 0o666)
	}
	if err != nil {
		return verb.Unwritable(path, err)
	}
	return nil
}

// ofEarlier are the names of the files that an earlier demo may have left and that this one need not write over: another seed
// makes other sets, and fewer pieces fewer readings.
var ofEarlier = []string{"QH-S[0-9][0-9].json", "QH-S[0-9][0-9].pdf", "QH-S[0-9][0-9]-refusal.pdf", "maps/QH-S[0-9][0-9].svg",
	"readings/QH-01[0-9][0-9].csv", "readings/QH-S[0-9][0-9]-layup.csv"}

// clear takes away what an earlier demo left in the folder, and nothing else.
func (d *demo) clear() error {
	if !d.verb.NoBook {
		if err := office.ClearDemo(d.session, filepath.Join(d.verb.Out, bookFolder)); err != nil {
			return err
		}
	}
	for _, pattern := range ofEarlier {
		dir := filepath.Join(d.verb.Out, filepath.Dir(pattern))
		entries, _ := os.ReadDir(dir) // a folder that is not there yet holds nothing
		for _, e := range entries {
			if match, _ := filepath.Match(filepath.Base(pattern), e.Name()); !match || !e.Type().IsRegular() {
				continue
			}
			if path := filepath.Join(dir, e.Name()); os.Remove(path) != nil {
				return trouble.IO("unwritable", path, "what an earlier demo left here cannot be taken away", "give another --out folder")
			}
		}
	}
	return nil
}

// measure writes the readings as files and reads them back, as a mill's own would be.
func (d *demo) measure() error {
	for _, p := range d.mill.Pieces {
		var b bytes.Buffer
		if err := d.mill.Readings(p).WriteCSV(&b); err != nil {
			return err
		}
		name := "readings/" + p.Serial + ".csv"
		if err := d.put(name, b.Bytes()); err != nil {
			return err
		}
		f, err := readFace(d.session, filepath.Join(d.verb.Out, name))
		if err != nil {
			return err
		}
		d.faces = append(d.faces, f)
	}
	var b bytes.Buffer
	if err := specfile.Write(&b, d.spec); err != nil {
		return err
	}
	return d.put("nine-foot.yaml", b.Bytes())
}

// newKey makes the trial key from the seed, so that the same demo gives the same files.
func (d *demo) newKey() (err error) {
	if d.key, err = certificate.NewKey(&seeded{chance.NewStream(d.verb.Seed).Split("trial key")}, true); err != nil {
		return err
	}
	return d.put("trial-key.pub", d.key.Public().Text())
}

// seeded is a reader of a stream's bytes. It is good for trial keys only.
type seeded struct{ stream *chance.Stream }

func (s *seeded) Read(p []byte) (int, error) {
	for i := range p {
		p[i] = byte(s.stream.Uint64() >> 56)
	}
	return len(p), nil
}

// matchAndJudge chooses as many sets as may be expected to conform, lays together what is left over, and judges each.
func (d *demo) matchAndJudge() error {
	good := sets.Class{Limits: d.spec.Limits, Room: judge.Factor(d.spec.Decision) * judge.FirstDoubt(d.spec)}
	rest := sets.Class{Limits: bed.Limits{Lengthwise: loose, Across: loose, Zone: loose, Step: loose}}
	all := make([]int, len(d.faces))
	for i := range all {
		all[i] = i
	}
	chosen, left, err := d.match(all, good, true)
	if err != nil {
		return err
	}
	more, left, err := d.match(left, rest, false)
	if err != nil {
		return err
	}
	d.progress.Add(1)
	for _, i := range left {
		d.report.Unused = append(d.report.Unused, d.mill.Pieces[i].Serial)
	}
	for n, pieces := range append(chosen, more...) {
		if err := d.judge(fmt.Sprintf("QH-S%02d", n+1), pieces); err != nil {
			return err
		}
		d.progress.Add(1)
	}
	return nil
}

// loose is far beyond what a bed may be, mm.
const loose = 10

// match chooses sets of a class from some of the pieces, and says which are left over; ready takes only pieces that may be judged.
func (d *demo) match(pieces []int, class sets.Class, ready bool) (chosen [][3]int, left []int, err error) {
	q := sets.Question{Spec: d.spec, Classes: []sets.Class{class}, Weights: sets.DefaultWeights()}
	for _, i := range pieces {
		f := d.faces[i]
		p := sets.Piece{ID: d.mill.Pieces[i].Serial, Ways: beds.AnyWay(), Face: f, Thickness: math.NaN()}
		if ready && !judge.Ready(f, d.spec, "") {
			p.NotReady = "it may not be judged as it was read"
		}
		for n, k := range f.Thickness {
			if n == 0 {
				p.Thickness = 0
			}
			p.Thickness += k.T / float64(len(f.Thickness))
		}
		q.Pieces = append(q.Pieces, p)
	}
	plan, err := sets.Match(q)
	if err != nil {
		return nil, nil, err
	}
	d.report.Threes += plan.Triples
	d.report.Priced += plan.Priced
	for _, s := range plan.Sets {
		chosen = append(chosen, [3]int{pieces[s.Pieces[0]], pieces[s.Pieces[1]], pieces[s.Pieces[2]]})
	}
	for _, l := range plan.Unused {
		left = append(left, pieces[l.Index])
	}
	return chosen, left, nil
}

// input is what a set of the demo is composed from.
func (d *demo) input(set string, faces [3]*face.Face, layUp *certificate.LayUp) certificate.Input {
	in := certificate.Input{Program: program, Demo: true, Mill: rehearsal.MillName + " (invented)", Set: set, Faces: faces, Spec: d.spec, Seed: d.verb.Seed,
		LayUp: layUp}
	if in.Issued = latest(in); len(in.Issued) >= len("2026-11") {
		in.DateCode = in.Issued[2:4] + in.Issued[5:7]
	}
	return in
}

func (d *demo) judge(name string, pieces [3]int) error {
	set := &demoSet{Set: name}
	var faces [3]*face.Face
	for place, i := range pieces {
		faces[place] = d.faces[i]
		set.Pieces[place] = d.mill.Pieces[i].Serial
	}
	body, err := certificate.ComposeBest(d.input(name, faces, nil))
	if err != nil {
		return err
	}
	d.report.Sets = append(d.report.Sets, set)
	return set.take(body)
}

func (set *demoSet) take(body certificate.Body) (err error) {
	set.desk, err = desk.New(body)
	set.Verdict, set.Basis, set.Next = body.Found.Verdict, body.Found.Basis, body.Found.Next.Text
	return err
}

// layUpFirst lays the first conforming set up dry and certifies it with the steps as measured.
func (d *demo) layUpFirst() error {
	for _, set := range d.report.Sets {
		if set.desk.Verdict() == judge.Conforms {
			return d.layUp(set)
		}
	}
	return nil
}

func (d *demo) layUp(set *demoSet) error {
	var pieces [3]*rehearsal.Piece
	var moves [3]rehearsal.Move
	var faces [3]*face.Face
	for place, p := range set.desk.Body.Found.Pieces {
		for i, candidate := range d.mill.Pieces {
			if candidate.Serial == p.Piece {
				pieces[place], faces[place] = candidate, d.faces[i]
			}
		}
		moves[place] = rehearsal.Move{Turned: p.Turned, Height: p.Height.Float64(), TiltX: p.TiltX.Float64(), TiltY: p.TiltY.Float64()}
	}
	var b bytes.Buffer
	if err := d.mill.LayUp(pieces, moves).WriteCSV(&b); err != nil {
		return err
	}
	name := "readings/" + set.Set + "-layup.csv"
	if err := d.put(name, b.Bytes()); err != nil {
		return err
	}
	layUp, err := readLayUp(d.session, filepath.Join(d.verb.Out, name))
	if err != nil {
		return err
	}
	in := d.input(set.Set, faces, layUp)
	in.MaxStep = set.desk.Body.Given.Question.MaxStep.Float64() // the seating that was laid up, not another
	body, err := certificate.Compose(in)
	if err != nil {
		return err
	}
	return set.take(body)
}

// write makes the papers, the maps and the page that shows them.
func (d *demo) write() error {
	index := page.Index{Mark: certificate.Invented, Mill: rehearsal.MillName, Title: "Sets judged at " + rehearsal.MillName, Program: program, Summary: d.summary()}
	for _, set := range d.report.Sets {
		index.Made = max(index.Made, set.desk.Body.Issued)
		entry, err := d.writeSet(set)
		if err != nil {
			return err
		}
		index.Sets = append(index.Sets, entry)
	}
	var links []page.Link
	for _, p := range d.mill.Pieces {
		links = append(links, page.Link{Text: p.Serial, Href: "readings/" + p.Serial + ".csv"})
	}
	index.Groups = []page.LinkGroup{{Title: "Readings", Links: links},
		{Title: "To check it", Links: []page.Link{{Text: "specification", Href: "nine-foot.yaml"}, {Text: "public trial key", Href: "trial-key.pub"}}}}
	var b bytes.Buffer
	if err := index.HTML(&b); err != nil {
		return err
	}
	d.report.Index = filepath.Join(d.verb.Out, "index.html")
	return d.put("index.html", b.Bytes())
}

// bookFolder is where the invented mill's book goes, within the demo's folder.
const bookFolder = "mill"

// fillBook makes the mill's book of the half year until now.
func (d *demo) fillBook() error {
	if d.verb.NoBook {
		return nil
	}
	story, err := halfyear.New(d.verb.Seed, d.session.Clock(), program)
	if err != nil {
		return err
	}
	d.report.Book = filepath.Join(d.verb.Out, bookFolder)
	d.report.Acts, err = office.FillDemo(d.session, d.report.Book, halfyear.Site, story)
	return err
}

func (d *demo) summary() []string {
	good := 0
	for _, set := range d.report.Sets {
		if set.desk.Verdict() == judge.Conforms {
			good++
		}
	}
	return []string{fmt.Sprintf("%d pieces were measured. Of %d threes of them %d were laid together in every place and turn; none of the others could win. Of the %d sets chosen, %d conform.",
		d.report.Pieces, d.report.Threes, d.report.Priced, len(d.report.Sets), good)}
}

// writeSet writes the papers of one set and returns its entry on the page.
func (d *demo) writeSet(set *demoSet) (page.Entry, error) {
	papers, err := set.desk.Papers(&d.key, d.form)
	if err != nil {
		return page.Entry{}, err
	}
	var b bytes.Buffer
	if err := set.desk.In(d.form.Words).Map().SVG(&b); err != nil {
		return page.Entry{}, err
	}
	papers = append(papers, desk.Paper{Name: "maps/" + set.Set + ".svg", Text: b.Bytes()})
	words := map[string]string{".json": "sealed certificate", ".pdf": "paper", ".svg": "map"}
	var links []page.Link
	for _, p := range papers {
		if err := d.put(p.Name, p.Text); err != nil {
			return page.Entry{}, err
		}
		set.Files = append(set.Files, filepath.Join(d.verb.Out, p.Name))
		links = append(links, page.Link{Text: words[filepath.Ext(p.Name)], Href: p.Name})
	}
	return set.desk.Entry(links), nil
}

func (r *demoReport) Print(w io.Writer) {
	fmt.Fprintf(w, "%s, a mill that does not exist: %s\n\n", r.Mill, rehearsal.Notice)
	fmt.Fprintf(w, "%d pieces measured, %d of %d beds of three tried in every place and turn, %d sets judged:\n\n", r.Pieces, r.Priced, r.Threes, len(r.Sets))
	fmt.Fprintf(w, "  %-7s %-8s %-8s %-8s  %6s  %6s  %6s  %6s  %6s  %s\n", "set", "head", "centre", "foot", "along", "across", "zone", "step 1", "step 2", "verdict")
	for _, set := range r.Sets {
		fmt.Fprintf(w, "  %-7s %-8s %-8s %-8s", set.Set, set.Pieces[0], set.Pieces[1], set.Pieces[2])
		for _, x := range set.desk.Compared()[:5] {
			fmt.Fprintf(w, "  %6.3f", x.Value)
		}
		fmt.Fprintf(w, "  %s, %s\n", set.Verdict, set.Basis)
	}
	fmt.Fprint(w, "  mm\n")
	for _, set := range r.Sets {
		if set.desk.Verdict() != judge.Conforms {
			fmt.Fprintf(w, "\n%s", verb.Wrap(set.desk.Reason()+" Next: "+set.Next, set.Set+": ", "        ", verb.Width))
		}
	}
	fmt.Fprintf(w, "\nOpen %s to see it all. To check a certificate:\n", r.Index)
	for _, set := range r.Sets {
		if set.desk.Verdict() == judge.Conforms {
			fmt.Fprintf(w, "  slatewright verify %s --key %s\n", filepath.Join(r.Out, set.Set+".json"), filepath.Join(r.Out, "trial-key.pub"))
			break
		}
	}
	if r.Book != "" {
		named := ""
		if r.Out != usualOut {
			named = " " + r.Book
		}
		fmt.Fprintf(w, "\nThe mill's book holds half a year of acts: %d.\n  slatewright book show --book %s\n", r.Acts, r.Book)
		fmt.Fprintf(w, "\nTo open the mill's pages, start\n  slatewright serve --demo%s\nand go to %s in a browser. Sign in as lead; everybody has the passphrase %q.\n",
			named, pagesAddress, office.DemoPassphrase)
	}
}

// Where the pages of the demo are when serve is given nothing else, and the folder that it then takes.
const (
	pagesAddress = "http://127.0.0.1:8273"
	usualOut     = "out"
)

func (r *demoReport) Outcome() verb.Outcome { return verb.Done }
