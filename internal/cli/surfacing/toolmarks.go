package surfacing

import (
	"fmt"
	"io"
	"path/filepath"
	"strings"

	"slatewright/face"
	"slatewright/internal/cli/verb"
	"slatewright/measure"
	"slatewright/sheet"
	"slatewright/surfacing/machine/machinefile"
	"slatewright/surfacing/toolmarks"
	"slatewright/surfacing/toolmarks/answers"
	"slatewright/trouble"
)

// Toolmarks asks what the surfacing machine left in faces.
type Toolmarks struct {
	Files []string `arg:"" optional:"" help:"Maps of faces cut on one machine, as CSV or PLY; - is standard input."`
	List  string   `placeholder:"FILE" help:"The maps with how each lay: CSV with the columns file,date,place,start,turned; all but file may be left out."`

	Feed    string       `placeholder:"x|y" help:"Axis along which the disc travels."`
	Disc    *verb.Length `placeholder:"LENGTH" help:"Diameter of the disc over its bits."`
	Pitch   *verb.Length `placeholder:"LENGTH" help:"From track to track; looked for if left out."`
	Turn    *verb.Length `placeholder:"LENGTH" help:"Way along the feed for one turn of the disc: the feed over the speed."`
	Passes  string       `placeholder:"WAY" help:"alternate (to and fro) or one-way."`
	Machine string       `placeholder:"FILE" help:"Machine file: gives disc and pitch where they are left out."`
	Stage   string       `placeholder:"NAME" help:"Stage of the machine whose disc cut last; its last one if left out."`

	UCaliper *verb.Length `name:"u-caliper" placeholder:"LENGTH" help:"Standard uncertainty of a thickness; 0.01mm if left out."`
	Limit    *verb.Length `placeholder:"LENGTH" help:"Height from which a mark counts, peak to valley; 10um if left out."`
}

// About is the help of the verb.
func (Toolmarks) About() verb.About {
	return verb.About{
		Text: `What the surfacing machine left in faces: a hollow or a step in every track (the spindle leans along or across the feed, with the correction in
			µm/m), a wedge (the bed, or bits that wear), a wave that comes back at one place (the bed, or the way of the disc), a ripple with every turn
			of the disc (out of balance). Each with its strength and interval, how sure it is, what else looks alike, and what to try first.

			A map must have a reading at least every 0.4 of a track across the tracks, or the answer says that tracks cannot be seen. A wedge needs thicknesses
			('# thickness: x y t', three places at least); whether bed or wear makes it, pieces cut from both ends ('start' in the list: the side of the first
			track, + or -). A wave needs three pieces laid at one place. A ripple needs fine readings along the feed.

			With eight dated maps or more, the day on which a mark began is looked for.

			Exit status 0: no mark above the limit. Exit status 1: a mark above it. Exit status 2: it cannot be told.`,
		Examples: []verb.Example{
			{"slatewright toolmarks face.csv --feed x --disc 400mm --pitch 200mm", "one face"},
			{"slatewright toolmarks a.csv b.csv c.csv --feed y --disc 400mm --passes alternate --json", "several, the pitch not known, for programs"},
			{"slatewright toolmarks --list maps.csv --feed x --machine machine.yaml", "with how each piece lay, and when it was cut"},
		},
	}
}

// Run reads the maps and answers.
func (v Toolmarks) Run(s *verb.Session) (verb.Report, error) {
	q, err := v.question(s)
	if err != nil {
		return nil, err
	}
	var sources []answers.Source
	switch {
	case v.List != "" && len(v.Files) > 0:
		return nil, trouble.Usage("usage", "slatewright toolmarks", "maps are named, and a list of maps too", "name them in one way")
	case v.List != "":
		list, err := verb.Read(s, v.List, sheet.Read)
		if err != nil {
			return nil, err
		}
		sources, err = answers.List(list, func(name string) (*face.Face, error) {
			if !filepath.IsAbs(name) {
				name = filepath.Join(filepath.Dir(v.List), name)
			}
			return verb.Read(s, name, face.Read)
		})
		if err != nil {
			return nil, err
		}
	case len(v.Files) == 0:
		return nil, trouble.Usage("usage", "slatewright toolmarks", "not named: FILES", "name the maps of one or more faces, or --list")
	}
	for _, name := range v.Files {
		f, err := verb.Read(s, name, face.Read)
		if err != nil {
			return nil, err
		}
		sources = append(sources, answers.FromFace(f))
	}
	r, err := answers.Of(sources, q)
	if err != nil {
		return nil, err
	}
	return marksReport{r}, nil
}

// question puts flags and machine file together.
func (v Toolmarks) question(s *verb.Session) (answers.Question, error) {
	q := answers.Question{Feed: strings.ToLower(v.Feed), Limit: mmOf(v.Limit, 0)}
	q.Facts = toolmarks.Facts{Diameter: mmOf(v.Disc, 0), Pitch: mmOf(v.Pitch, 0), Turn: mmOf(v.Turn, 0), CaliperU: mmOf(v.UCaliper, 0)}
	var err error
	if q.Facts.Order, err = answers.OrderOf(v.Passes); err != nil {
		return q, err
	}
	if v.Limit != nil && !(v.Limit.MM > 0) {
		return q, trouble.Usage("bad-limit", "--limit", "a limit must be above zero", "give a height such as 10um")
	}
	if v.Machine == "" {
		if v.Stage != "" {
			return q, trouble.Usage("usage", "slatewright toolmarks", "--stage without --machine", "name the machine file by --machine")
		}
		return q, nil
	}
	m, err := verb.Read(s, v.Machine, machinefile.Read)
	if err != nil {
		return q, err
	}
	return q, q.FromMachine(&m, v.Stage)
}

// marksReport prints the answer.
type marksReport struct{ *answers.Report }

// Outcome is Refused where a mark is above the limit, and CannotTell where that is open.
func (r marksReport) Outcome() verb.Outcome {
	switch r.State {
	case answers.Marked:
		return verb.Refused
	case answers.CannotTell:
		return verb.CannotTell
	}
	return verb.Done
}

// Print writes the answer for people.
func (r marksReport) Print(w io.Writer) {
	maps := strings.Join(r.Maps, ", ")
	if n := len(r.Maps); n > 3 {
		maps = fmt.Sprintf("%s to %s, %d maps", r.Maps[0], r.Maps[n-1], n)
	}
	fmt.Fprintf(w, "%s\n", maps)
	io.WriteString(w, verb.Wrap(r.headline(), "", "", verb.Width))
	if r.Pitch != nil {
		fmt.Fprintf(w, "the tracks stand %s mm apart (%s to %s mm)\n", measure.Decimal(r.Pitch.Value, 0), measure.Decimal(r.Pitch.From, 0), measure.Decimal(r.Pitch.To, 0))
	}
	for _, m := range r.Marks {
		verb.Section(w, title(m))
		io.WriteString(w, verb.Wrap(sentence(m.Says), "  ", "  ", verb.Width))
		rows := [][2]string{
			{"strength", fmt.Sprintf("%s µm (%s to %s µm), above the limit of %s µm: %s", um(m.Strength.Value), um(m.Strength.From), um(m.Strength.To), um(r.LimitUM), m.Above)},
			{"how sure", fmt.Sprintf("%s %% that it is there, %s %% that this is its cause; from %s", percent(m.Probability), percent(m.CauseProbability), trouble.Count(m.Maps, "map", "maps"))},
			{"to correct", m.Correct},
			{"how exact", m.Exact},
		}
		if m.Formula != "" {
			rows = append(rows, [2]string{"formula", m.Formula})
		}
		for i, text := range m.First {
			rows = append(rows, [2]string{once(i, "try first"), text})
		}
		for i, text := range m.Alike {
			rows = append(rows, [2]string{once(i, "looks alike"), text})
		}
		verb.Columns(w, rows)
	}
	r.printTrends(w)
	if len(r.CannotSee) > 0 {
		verb.Section(w, "Not seen here")
		for _, text := range r.CannotSee {
			io.WriteString(w, verb.Wrap(text, "  - ", "    ", verb.Width))
		}
	}
	verb.PrintWarnings(w, r.Warnings)
}

func (r marksReport) printTrends(w io.Writer) {
	if len(r.Trends) == 0 {
		return
	}
	verb.Section(w, "Since when")
	for _, t := range r.Trends {
		text := fmt.Sprintf("%s: cannot tell from %s", t.Cause, trouble.Count(t.Values, "map", "maps"))
		switch {
		case t.Date != nil:
			text = fmt.Sprintf("%s: since %s (%s to %s), from %s to %s µm, %s", t.Cause, *t.Date, *t.From, *t.To, um(*t.BeforeUM), um(*t.AfterUM), map[string]string{"step": "at once", "growth": "growing"}[t.State])
		case t.BeforeUM != nil:
			text = fmt.Sprintf("%s: no change in %s, %s µm", t.Cause, trouble.Count(t.Values, "map", "maps"), um(*t.BeforeUM))
		}
		io.WriteString(w, verb.Wrap(text, "  ", "    ", verb.Width))
	}
}

func title(m answers.Mark) string {
	text := strings.ReplaceAll(m.Cause, "-", " ")
	if !m.Found {
		text += ", suspected"
	}
	return strings.ToUpper(text[:1]) + text[1:]
}

func sentence(text string) string { return strings.ToUpper(text[:1]) + text[1:] + "." }

func once(i int, name string) string {
	if i > 0 {
		return ""
	}
	return name
}

// um prints micrometres, with a decimal where it counts.
func um(v float64) string {
	if v < 10 && v > -10 {
		return measure.Decimal(v, 1)
	}
	return measure.Decimal(v, 0)
}

// percent prints a probability; never 100 where it is less.
func percent(p float64) string {
	if p > 0.995 && p < 1 {
		return "over 99"
	}
	return measure.Decimal(p*100, 0)
}

// headline is the answer in one sentence.
func (r marksReport) headline() string {
	found := 0
	for _, m := range r.Marks {
		if m.Found && m.Above == "yes" {
			found++
		}
	}
	limit := fmt.Sprintf("%g µm", r.LimitUM)
	switch {
	case r.State == answers.NoMarks && len(r.Marks) == 0:
		return "No marks of the machine are found"
	case r.State == answers.NoMarks:
		return "No mark is above " + limit
	case r.State == answers.CannotTell && len(r.Marks) == 0 && r.HiddenUM == nil:
		return "It cannot be told: these maps cannot show tracks"
	case r.State == answers.CannotTell:
		return "Whether a mark is above " + limit + " cannot be told"
	}
	return trouble.Count(found, "mark is", "marks are") + " above " + limit + "; look first at: " + r.Marks[0].Says
}
