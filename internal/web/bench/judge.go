package bench

import (
	"bytes"

	"slatewright/certificate"
	"slatewright/internal/book"
	"slatewright/internal/measured"
	"slatewright/internal/web/problem"
	"slatewright/internal/web/shell"
)

// verdict is the page of judging or certifying a set.
type verdict struct {
	Set      string
	Pieces   []string
	Entry    string
	Waits    bool // it is still being computed
	Wrong    *problem.Problem
	Head     string
	Verdict  string
	Decides  string
	Limits   []limit
	Next     string // what the judgement advises
	Reason   string
	Laid     bool
	Here     string
	Number   string // of the certificate
	KeyID    string
	TrialKey bool
	NoKey    *problem.Problem
}

// limit is one limit with the value held against it.
type limit struct {
	Name, Value, Between, Limit, Verdict, Chance, Reason string
	Picture                                              any
}

// bed asks for the computed bed; nil while it is being computed.
func (r room) bed(v *shell.Visit, s theSet) (*measured.Bed, measured.Triple, error) {
	t, err := s.triple(v)
	if err != nil {
		return nil, t, err
	}
	asked := r.measured.AskBed(t)
	switch asked.State {
	case measured.Ready:
		return asked.Value, t, nil
	case measured.Failed:
		return nil, t, asked.Err
	}
	return nil, t, nil
}

// pageOf lays a judged bed out.
func (r room) pageOf(v *shell.Visit, s theSet) (verdict, *measured.Bed, error) {
	p := verdict{Set: s.ID, Pieces: s.state.Pieces, Entry: v.NewEntry(), Here: v.R.URL.Path}
	b, t, err := r.bed(v, s)
	if err != nil {
		if wrong := shell.Mendable(err); wrong != nil {
			p.Wrong, p.Head = wrong, v.HeadOf(wrong)
			return p, nil, nil
		}
		return p, nil, err
	}
	if b == nil {
		p.Waits = true
		if v.Scripts == nil || v.Scripts.Path("everywhere") == "" {
			v.W.Header().Set("Refresh", "2")
		}
		return p, nil, nil
	}
	p.Verdict, p.Laid, p.Next, p.Reason = b.Verdict.String(), t.LayUp != "", b.Next.Text, b.Next.Reason
	for _, x := range b.Results {
		p.Limits = append(p.Limits, limitOf(v, x))
		if x.Name == b.DecidedBy {
			p.Decides = p.Limits[len(p.Limits)-1].Name
		}
	}
	return p, b, nil
}

func limitOf(v *shell.Visit, x measured.Result) limit {
	l := limit{Name: v.Say("stone.limit-" + string(x.Name)), Verdict: x.Verdict.String(), Reason: x.Reason}
	if l.Limit = v.Both(x.Limit); x.AtLeast {
		l.Limit = v.Say("stone.at-least", "limit", v.BothSizes(x.Limit))
	}
	if x.Missing {
		return l
	}
	l.Value, l.Between = v.Both(x.Value), v.Say("stone.between", "low_mm", x.Interval[0], "high_mm", x.Interval[1])
	if !x.AtLeast {
		l.Picture = shell.Interval{Value: x.Value, Low: x.Interval[0], High: x.Interval[1], Limit: x.Limit}.Picture(v.Words)
	}
	if x.Probability != nil {
		l.Chance = v.Chance(min(*x.Probability, almost))
	}
	return l
}

// almost is the largest probability that is shown: the sealed ones are rounded to 0.0001.
const almost = 0.9999

func (r room) judge(v *shell.Visit) error {
	s, err := setOf(v)
	if err != nil {
		return err
	}
	p, _, err := r.pageOf(v, s)
	if err != nil {
		return err
	}
	return r.showJudge(v, p)
}

func (r room) showJudge(v *shell.Visit, p verdict) error {
	page := shell.Page{Name: "bench/judge", Title: v.Say("bench.judge-set", "set", p.Set), Here: "bench", Near: true, Data: p}
	if p.Wrong != nil {
		page.Code = p.Wrong.Status
	}
	return v.Show(page)
}

// keep stores a file of this program's own making.
func (r room) keep(v *shell.Visit, text []byte) (digest string, err error) {
	digest, _, err = v.Blobs.Put(v.R.Context(), bytes.NewReader(text), certificate.MaxSize)
	return digest, err
}

// takeJudgement writes the verdict down, with the whole judgement.
func (r room) takeJudgement(v *shell.Visit) error {
	s, err := setOf(v)
	if err != nil {
		return err
	}
	form, err := v.Form()
	if err != nil {
		return err
	}
	p, b, err := r.pageOf(v, s)
	if err != nil || b == nil {
		return r.again(v, p, err, r.showJudge)
	}
	text, err := b.Body.Canonical()
	if err != nil {
		return err
	}
	digest, err := r.keep(v, text)
	if err != nil {
		return err
	}
	_, err = v.HandIn(shell.Act{Entry: form.Get("_entry"), Station: book.Bench, Act: &book.Judge{Set: s.ID, Verdict: b.Verdict.String(), Next: short(b.Next.Text), Blob: digest, Answers: s.mill.Answers}})
	if err != nil {
		return r.again(v, p, err, r.showJudge)
	}
	return v.Redirect(shell.Link(s.Ref) + "?did=judge")
}

// short keeps what an act can hold.
func short(text string) string {
	const most = 500
	if r := []rune(text); len(r) > most {
		return string(r[:most-1]) + "…"
	}
	return text
}

// again shows the page once more with what was wrong.
func (r room) again(v *shell.Visit, p verdict, err error, show func(*shell.Visit, verdict) error) error {
	if wrong := shell.Mendable(err); wrong != nil {
		p.Wrong, p.Head = wrong, v.HeadOf(wrong)
		return show(v, p)
	}
	if err != nil {
		return err
	}
	return show(v, p) // it is still being computed, or its readings do not hold
}
