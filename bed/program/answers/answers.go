// Package answers is what the command line and pages answer with alike about programs: those of a bed's pieces, each already replayed, and the replay of any
// program against the drawing.
//
// It asks packages setup, program, gcode and replay and puts what they say into the forms that programs read. It reads no files and decides nothing itself.
package answers

import (
	"strings"

	"slatewright/bed/pattern"
	"slatewright/bed/program"
	"slatewright/bed/program/gcode"
	"slatewright/bed/program/machine"
	"slatewright/bed/program/replay"
	"slatewright/bed/program/setup"
	"slatewright/trouble"
)

// Programs are those of a bed, or of one piece.
type Programs struct {
	File      string    `json:"file"`
	Machine   string    `json:"machine"`
	Invented  bool      `json:"invented_machine"`
	Pattern   string    `json:"pattern"`
	Revision  string    `json:"revision"`
	Thickness float64   `json:"thickness_mm"`
	Fits      bool      `json:"fits"` // every program passes its replay
	Programs  []Program `json:"programs"`
	Warnings  []string  `json:"warnings"`
}

// Program is one program: a piece with one face up.
type Program struct {
	Name    string   `json:"name"` // of its file
	Piece   string   `json:"piece"`
	Face    string   `json:"face_up"`
	Places  int      `json:"places"`
	Changes int      `json:"tool_changes"`
	Legs    []Leg    `json:"legs"`
	Notes   []string `json:"notes"`
	NotMade []string `json:"not_made"`
	Replay  Replay   `json:"replay"`
	Text    string   `json:"text,omitempty"`
}

// Leg is one tool's tour in one stage.
type Leg struct {
	Stage  int     `json:"stage"`
	Does   string  `json:"does"`
	Tool   int     `json:"tool"`
	Places int     `json:"places"`
	Travel float64 `json:"travel_mm"`
	Bound  float64 `json:"bound_mm"`
	Proven bool    `json:"proven"`
}

// Replay is what a replay found.
type Replay struct {
	Fits     bool      `json:"fits"` // nothing is wrong
	Faults   []Fault   `json:"faults"`
	Made     []Made    `json:"made"`
	Low      []float64 `json:"least_xyz_mm"`
	High     []float64 `json:"most_xyz_mm"`
	Cut      float64   `json:"cut_mm"`
	Rapid    float64   `json:"rapid_mm"`
	Least    float64   `json:"least_s"`
	Seconds  *float64  `json:"seconds"` // null: the acceleration is not known
	Litres   *float64  `json:"water_l"` // null: the flow is not known
	Changes  int       `json:"tool_changes"`
	Pauses   int       `json:"pauses"`
	StoneCM3 float64   `json:"stone_cm3"`
}

// Fault is something wrong with a program.
type Fault struct {
	Code  string  `json:"code"`
	Line  int     `json:"line,omitempty"`
	Lines int     `json:"lines"`
	Where string  `json:"where,omitempty"`
	What  string  `json:"what"`
	By    float64 `json:"by"`
}

// Made is what became of one target.
type Made struct {
	Name  string  `json:"name"`
	Depth float64 `json:"depth_mm"`
	Wants float64 `json:"wants_mm"`
	Over  float64 `json:"over_mm"` // beyond the wall
	Left  float64 `json:"left_mm"` // short of the wall
	Limit float64 `json:"limit_mm"`
	Area  float64 `json:"area_mm2"`
	Drawn float64 `json:"drawn_mm2"`
	Lines float64 `json:"lines_mm"` // how far apart the lines are on which the area is looked at
}

// Simulation is the replay of a program from a file.
type Simulation struct {
	File     string   `json:"file"`
	Machine  string   `json:"machine"`
	Pattern  string   `json:"pattern"`
	Revision string   `json:"revision"`
	Piece    string   `json:"piece"`
	Face     string   `json:"face_up"`
	Replay   Replay   `json:"replay"`
	Warnings []string `json:"warnings"`
}

// Written makes the programs of a pattern's pieces, of one of them where piece is not empty, each replayed. thickness 0 takes the pattern's.
func Written(file string, p pattern.Pattern, m machine.Machine, piece string, thickness float64) (*Programs, error) {
	jobs, err := setup.From(p, piece, thickness)
	if err != nil {
		return nil, err
	}
	a := &Programs{File: file, Machine: m.Name, Invented: m.Invented, Pattern: p.Name, Revision: p.Revision, Thickness: jobs[0].Thickness, Fits: true,
		Programs: []Program{}, Warnings: warnings(&m)}
	for _, j := range jobs {
		if len(j.Bores)+len(j.Cuts) == 0 && piece == "" {
			a.Warnings = append(a.Warnings, "Nothing is drilled or cut in "+j.Piece+".")
			continue
		}
		all, err := setup.Of(j, &m)
		if err != nil {
			return nil, err
		}
		for _, s := range all {
			one, err := written(s, &m)
			if err != nil {
				return nil, err
			}
			a.Fits = a.Fits && one.Replay.Fits
			a.Programs = append(a.Programs, *one)
		}
	}
	if len(a.Programs) == 0 {
		return nil, trouble.Data("bad-job", file, "nothing is drilled or cut in this bed", "give the pattern its pockets and holes")
	}
	return a, nil
}

func written(s *setup.Setup, m *machine.Machine) (*Program, error) {
	p, err := program.Write(s, m)
	if err != nil {
		return nil, err
	}
	name := fileName(s.Job.Pattern, s.Job.Revision, s.Job.Piece, s.Up.String()) + ".nc"
	c, err := course(name, p.Text, m)
	if err != nil { // the machine file's own words cannot be followed
		return nil, err
	}
	one := &Program{Name: name, Piece: s.Job.Piece, Face: s.Up.String(), Places: len(s.Targets), Changes: p.Changes, Legs: []Leg{}, Notes: append([]string{}, p.Notes...),
		NotMade: append([]string{}, s.Job.Left...), Replay: found(replay.Of(c, s, m), m), Text: string(p.Text)}
	for _, l := range p.Legs {
		one.Legs = append(one.Legs, Leg{l.Stage, program.Stages()[l.Stage-1], l.Tool, l.Places, l.Travel, l.Bound, l.Proven})
	}
	return one, nil
}

func course(name string, text []byte, m *machine.Machine) (*gcode.Course, error) {
	p, err := gcode.Parse(name, text, m.Control)
	if err != nil {
		return nil, err
	}
	return gcode.Follow(p)
}

// fileName joins words with what every file system takes.
func fileName(words ...string) string {
	return strings.Trim(strings.Map(func(c rune) rune {
		if c >= 'a' && c <= 'z' || c >= '0' && c <= '9' {
			return c
		}
		return '-'
	}, strings.ToLower(strings.Join(words, "-"))), "-")
}

// warnings travel with every answer.
func warnings(m *machine.Machine) (list []string) {
	list = program.Warnings()
	if m.Invented {
		list = append(list, "The machine is invented: its feeds are no advice, and its programs are not for use.")
	}
	return list
}

// found puts a replay into the form of an answer.
func found(r *replay.Result, m *machine.Machine) Replay {
	a := Replay{Fits: len(r.Faults) == 0, Faults: []Fault{}, Made: []Made{}, Low: []float64{r.Low.X, r.Low.Y, r.Low.Z}, High: []float64{r.High.X, r.High.Y, r.High.Z}, Cut: r.Cut, Rapid: r.Rapid,
		Least: r.Least, Changes: r.Changes, Pauses: r.Pauses, StoneCM3: r.Stone / 1000}
	if r.Seconds > 0 {
		a.Seconds = &r.Seconds
	}
	if m.Flow > 0 {
		a.Litres = &r.Litres
	}
	for _, f := range r.Faults {
		a.Faults = append(a.Faults, Fault(f))
	}
	for _, t := range r.Made {
		a.Made = append(a.Made, Made(t))
	}
	return a
}

// Asked says which piece lies how for a simulation; what is empty is read from the program's own head.
type Asked struct {
	Piece, Face string
	Thickness   float64 // 0: the pattern's
}

// Simulated replays a program from a file against a pattern. The error is a *trouble.Trouble; a program that is wrong is no error.
func Simulated(name string, text []byte, p pattern.Pattern, m machine.Machine, asked Asked) (*Simulation, error) {
	read, err := gcode.Parse(name, text, m.Control)
	if err != nil {
		return nil, err
	}
	if asked.Piece == "" {
		asked.Piece = said(read, "PIECE:")
	}
	if asked.Face == "" {
		asked.Face = said(read, "FACE UP:")
	}
	s, err := lying(name, p, &m, asked)
	if err != nil {
		return nil, err
	}
	c, err := gcode.Follow(read)
	if err != nil {
		return nil, err
	}
	a := &Simulation{File: name, Machine: m.Name, Pattern: p.Name, Revision: p.Revision, Piece: s.Job.Piece, Face: s.Up.String(), Replay: found(replay.Of(c, s, &m), &m), Warnings: warnings(&m)}
	if head := strings.ToUpper(p.Name + ", revision " + p.Revision); len(read.Comments) == 0 || read.Comments[0] != head {
		a.Warnings = append(a.Warnings, "The head of the program does not name this pattern and revision: is it the program of this drawing?")
	}
	return a, nil
}

// said is what a program's head says behind a word.
func said(p *gcode.Program, word string) string {
	for _, c := range p.Comments {
		if after, ok := strings.CutPrefix(strings.ToUpper(c), word); ok {
			return strings.TrimSpace(after)
		}
	}
	return ""
}

// lying finds the setup that was asked for.
func lying(name string, p pattern.Pattern, m *machine.Machine, asked Asked) (*setup.Setup, error) {
	var names []string
	for _, piece := range p.Pieces {
		names = append(names, piece.Name)
		if !strings.EqualFold(piece.Name, asked.Piece) {
			continue
		}
		jobs, err := setup.From(p, piece.Name, asked.Thickness)
		if err != nil {
			return nil, err
		}
		all, err := setup.Of(jobs[0], m)
		if err != nil {
			return nil, err
		}
		for _, s := range all {
			if strings.EqualFold(s.Up.String(), asked.Face) {
				return s, nil
			}
		}
		return nil, trouble.Usage("no-face", name, "nothing of this piece is made with the face \""+strings.ToLower(asked.Face)+"\" up", "give --face top or --face bottom")
	}
	return nil, trouble.Usage("no-piece", name, "the pattern has no piece \""+strings.ToLower(asked.Piece)+"\"", "give --piece; its pieces are "+strings.Join(names, ", "))
}
