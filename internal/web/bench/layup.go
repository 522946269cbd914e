package bench

import (
	"cmp"
	"fmt"
	"html/template"
	"math"
	"net/url"
	"strconv"
	"strings"
	"time"

	"slatewright/bed"
	"slatewright/certificate"
	"slatewright/internal/book"
	"slatewright/internal/caution"
	"slatewright/internal/measured"
	"slatewright/internal/tongue"
	"slatewright/internal/waiting"
	"slatewright/internal/web/bedplan"
	"slatewright/internal/web/problem"
	"slatewright/internal/web/shell"
	"slatewright/judge"
	"slatewright/measure"
)

// laying is the page of laying a set up dry.
type laying struct {
	Set         string
	New         bool   // it does not exist yet
	Asked       string // the pieces as they were named, while they are not three
	Order       string
	Picks       shell.Picks
	Lies        bool     // somebody has said which pieces lie turned end for end
	Turned      []string // those that do
	TurnedText  string   // the same as a field
	Foretold    bool
	Action      string
	Pieces      []string
	Entry       string
	Joints      []joint
	Unit        string
	Instruments []string
	Instrument  string
	U           string
	Bench       string
	Benches     []string
	Support     string
	Wrong       *problem.Problem
	Head        string
	Waits       bool
	LimitSays   string
	Plan        template.HTML // the bed from above with the places where the steps are read
}

// joint is one joint with its stations from left to right.
type joint struct {
	Name     string // as in the file
	Says     string
	Stations []station
	Dress    string // what a hand would have to take off, as foretold
}

// station is one place along a joint.
type station struct {
	Field, At, Foretold, Typed string
	Y                          float64
	Beyond                     bool // foretold beyond the limit
}

var jointNames = []string{"head-centre", "centre-foot"}

// stationsOf are the places along a joint, mm from the middle of the table, left to right: as many as a lay-up needs, the outer ones
// as far in as a step gauge stands.
func stationsOf(spec bed.Spec) (ys []float64) {
	const in = 76.5 // mm from the end of the joint: common practice, no source
	far := math.Round(spec.SizeY/2 - in)
	for i := range judge.LayUpStations {
		ys = append(ys, math.Round(-far+2*far*float64(i)/float64(judge.LayUpStations-1)))
	}
	return ys
}

func (r room) layUp(v *shell.Visit) error {
	s, err := laidSet(v, v.R.URL.Query())
	wrong := s.refusal(err)
	if err != nil && wrong == nil {
		return err
	}
	return r.showLayUp(v, s, v.R.URL.Query(), wrong)
}

// refusal is what a form shows when it names pieces that are not there; nil when the address does.
func (s theSet) refusal(err error) *problem.Problem {
	if s.mill == nil {
		return nil
	}
	return shell.Refusal(err)
}

// laidSet is the set that the address names, or one that shall be: it exists once it was laid up.
func laidSet(v *shell.Visit, form url.Values) (s theSet, err error) {
	if v.R.PathValue("number") != "" {
		return setOf(v)
	}
	s.Ref = book.Ref{Kind: book.KindSet, ID: strings.TrimSpace(form.Get("set"))}
	s.state = &book.SetState{Pieces: shell.Chosen(form.Get("pieces")), Order: strings.TrimSpace(form.Get("order"))}
	_, state, err := v.Thing(book.KindMill, v.Ledger.Site())
	if err != nil {
		return s, err
	}
	s.mill = state.(*book.MillState)
	if len(s.state.Pieces) != len(places) {
		return s, nil // they are still to be chosen
	}
	for _, id := range s.state.Pieces {
		_, state, err := v.Thing(book.KindPiece, id)
		if err != nil {
			return s, err
		}
		s.pieces = append(s.pieces, state.(*book.PieceState))
	}
	return s, nil
}

func (r room) showLayUp(v *shell.Visit, s theSet, typed url.Values, wrong *problem.Problem) error {
	spec := bed.NineFoot()
	p := laying{Set: s.ID, Pieces: s.state.Pieces, Entry: typed.Get("_entry"), Unit: unitOf(v.Words), Instrument: typed.Get("instrument"), U: typed.Get("u"), Bench: typed.Get("bench"), Support: typed.Get("support"),
		Wrong: wrong, LimitSays: v.Both(spec.Limits.Step)}
	if p.Entry == "" {
		p.Entry = v.NewEntry()
	}
	p.Action, p.Asked, p.Order = "/set/"+url.PathEscape(s.ID)+"/lay-up", listed(s.state.Pieces), s.state.Order
	if p.New = v.R.PathValue("number") == ""; p.New {
		p.Action, p.Picks = "/lay-up", r.picks(v, untold(typed))
	}
	turned := r.turnsOf(v, s, typed)
	p.Lies, p.Turned, p.TurnedText = turned != nil, turned, listed(turned)
	if p.Support == "" {
		p.Support = "bench, shimmed as on the card"
	}
	var err error
	if p.Instruments, err = numbers(v, book.KindInstrument); err == nil {
		p.Benches, err = numbers(v, book.KindBench)
	}
	if err != nil {
		return err
	}
	joints, err := r.foretold(v, s, turned)
	if err != nil && shell.Mendable(err) == nil {
		return err
	}
	p.Foretold = joints != nil
	for i, name := range jointNames {
		j := joint{Name: name, Says: v.Say("bench.joint", "from", v.Word("place", places[i]), "to", v.Word("place", places[i+1]))}
		for k, y := range stationsOf(spec) {
			st := station{Field: fmt.Sprintf("step.%d.%d", i, k), At: sided(v, y), Y: y}
			st.Typed = typed.Get(st.Field)
			if p.Foretold {
				step := at(joints[i], y)
				st.Foretold, st.Beyond = v.Length(step), math.Abs(step) > spec.Limits.Step
			}
			j.Stations = append(j.Stations, st)
		}
		p.Joints = append(p.Joints, j)
	}
	p.Plan = stepsPlan(v, spec)
	page := shell.Page{Name: "bench/lay-up", Title: v.Word("act", "lay-up"), Here: "sets", Near: true, Data: p, Care: caution.OnPage(v.Words, []caution.Topic{caution.Lifting, caution.Placing})}
	if wrong != nil {
		p.Head, page.Code = v.HeadOf(wrong), wrong.Status
		page.Data = p
	}
	return v.Show(page)
}

// sided is a place across the bed with the side on which it lies.
func sided(v *shell.Visit, y float64) string {
	switch {
	case y < 0:
		return v.Size(y) + ", " + v.Word("place", "left")
	case y > 0:
		return v.Size(y) + ", " + v.Word("place", "right")
	}
	return v.Size(y)
}

// stepsPlan is the bed from above with the places along both joints where the steps are read.
func stepsPlan(v *shell.Visit, spec bed.Spec) template.HTML {
	long, _ := spec.PieceSize()
	var at []bedplan.Place
	for i := range jointNames {
		for _, y := range stationsOf(spec) {
			at = append(at, bedplan.Place{X: bedplan.Middle(spec, i) + long/2, Y: y, Words: v.Size(y), Beside: true})
		}
	}
	return bedplan.Draw(v.Words, spec, at, v.Say("bench.steps-plan"))
}

// picks are the pieces that wait to be laid up as a set, of the size that the order asks for if one is named.
func (r room) picks(v *shell.Visit, typed url.Values) shell.Picks {
	size := ""
	if _, state, err := v.Thing(book.KindOrder, typed.Get("order")); err == nil {
		size = state.(*book.OrderState).Size
	}
	asked := r.queue.Ask(v.Now)
	return shell.PicksOf("/lay-up", typed, waiting.Ready(asked, cmp.Or(size, typed.Get("_size"))), waiting.Proposed(asked))
}

// at is the step of a joint at a place, between the places that were computed.
func at(j measured.Joint, y float64) float64 {
	if len(j.Y) == 0 {
		return 0
	}
	for i := 1; i < len(j.Y); i++ {
		if j.Y[i] >= y {
			share := (y - j.Y[i-1]) / (j.Y[i] - j.Y[i-1])
			return j.Step[i-1] + max(0, min(1, share))*(j.Step[i]-j.Step[i-1])
		}
	}
	return j.Step[len(j.Step)-1]
}

func unitOf(w tongue.Words) string {
	if w.Units() == tongue.Inch {
		return "thou"
	}
	return "mm"
}

// numbers lists the things of a kind.
func numbers(v *shell.Visit, k book.Kind) (list []string, err error) {
	page, err := v.Ledger.Things(v.R.Context(), book.Filter{Kind: k}, "", 100)
	for _, t := range page.Items {
		list = append(list, t.ID)
	}
	return list, err
}

// takeLayUp makes the lay-up file of the form, keeps it, and hands in the act.
func (r room) takeLayUp(v *shell.Visit) error {
	form, err := v.Form()
	if err != nil {
		return err
	}
	s, err := laidSet(v, form)
	if err == nil {
		err = r.handInLayUp(v, s, form)
	}
	if wrong := s.refusal(err); wrong != nil {
		return r.showLayUp(v, s, form, wrong)
	}
	if err != nil {
		return err
	}
	return v.Redirect(shell.Link(s.Ref) + "?did=lay-up")
}

func (r room) handInLayUp(v *shell.Visit, s theSet, form url.Values) error {
	if len(s.state.Pieces) != len(places) {
		return problem.New("other-pieces", "pieces", v.Say("bench.not-three", "n", len(s.state.Pieces)), v.Say("bench.name-three"))
	}
	text, largest, err := layUpFile(v, s, form)
	if err != nil {
		return err
	}
	if _, err := certificate.ReadLayUp("lay-up", strings.NewReader(text)); err != nil {
		return err
	}
	digest, err := r.keep(v, []byte(text))
	if err != nil {
		return err
	}
	act := &book.LayUp{Set: s.ID, Pieces: s.state.Pieces, Bench: strings.TrimSpace(form.Get("bench")), StepsMM: largest, Blob: digest, Order: s.state.Order, Turned: r.turnsOf(v, s, form)}
	if i := strings.TrimSpace(form.Get("instrument")); i != "" {
		act.Instruments = []string{i}
	}
	_, err = v.HandIn(shell.Act{Entry: form.Get("_entry"), Station: book.Sets, Act: act})
	return err
}

// layUpFile writes what was read along both joints in the form of a lay-up file, and the largest step of each.
func layUpFile(v *shell.Visit, s theSet, form url.Values) (text string, largest []float64, err error) {
	var b strings.Builder
	if s.mill.Demo {
		b.WriteString("# " + certificate.Invented + "\n")
	}
	fmt.Fprintf(&b, "# pieces: %s\n# support: %s\n", strings.Join(s.state.Pieces, ", "), oneLine(form.Get("support")))
	if i := oneLine(form.Get("instrument")); i != "" {
		fmt.Fprintf(&b, "# instrument: %s\n", i)
	}
	if u := oneLine(form.Get("u")); u != "" {
		mm, err := lengthOf(v, "u", u)
		if err != nil {
			return "", nil, err
		}
		fmt.Fprintf(&b, "# u: %s mm\n", strconv.FormatFloat(mm, 'f', -1, 64))
	}
	fmt.Fprintf(&b, "# date: %s\njoint,y_mm,step_mm\n", v.Now.Format(time.DateOnly))
	for i, name := range jointNames {
		most := 0.0
		for k, y := range stationsOf(bed.NineFoot()) {
			field := fmt.Sprintf("step.%d.%d", i, k)
			typed := strings.TrimSpace(form.Get(field))
			if typed == "" {
				return "", nil, problem.New("missing", field, v.Say("bench.step-missing", "joint", v.Say("bench.joint", "from", v.Word("place", places[i]), "to", v.Word("place", places[i+1])), "y_size", y), v.Say("bench.step-missing-next"))
			}
			step, err := lengthOf(v, field, typed)
			if err != nil {
				return "", nil, err
			}
			if math.Abs(step) > math.Abs(most) {
				most = step
			}
			fmt.Fprintf(&b, "%s,%s,%s\n", name, strconv.FormatFloat(y, 'f', -1, 64), strconv.FormatFloat(step, 'f', -1, 64))
		}
		largest = append(largest, most)
	}
	return b.String(), largest, nil
}

func oneLine(s string) string { return strings.Join(strings.Fields(s), " ") }

// lengthOf reads a small length as it was typed: a bare number is in the reader's unit.
func lengthOf(v *shell.Visit, field, typed string) (float64, error) {
	plain := strings.Replace(strings.ReplaceAll(typed, "−", "-"), ",", ".", 1)
	if _, err := strconv.ParseFloat(plain, 64); err == nil {
		plain += " " + unitOf(v.Words)
	}
	mm, _, err := measure.ParseLengthUnit(plain)
	if err != nil || math.Abs(mm) > 50 {
		return 0, problem.New("bad-value", field, v.Say("bench.no-length", "typed", typed), v.Say("bench.no-length-next", "unit", unitOf(v.Words)))
	}
	return mm, nil
}
