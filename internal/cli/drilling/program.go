package drilling

import (
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strconv"

	"slatewright/bed/program/answers"
	"slatewright/bed/program/machine"
	"slatewright/bed/program/machinefile"
	"slatewright/internal/caution"
	"slatewright/internal/cli/verb"
	"slatewright/internal/tongue"
	"slatewright/trouble"
)

// Program writes the programs that drill and cut a bed's pieces.
type Program struct {
	Spec      string       `arg:"" help:"The pattern file, YAML; - is standard input."`
	Machine   string       `arg:"" help:"The machine file, YAML."`
	Piece     string       `placeholder:"NAME" help:"Only this piece, such as head."`
	Thickness *verb.Length `placeholder:"LENGTH" help:"Thickness of the stone, measured; without it the pattern's least."`
	Out       string       `placeholder:"FOLDER" help:"Write the programs here, one file for each piece and face; none may be there yet."`
}

// About is the help of the verb.
func (Program) About() verb.About {
	return verb.About{
		Text: `Writes what a numerically controlled machine does to each piece, as G-code of ISO 6983 in the words of the mill's own control: holes, counterbores,
			countersinks and pockets, one program for each piece and face that is up; with the bottom up, x is mirrored.

			What does not go through comes first, then the holes, then all pockets down to a web, and the cuts through last, the smallest first, so that
			the stone is strong to the last. Tools are changed as seldom as can be, and each visits its places on a short tour; beside it stands
			what no order can go below. Every program is replayed against the drawing before it is shown, and none is written that fails.

			A dry run comes first, by a qualified operator under local rules. The program knows no clamps, and is no safety device. Exit status 1: a replay
			finds something wrong.`,
		Examples: []verb.Example{
			{"slatewright bed program nine-foot.yaml machine.yaml --piece head", "tours, times and what the replay finds"},
			{"slatewright bed program nine-foot.yaml machine.yaml --out programs", "the programs as files"},
		},
	}
}

func readMachine(s *verb.Session, name string) (machine.Machine, error) {
	return verb.Read(s, name, machinefile.Read)
}

// programReport is the answer.
type programReport struct {
	*answers.Programs
	Out []string `json:"out,omitempty"`
}

// Run writes the programs.
func (v Program) Run(s *verb.Session) (verb.Report, error) {
	p, err := readPattern(s, v.Spec)
	if err != nil {
		return nil, err
	}
	m, err := readMachine(s, v.Machine)
	if err != nil {
		return nil, err
	}
	thickness, err := thick(v.Thickness)
	if err != nil {
		return nil, err
	}
	a, err := answers.Written(v.Spec, p, m, v.Piece, thickness)
	if err != nil {
		return nil, err
	}
	r := &programReport{Programs: a}
	if v.Out != "" && a.Fits {
		return r, r.write(v.Out)
	}
	return r, nil
}

// thick is a thickness that was typed, 0 where none was.
func thick(l *verb.Length) (float64, error) {
	if l == nil {
		return 0, nil
	}
	if !(l.MM > 0) || l.MM > 1000 {
		return 0, trouble.Usage("bad-thickness", "--thickness", "that is no thickness of a slate bed", "give what the caliper says, such as 26.1mm")
	}
	return l.MM, nil
}

// write writes the programs as files; they are not in the answer then.
func (r *programReport) write(folder string) error {
	if err := os.MkdirAll(folder, 0o755); err != nil {
		return verb.Unwritable(folder, err)
	}
	var files []verb.NewFile
	for i := range r.Programs.Programs {
		p := &r.Programs.Programs[i]
		path := filepath.Join(folder, p.Name)
		files = append(files, verb.NewFile{Path: path, Text: []byte(p.Text), Mode: 0o644})
		r.Out = append(r.Out, path)
		p.Text = ""
	}
	return verb.WriteNew(files...)
}

// Outcome is Refused where a replay finds something wrong.
func (r *programReport) Outcome() verb.Outcome {
	if !r.Fits {
		return verb.Refused
	}
	return verb.Done
}

// Print writes the answer for people.
func (r *programReport) Print(w io.Writer) {
	loud(w, r.Warnings)
	fmt.Fprintf(w, "\n%s, revision %s, on %s; stone %s mm\n", r.Pattern, r.Revision, r.Machine, places(r.Thickness))
	rows := [][]string{{"piece", "face up", "places", "tools", "minutes", "water l", "stone cm3", "replay"}}
	for _, p := range r.Programs.Programs {
		state := "as drawn"
		if !p.Replay.Fits {
			state = trouble.Count(len(p.Replay.Faults), "fault", "faults")
		}
		rows = append(rows, []string{p.Piece, p.Face, strconv.Itoa(p.Places), strconv.Itoa(p.Changes), minutes(&p.Replay), litres(&p.Replay), strconv.FormatFloat(p.Replay.StoneCM3, 'f', 0, 64), state})
	}
	fmt.Fprintln(w)
	verb.Table(w, 2, rows...)
	for _, p := range r.Programs.Programs {
		verb.Section(w, fmt.Sprintf("%s, %s up", p.Piece, p.Face))
		rows := [][]string{{"stage", "", "tool", "places", "travel mm", "no order below"}}
		for _, l := range p.Legs {
			bound := strconv.FormatFloat(l.Bound, 'f', 0, 64)
			if l.Proven {
				bound += ", the least"
			}
			rows = append(rows, []string{strconv.Itoa(l.Stage), l.Does, "T" + strconv.Itoa(l.Tool), strconv.Itoa(l.Places), strconv.FormatFloat(l.Travel, 'f', 0, 64), bound})
		}
		verb.Table(w, 3, rows...)
		for _, n := range p.NotMade {
			fmt.Fprintf(w, "  not made here: %s\n", n)
		}
		for _, n := range p.Notes {
			io.WriteString(w, verb.Wrap(n+".", "  ", "    ", verb.Width))
		}
		faults(w, p.Replay.Faults)
	}
	for _, path := range r.Out {
		fmt.Fprintf(w, "\nWritten: %s", path)
	}
	switch {
	case len(r.Out) > 0:
		fmt.Fprintln(w)
	case !r.Fits:
		io.WriteString(w, "\nNothing is written: mend the machine file or the drawing first.\n")
	}
	care(w)
}

// places prints mm with no more decimals than needed.
func places(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }

func minutes(r *answers.Replay) string {
	s := "at least " + strconv.FormatFloat(r.Least/60, 'f', 1, 64)
	if r.Seconds != nil {
		s = strconv.FormatFloat(*r.Seconds/60, 'f', 1, 64)
	}
	return s
}

func litres(r *answers.Replay) string {
	if r.Litres == nil {
		return "not known"
	}
	return strconv.FormatFloat(*r.Litres, 'f', 0, 64)
}

// loud writes what must be read first, before any figure.
func loud(w io.Writer, warnings []string) {
	fmt.Fprintln(w, "BEFORE A SPINDLE TURNS")
	for _, t := range warnings {
		io.WriteString(w, verb.Wrap(t, "Note: ", "      ", verb.Width))
	}
}

func faults(w io.Writer, list []answers.Fault) {
	for _, f := range list {
		at := f.Code + ": "
		if f.Line > 0 {
			at = fmt.Sprintf("line %d: %s", f.Line, at)
		}
		if f.Where != "" {
			at += f.Where + ": "
		}
		more := ""
		if f.Lines > 1 {
			more = fmt.Sprintf(" (%d lines)", f.Lines)
		}
		io.WriteString(w, verb.Wrap(at+f.What+more+".", "  ", "    ", verb.Width))
	}
}

// care writes the cautions of drilling.
func care(w io.Writer) {
	fmt.Fprintln(w)
	for _, c := range caution.OnPage(tongue.In(tongue.English, tongue.Metric), []caution.Topic{caution.Machines, caution.Dust, caution.Wet, caution.Lifting}) {
		io.WriteString(w, verb.Wrap(c.Text, c.Word+": ", "  ", verb.Width))
	}
}
