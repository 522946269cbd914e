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
	"slatewright/internal/paper"
	"slatewright/internal/rehearsal"
	"slatewright/judge"
	"slatewright/seating"
	"slatewright/sets"
	"slatewright/trouble"
)

// demoVerb runs the main job on the invented mill.
type demoVerb struct {
	Out    string `default:"out" placeholder:"FOLDER" help:"Where everything goes; files of an earlier demo are written over."`
	Seed   uint64 `default:"${demoSeed}" help:"Seed of the invented mill: another seed is another mill."`
	Pieces int    `default:"15" help:"How many pieces lie ready, 3 to 20."`
}

func (demoVerb) about() about {
	return about{
		text: `Runs the main job on Quern Hollow, a mill that does not exist: its pieces are measured with a dial over a bench, every three are tried
			in every place and turn, the best sets are chosen exactly, each is judged, and each gets its certificate or its reasoned no. The
			first set that conforms is then laid up dry and its steps measured.

			Everything made says "invented data, not a real certificate", and it is signed with a key that any verification shows
			as a trial key. Open index.html in the folder to see it all.`,
		examples: []example{
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
	Beds   int        `json:"beds_tried"`
	Sets   []*demoSet `json:"sets"`
	Unused []string   `json:"unused"`
	Index  string     `json:"index"`
}

type demoSet struct {
	Set     string    `json:"set"`
	Pieces  [3]string `json:"pieces"` // head, centre, foot
	Verdict string    `json:"verdict"`
	Basis   string    `json:"basis"`
	Next    string    `json:"next_step"`
	Files   []string  `json:"files"`
	papers  *papers
}

// demo is the mill at work.
type demo struct {
	verb     demoVerb
	progress *progress
	mill     *rehearsal.Mill
	spec     bed.Spec
	key      certificate.Key
	faces    []*face.Face
	report   *demoReport
}

// Run rehearses the main job.
func (v demoVerb) Run(s *session) (report, error) {
	if v.Pieces < 3 || v.Pieces > sets.MostPieces {
		return nil, trouble.Usage("bad-count", "slatewright demo", fmt.Sprintf("--pieces %d cannot be matched", v.Pieces), fmt.Sprintf("give 3 to %d", sets.MostPieces))
	}
	d := &demo{verb: v, mill: rehearsal.New(v.Seed, v.Pieces), spec: bed.NineFoot()}
	d.spec.Pattern = "invented nine-foot bed"
	d.report = &demoReport{Demo: true, Mill: rehearsal.MillName, Out: v.Out, Pieces: v.Pieces, Beds: sets.Triples(v.Pieces), Unused: []string{}}
	d.progress = newProgress(s, sets.Triples(v.Pieces)+100*(v.Pieces/3)) // a set takes about as long as a hundred triples
	defer d.progress.close()
	for _, step := range []func() error{d.measure, d.newKey, d.matchAndJudge, d.layUpFirst, d.write} {
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
		return trouble.IO("unwritable", path, "the file cannot be written: "+reason(err), "give another --out folder").Because(err)
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
		f, err := face.ReadFile(filepath.Join(d.verb.Out, name))
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

// matchAndJudge tries every three pieces, chooses the sets and judges each.
func (d *demo) matchAndJudge() error {
	stock, err := seating.NewStock(d.faces, d.spec)
	if err != nil {
		return err
	}
	trials, err := sets.Try(stock, d.stepRoom(), func(int) { d.progress.add(1) })
	if err != nil {
		return err
	}
	plan, err := sets.Pack(len(d.faces), trials, d.good, d.cost)
	if err != nil {
		return err
	}
	for _, i := range plan.Unused {
		d.report.Unused = append(d.report.Unused, d.mill.Pieces[i].Serial)
	}
	for n, t := range plan.Sets {
		if err := d.judge(fmt.Sprintf("QH-S%02d", n+1), t); err != nil {
			return err
		}
		d.progress.add(100)
	}
	return nil
}

// doubt is a first estimate of the standard uncertainty of a zone, for choosing sets; the judgement works out its own.
func (d *demo) doubt() float64 {
	u := d.spec.Uncertainty
	return math.Sqrt(u.Reading*u.Reading + u.Bench*u.Bench + u.BetweenPoints*u.BetweenPoints)
}

// stepRoom is the step limit less what its own doubt will take from it.
func (d *demo) stepRoom() float64 {
	return d.spec.Limits.Step - judge.Factor(d.spec.Decision)*d.doubt()
}

// good tells whether a bed may be expected to conform.
func (d *demo) good(t seating.Trial) bool {
	room := judge.Factor(d.spec.Decision) * d.doubt()
	limits := d.spec.Limits
	for _, i := range t.Index {
		if !ready(d.faces[i]) {
			return false
		}
	}
	return t.Feasible && t.Zone <= limits.Zone-room && t.Lengthwise <= limits.Lengthwise-room && t.Across <= limits.Across-room
}

// ready tells whether a piece may be certified at all: dry, and equally warm on both faces.
func ready(f *face.Face) bool {
	warm := f.TempTop == nil || f.TempBottom == nil || math.Abs(*f.TempTop-*f.TempBottom) > judge.MaxKelvin
	return f.DrySince != "" && !warm
}

// cost ranks beds that are equally good: the larger step and the zone as shares of their limits, and the spread of
// thickness in quarters of a millimetre.
func (d *demo) cost(t seating.Trial) float64 {
	low, high := math.Inf(1), 0.0
	for _, i := range t.Index {
		mean := 0.0
		for _, c := range d.faces[i].Thickness {
			mean += c.T / float64(len(d.faces[i].Thickness))
		}
		low, high = min(low, mean), max(high, mean)
	}
	spread := (high - low) / 0.25
	if !t.Feasible {
		const never = 100 // a bed whose joints do not close is the last resort
		return never + spread
	}
	return max(t.Steps[0], t.Steps[1])/d.spec.Limits.Step + t.Zone/d.spec.Limits.Zone + spread
}

// input is what a set of the demo is composed from.
func (d *demo) input(set string, faces [3]*face.Face) certificate.Input {
	in := certificate.Input{Program: program, Demo: true, Mill: rehearsal.MillName + " (invented)", Set: set, Faces: faces, Spec: d.spec, Seed: d.verb.Seed}
	for _, f := range faces {
		in.Issued = max(in.Issued, f.Date)
	}
	if len(in.Issued) >= 7 {
		in.DateCode = in.Issued[2:4] + in.Issued[5:7]
	}
	return in
}

func (d *demo) judge(name string, t seating.Trial) error {
	set := &demoSet{Set: name}
	var faces [3]*face.Face
	for place, i := range t.Index {
		faces[place] = d.faces[i]
		set.Pieces[place] = d.mill.Pieces[i].Serial
	}
	body, err := compose(d.input(name, faces))
	if err != nil {
		return err
	}
	d.report.Sets = append(d.report.Sets, set)
	return set.take(body)
}

func (set *demoSet) take(body certificate.Body) (err error) {
	set.papers, err = newPapers(body)
	set.Verdict, set.Basis, set.Next = body.Found.Verdict, body.Found.Basis, body.Found.Next.Text
	return err
}

// layUpFirst lays the first conforming set up dry and certifies it with the steps as measured.
func (d *demo) layUpFirst() error {
	for _, set := range d.report.Sets {
		if set.Verdict == string(paper.Conforms) {
			return d.layUp(set)
		}
	}
	return nil
}

func (d *demo) layUp(set *demoSet) error {
	var pieces [3]*rehearsal.Piece
	var moves [3]rehearsal.Move
	var faces [3]*face.Face
	for place, p := range set.papers.body.Found.Pieces {
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
	layUp, err := readLayUp(filepath.Join(d.verb.Out, name))
	if err != nil {
		return err
	}
	in := d.input(set.Set, faces)
	in.LayUp = layUp
	in.MaxStep = set.papers.body.Given.Question.MaxStep.Float64() // the seating that was laid up, not another
	body, err := certificate.Compose(in)
	if err != nil {
		return err
	}
	return set.take(body)
}

// write makes the papers, the maps and the page that shows them.
func (d *demo) write() error {
	index := paper.Index{Demo: true, Mill: rehearsal.MillName, Title: "Sets judged at " + rehearsal.MillName, Program: program, Summary: d.summary()}
	for _, set := range d.report.Sets {
		index.Made = max(index.Made, set.papers.body.Issued)
		entry, err := d.writeSet(set)
		if err != nil {
			return err
		}
		index.Sets = append(index.Sets, entry)
	}
	var links []paper.Link
	for _, p := range d.mill.Pieces {
		links = append(links, paper.Link{Text: p.Serial, Href: "readings/" + p.Serial + ".csv"})
	}
	index.Groups = []paper.LinkGroup{{Title: "Readings", Links: links},
		{Title: "To check it", Links: []paper.Link{{Text: "specification", Href: "nine-foot.yaml"}, {Text: "public trial key", Href: "trial-key.pub"}}}}
	var b bytes.Buffer
	if err := index.HTML(&b); err != nil {
		return err
	}
	d.report.Index = filepath.Join(d.verb.Out, "index.html")
	return d.put("index.html", b.Bytes())
}

func (d *demo) summary() []string {
	good := 0
	for _, set := range d.report.Sets {
		if set.Verdict == string(paper.Conforms) {
			good++
		}
	}
	return []string{fmt.Sprintf("%d pieces were measured and all %d ways to take three of them tried, in every place and turn. Of the %d sets chosen, %d conform.",
		d.report.Pieces, d.report.Beds, len(d.report.Sets), good)}
}

// writeSet writes the papers of one set and returns its entry on the page.
func (d *demo) writeSet(set *demoSet) (paper.IndexSet, error) {
	files, err := set.papers.files(&d.key, paper.A4)
	if err != nil {
		return paper.IndexSet{}, err
	}
	var b bytes.Buffer
	if err := set.papers.bedMap().SVG(&b); err != nil {
		return paper.IndexSet{}, err
	}
	files = append(files, made{"maps/" + set.Set + ".svg", b.Bytes()})
	words := map[string]string{".json": "sealed certificate", ".pdf": "paper", ".svg": "map"}
	var links []paper.Link
	for _, f := range files {
		if err := d.put(f.name, f.text); err != nil {
			return paper.IndexSet{}, err
		}
		set.Files = append(set.Files, filepath.Join(d.verb.Out, f.name))
		links = append(links, paper.Link{Text: words[filepath.Ext(f.name)], Href: f.name})
	}
	return set.papers.indexSet(links), nil
}

func (r *demoReport) print(w io.Writer) {
	fmt.Fprintf(w, "%s, a mill that does not exist: %s\n\n", r.Mill, rehearsal.Notice)
	fmt.Fprintf(w, "%d pieces measured, %d beds of three tried in every place and turn, %d sets judged:\n\n", r.Pieces, r.Beds, len(r.Sets))
	fmt.Fprintf(w, "  %-7s %-8s %-8s %-8s  %6s  %6s  %6s  %6s  %6s  %s\n", "set", "head", "centre", "foot", "along", "across", "zone", "step 1", "step 2", "verdict")
	for _, set := range r.Sets {
		fmt.Fprintf(w, "  %-7s %-8s %-8s %-8s", set.Set, set.Pieces[0], set.Pieces[1], set.Pieces[2])
		for _, x := range set.papers.results()[:5] {
			fmt.Fprintf(w, "  %6.3f", x.Value)
		}
		fmt.Fprintf(w, "  %s, %s\n", set.Verdict, set.Basis)
	}
	fmt.Fprint(w, "  mm\n")
	for _, set := range r.Sets {
		if set.Verdict != string(paper.Conforms) {
			fmt.Fprintf(w, "\n%s", wrap(set.papers.reason()+" Next: "+set.Next, set.Set+": ", "        ", width))
		}
	}
	fmt.Fprintf(w, "\nOpen %s to see it all. To check a certificate:\n", r.Index)
	for _, set := range r.Sets {
		if set.Verdict == string(paper.Conforms) {
			fmt.Fprintf(w, "  slatewright verify %s --key %s\n", filepath.Join(r.Out, set.Set+".json"), filepath.Join(r.Out, "trial-key.pub"))
			break
		}
	}
}

func (r *demoReport) outcome() outcome { return done }
