package answers

import (
	"slatewright/gauge/agreement"
	"slatewright/sheet"
)

// Agreement is the answer to a study of verdicts: do people agree who judge by go and no-go?
type Agreement struct {
	File       string    `json:"file"`
	Parts      int       `json:"parts"`
	People     int       `json:"people"`
	Trials     int       `json:"trials"`
	Confidence float64   `json:"confidence"`
	All        *Kappa    `json:"everybody"`
	Pairs      []KappaOf `json:"pairs"`
	Persons    []Judging `json:"persons"`
	Warnings   []string  `json:"warnings"`

	Names []string `json:"-"` // of the parts
}

// Kappa is agreement beyond chance with its intervals.
type Kappa struct {
	Kappa  *float64    `json:"kappa"` // null where it is not defined
	Large  *[2]float64 `json:"large_sample_interval"`
	Drawn  *[2]float64 `json:"bootstrap_interval"`
	Agreed float64     `json:"agreement"`
}

// KappaOf is how two people agree.
type KappaOf struct {
	First  string `json:"first"`
	Second string `json:"second"`
	Kappa
}

// Judging is how one person judges.
type Judging struct {
	Name        string  `json:"person"`
	Alike       float64 `json:"parts_judged_alike"`
	Own         *Kappa  `json:"own_trials"`
	Reference   *Kappa  `json:"against_reference"`
	FalseAccept *Rate   `json:"false_accepts"`
	FalseReject *Rate   `json:"false_rejects"`
}

// Rate is a share that was counted.
type Rate struct {
	Count  int        `json:"count"`
	Of     int        `json:"of"`
	Share  float64    `json:"share"`
	Within [2]float64 `json:"interval"`
}

// OfVerdicts answers a list of verdicts.
func OfVerdicts(table *sheet.Sheet) (*Agreement, error) {
	list, truth, warnings, err := agreement.Read(table)
	if err != nil {
		return nil, err
	}
	st, err := agreement.New(list, truth)
	if err != nil {
		return nil, at(table.Name, err)
	}
	a := st.Analyse(Confidence, seed)
	r := &Agreement{File: table.Name, Parts: len(st.Parts), People: len(st.People), Trials: st.Trials, Confidence: Confidence, All: kappa(a.All),
		Pairs: []KappaOf{}, Names: st.Parts, Warnings: append(append([]string{}, warnings...), a.Warnings...)}
	for _, p := range a.Pairs {
		r.Pairs = append(r.Pairs, KappaOf{p.First, p.Second, *kappa(&p.Kappa)})
	}
	for _, p := range a.People {
		r.Persons = append(r.Persons, Judging{p.Name, p.Alike, kappa(p.Own), kappa(p.Reference), rate(p.FalseAccept), rate(p.FalseReject)})
	}
	return r, nil
}

func kappa(k *agreement.Kappa) *Kappa {
	if k == nil {
		return nil
	}
	out := &Kappa{Agreed: k.Agreed}
	if k.Defined {
		out.Kappa, out.Large, out.Drawn = number(k.Value), &[2]float64{k.Low, k.High}, &[2]float64{k.DrawnLow, k.DrawnHigh}
	}
	return out
}

func rate(r *agreement.Rate) *Rate {
	if r == nil {
		return nil
	}
	return &Rate{r.Count, r.Of, r.Share, [2]float64{r.Low, r.High}}
}
