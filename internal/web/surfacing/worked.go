package surfacing

import (
	"bytes"
	"fmt"
	"math"
	"strings"
	"time"

	"slatewright/face"
	"slatewright/internal/caution"
	"slatewright/internal/picture/chart"
	"slatewright/internal/tongue"
	"slatewright/internal/web/problem"
	"slatewright/internal/web/shell"
	"slatewright/sheet"
	"slatewright/stone"
	"slatewright/surfacing/machine"
	"slatewright/surfacing/machine/machinefile"
	"slatewright/surfacing/worked/answers"
	"slatewright/surfacing/worked/joblist"
)

// onWorked is the page of what work did.
const onWorked = at + "/worked"

// mostWorked is how many readings of a face the page takes; the verb takes more.
const mostWorked = 20000

// workedOff asks what the work took off, and what the machine file learns.
func workedOff() shell.Question {
	files := map[string]string{"before": "worked-before.csv", "after": "worked-after.csv"}
	all := map[string]string{"before": "worked-before.csv", "after": "worked-after.csv", "job": "worked-job.csv", "machine": "machine.yaml"}
	return shell.Question{Path: onWorked, File: "worked", Care: []caution.Topic{caution.Machines, caution.Discs}, Longest: 20 * time.Second,
		Form: func(v *shell.Visit) shell.Asking {
			return shell.Asking{Asks: v.Say("worked.asks"), About: v.Say("worked.about"),
				Form: shell.ListForm{Fields: []shell.ListField{{Name: "before", Label: v.Say("worked.before"), Hint: v.Say("worked.before-hint")},
					{Name: "after", Label: v.Say("worked.after"), Hint: v.Say("worked.after-hint")}, {Name: "job", Label: v.Say("worked.job"), Hint: v.Say("worked.job-hint")},
					{Name: "machine", Label: v.Say("worked.machine"), Hint: v.Say("worked.machine-hint")}},
					More: []shell.ListChoice{{Name: "accept", Label: v.Say("worked.accept"), Hint: v.Say("worked.accept-hint")}}},
				Links: []shell.Anchor{{Path: onWorked + "/maps", Says: v.Say("worked.maps-example")}}}
		},
		Examples: []shell.Example{{Files: all}, {Path: onWorked + "/maps", Files: files}},
		Answer:   answerWorked}
}

// workIn reads what was given.
func workIn(a shell.Asked) (answers.Question, error) {
	q := answers.Question{Stone: stone.Slate(), UModulus: 0.2, Accept: a.Typed("accept")}
	for _, f := range []struct {
		name string
		to   **face.Face
	}{{"before", &q.Before}, {"after", &q.After}} {
		list, err := a.List(f.name)
		if err != nil {
			return q, err
		}
		if *f.to, err = face.Read(list.Name, list.Reader()); err != nil {
			return q, err
		}
		if (*f.to).Len() > mostWorked {
			return q, problem.New("too-large", f.name, a.Say("worked.too-many", "most", mostWorked), a.Say("worked.too-many-next", "command", "slatewright worked BEFORE AFTER"))
		}
	}
	job, file := a.Lists.Lists["job"], a.Lists.Lists["machine"]
	if job.Empty() != file.Empty() {
		missing := "job"
		if file.Empty() {
			missing = "machine"
		}
		return q, problem.New("missing", missing, a.Say("worked.half"), a.Say("worked.half-next"))
	}
	if job.Empty() {
		return q, nil
	}
	m, err := machinefile.Parse(file.Name, []byte(file.Text))
	if err != nil {
		return q, err
	}
	list, err := sheet.Read(job.Name, job.Reader())
	if err != nil {
		return q, err
	}
	if q.List, err = joblist.Read(list, &m); err != nil {
		return q, err
	}
	q.Machine, q.MachineName, q.MachineText = &m, file.Name, []byte(file.Text)
	return q, nil
}

func answerWorked(a shell.Asked) (shell.Reply, error) {
	q, err := workIn(a)
	if err != nil {
		return shell.Reply{}, err
	}
	w, err := shell.Once(a, "worked", func(func() bool) (*answers.Work, error) { return answers.Of(q) })
	if err != nil {
		return shell.Reply{}, err
	}
	s := taken{a.Words, w}
	out := shell.Reply{JSON: w}
	out.Tone, out.Says, out.Next = s.tone(), s.says(), s.next()
	out.Wide, out.Narrow = chart.Both(s.picture)
	out.Caption, out.Behind, out.Figures = s.caption(), s.behind(), s.figures()
	if len(w.Stages) > 0 {
		out.Tables = append(out.Tables, s.stages())
	}
	if len(w.Learned) > 0 {
		out.Tables = append(out.Tables, s.lessons())
	}
	out.Notes = w.Warnings
	if text := w.File(); text != nil {
		out.Files = []shell.ReplyFile{{ListFile: shell.ListFile{As: "machine", Label: a.Say("worked.take-machine")}, Name: "machine.yaml", Kind: "application/yaml; charset=utf-8", Content: bytes.Clone(text)}}
	}
	return out, nil
}

// taken is answered work on its way to a page.
type taken struct {
	tongue.Words
	*answers.Work
}

func (s taken) tone() string {
	switch {
	case !s.Tied() || s.Foreign():
		return "doubt"
	case s.Far():
		return "bad"
	}
	return "good"
}

func (s taken) says() string {
	r := s.Removal
	if !s.Tied() {
		return s.Say("worked.untied", "uneven_mm", r.UnevenMM)
	}
	return s.Say("worked.says", "mean_mm", *r.MeanMM, "low_mm", *r.MeanLowMM, "high_mm", *r.MeanHighMM, "volume", s.Number(*r.VolumeCM3, 0))
}

func (s taken) next() string {
	switch {
	case !s.Tied():
		return s.Say("worked.tie-next")
	case s.Foreign():
		return s.Say("worked.foreign-next")
	case s.Far():
		return s.Say("worked.far-next")
	case s.File() != nil:
		return s.Say("worked.file-next")
	}
	return ""
}

func (s taken) caption() string {
	if len(s.Learned) > 0 {
		return s.Say("worked.caption") + " " + s.Say("worked.caption-learns")
	}
	return s.Say("worked.caption")
}

// limits writes two limits; "?" where one is not known.
func (s taken) limits(low, high *float64, write func(float64) string) string {
	switch {
	case low != nil && high != nil:
		return s.Say("worked.between", "low", write(*low), "high", write(*high))
	case low != nil:
		return s.Say("worked.at-least", "low", write(*low))
	case high != nil:
		return s.Say("worked.at-most", "high", write(*high))
	}
	return s.Say("worked.cannot-tell")
}

func (s taken) figures() []shell.Figure {
	r, w := s.Removal, s.Words
	var list []shell.Figure
	if !s.Tied() {
		return []shell.Figure{{Name: w.Say("worked.uneven"), Value: w.Both(r.UnevenMM), Small: w.Say("worked.uneven-more")}}
	}
	place := func(p *[2]float64) string { return w.Say("bend.at", "x_size", p[0], "y_size", p[1]) }
	list = append(list, shell.Figure{Name: w.Say("worked.least"), Value: w.Both(*r.MinMM), Small: s.limits(r.MinLowMM, r.MinHighMM, w.Length) + ", " + place(r.MinAtMM)},
		shell.Figure{Name: w.Say("worked.most"), Value: w.Both(*r.MaxMM), Small: s.limits(r.MaxLowMM, r.MaxHighMM, w.Length) + ", " + place(r.MaxAtMM)},
		shell.Figure{Name: w.Say("worked.volume"), Value: w.Number(*r.VolumeCM3, 0) + " cm³", Small: s.limits(r.VolumeLowCM3, r.VolumeHighCM3, func(x float64) string { return w.Number(x, 0) })})
	if d := s.Depth; d != nil && d.LagMM != nil {
		list = append(list, shell.Figure{Name: w.Say("worked.left"), Value: w.Both(*d.LagMM), Small: w.Say("worked.left-more", "set_mm", d.SetMM, "wear_mm", d.WearMM, "yield_mm", d.YieldingMM)})
	}
	if k := s.Stiffness; k != nil {
		write := func(x float64) string { return w.Number(x, 1) + " N/µm" }
		f := shell.Figure{Name: w.Say("worked.stiffness"), Value: s.limits(k.LowNPerUM, k.HiNPerUM, write)}
		if k.NPerUM != nil {
			f.Value, f.Small = write(*k.NPerUM), f.Value
		}
		list = append(list, f)
	}
	if v := s.Wedge; v != nil {
		list = append(list, shell.Figure{Name: w.Say("worked.wedge"), Value: w.Both(v.SeenMM), Small: w.Say("worked.wedge-more", "low_mm", v.LowMM, "high_mm", v.HighMM, "wear_mm", v.ByWearMM)})
	}
	return list
}

// stages are what each stage took, and what its bits paid.
func (s taken) stages() shell.Table {
	t := shell.Table{Title: s.Say("worked.stages"), Caption: s.Say("worked.stages-about"),
		Heads: shell.Heads(s.Say("worked.stage"), s.Say("worked.passes"), s.Say("worked.off"), s.Say("worked.stone"), s.Say("worked.bits"), s.Say("worked.g"), "95 %", "J/mm³")}
	or := func(x *float64, decimals int) string {
		if x == nil {
			return "–"
		}
		return s.Number(*x, decimals)
	}
	for _, st := range s.Stages {
		passes := fmt.Sprint(st.Passes)
		if st.SparkOuts > 0 {
			passes = fmt.Sprintf("%d + %d", st.Passes-st.SparkOuts, st.SparkOuts)
		}
		g, within, energy := "–", "–", "–"
		if st.BitsMeasured > 0 && st.GLow != nil {
			g, within = or(st.G, 0), or(st.GLow, 0)+" – "+or(st.GHigh, 0)
			if st.GHigh == nil {
				within = "≥ " + or(st.GLow, 0)
			}
		}
		if e := st.Energy; e != nil {
			energy = s.Number(e.MeanJ, 1)
			if e.Duller {
				energy += " · " + s.Say("worked.duller")
			}
		}
		t.Rows = append(t.Rows, shell.RowOf(st.Name, passes, or(st.RemovedMM, 3), or(st.StoneCM3, 0), or(st.WornMM, 3), g, within, energy))
	}
	return t
}

// figuresOf are the decimals that show about three figures of x.
func figuresOf(x float64) int {
	if x = math.Abs(x); !(x > 0) {
		return 2
	}
	return min(max(2-int(math.Floor(math.Log10(x))), 0), 6)
}

// named is a value that is learnt, with what it belongs to.
func (s taken) named(l answers.Lesson) string {
	switch l.Of {
	case machine.GRatio:
		return s.Say("worked.value-g", "of", l.In)
	case machine.Stiffness:
		return s.Say("worked.value-stiffness", "of", l.In)
	}
	return s.Say("worked.value-energy", "of", l.In)
}

// seen is what the job showed of a value.
func (s taken) seen(l answers.Lesson) string {
	write := func(x float64) string { return s.Number(x, figuresOf(l.Was)) }
	text := s.limits(l.SeenLo, l.SeenHi, write)
	if l.Seen != nil && l.SeenHi != nil {
		text = write(*l.Seen)
	}
	if l.Aside {
		text += " · " + s.Say("worked.aside")
	}
	return text
}

// lessons are what the machine file learns.
func (s taken) lessons() shell.Table {
	t := shell.Table{Title: s.Say("worked.learns"), Caption: s.Say("worked.learns-about"),
		Heads: shell.Heads(s.Say("worked.value"), s.Say("worked.was"), s.Say("worked.this-job"), s.Say("worked.is"), s.Say("worked.jobs"), s.Say("worked.spread"))}
	for _, l := range s.Learned {
		n := figuresOf(l.Was)
		name := s.named(l)
		if l.Unit != "" {
			name += ", " + strings.ReplaceAll(l.Unit, "mm3", "mm³")
		}
		t.Rows = append(t.Rows, shell.RowOf(name, s.Number(l.Was, n)+" ± "+s.Number(l.WasU, n), s.seen(l), s.Number(l.Is, n)+" ± "+s.Number(l.IsU, n), fmt.Sprint(l.Jobs), s.Number(l.Spread, 0)))
	}
	return t
}
