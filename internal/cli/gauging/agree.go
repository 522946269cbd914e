package gauging

import (
	"fmt"
	"io"

	"slatewright/gauge/agreement"
	"slatewright/gauge/sheet"
	"slatewright/internal/cli/verb"
	"slatewright/trouble"
)

// agreeReport is the answer to a study of verdicts. Its names are a contract with other programs.
type agreeReport struct {
	File       string        `json:"file"`
	Parts      int           `json:"parts"`
	People     int           `json:"people"`
	Trials     int           `json:"trials"`
	Confidence float64       `json:"confidence"`
	All        *agreeKappa   `json:"everybody"`
	Pairs      []agreePair   `json:"pairs"`
	Persons    []agreePerson `json:"persons"`
	Warnings   []string      `json:"warnings"`
}

type agreeKappa struct {
	Kappa  *float64    `json:"kappa"` // null where it is not defined
	Large  *[2]float64 `json:"large_sample_interval"`
	Drawn  *[2]float64 `json:"bootstrap_interval"`
	Agreed float64     `json:"agreement"`
}

type agreePair struct {
	First  string `json:"first"`
	Second string `json:"second"`
	agreeKappa
}

type agreePerson struct {
	Name        string      `json:"person"`
	Alike       float64     `json:"parts_judged_alike"`
	Own         *agreeKappa `json:"own_trials"`
	Reference   *agreeKappa `json:"against_reference"`
	FalseAccept *agreeRate  `json:"false_accepts"`
	FalseReject *agreeRate  `json:"false_rejects"`
}

type agreeRate struct {
	Count  int        `json:"count"`
	Of     int        `json:"of"`
	Share  float64    `json:"share"`
	Within [2]float64 `json:"interval"`
}

func agree(table *sheet.Sheet) (verb.Report, error) {
	list, truth, warnings, err := agreement.Read(table)
	if err != nil {
		return nil, err
	}
	st, err := agreement.New(list, truth)
	if err != nil {
		return nil, at(table.Name, err)
	}
	a := st.Analyse(confidence, seed)
	r := &agreeReport{File: table.Name, Parts: len(st.Parts), People: len(st.People), Trials: st.Trials, Confidence: confidence, All: kappa(a.All),
		Pairs: []agreePair{}, Warnings: append(append([]string{}, warnings...), a.Warnings...)}
	for _, p := range a.Pairs {
		r.Pairs = append(r.Pairs, agreePair{p.First, p.Second, *kappa(&p.Kappa)})
	}
	for _, p := range a.People {
		r.Persons = append(r.Persons, agreePerson{p.Name, p.Alike, kappa(p.Own), kappa(p.Reference), rate(p.FalseAccept), rate(p.FalseReject)})
	}
	return r, nil
}

func kappa(k *agreement.Kappa) *agreeKappa {
	if k == nil {
		return nil
	}
	out := &agreeKappa{Agreed: k.Agreed}
	if k.Defined {
		out.Kappa, out.Large, out.Drawn = number(k.Value), &[2]float64{k.Low, k.High}, &[2]float64{k.DrawnLow, k.DrawnHigh}
	}
	return out
}

func rate(r *agreement.Rate) *agreeRate {
	if r == nil {
		return nil
	}
	return &agreeRate{r.Count, r.Of, r.Share, [2]float64{r.Low, r.High}}
}

// Outcome is Done.
func (r *agreeReport) Outcome() verb.Outcome { return verb.Done }

// Print writes the study for people.
func (r *agreeReport) Print(w io.Writer) {
	fmt.Fprintf(w, "%s\n%s judged by %s, %s each\n", r.File, trouble.Count(r.Parts, "part", "parts"), trouble.Count(r.People, "person", "people"), trouble.Count(r.Trials, "trial", "trials"))
	verb.Section(w, "Agreement: kappa is 1 where all agree, 0 where chance would do as well; 95 % intervals")
	rows := [][]string{{"between", "kappa", "drawn anew", "large sample", "agree"}}
	rows = append(rows, r.All.row("everybody"))
	for _, p := range r.Pairs {
		rows = append(rows, p.row(p.First+" and "+p.Second))
	}
	for _, p := range r.Persons {
		rows = append(rows, p.Own.row(p.Name+" and "+p.Name+" again"))
		rows = append(rows, p.Reference.row(p.Name+" and the reference"))
	}
	table(w, filled(rows)...)
	verb.Section(w, "Errors, with 95 % intervals")
	rows = [][]string{{"person", "bad parts passed", "", "good parts stopped", ""}}
	for _, p := range r.Persons {
		if p.FalseAccept != nil {
			rows = append(rows, []string{p.Name, p.FalseAccept.count(), p.FalseAccept.within(), p.FalseReject.count(), p.FalseReject.within()})
		}
	}
	if len(rows) > 1 {
		table(w, rows...)
	} else {
		sentence(w, "not known: the list does not say what the parts are")
	}
	verb.PrintWarnings(w, r.Warnings)
}

// filled leaves out what is not there.
func filled(rows [][]string) (list [][]string) {
	for _, row := range rows {
		if row != nil {
			list = append(list, row)
		}
	}
	return list
}

func (k *agreeKappa) row(name string) []string {
	switch {
	case k == nil:
		return nil
	case k.Kappa == nil:
		return []string{name, "not defined", "", "", percent(k.Agreed)}
	}
	return []string{name, digits(*k.Kappa, 3), digits(k.Drawn[0], 2) + " to " + digits(k.Drawn[1], 2), digits(k.Large[0], 2) + " to " + digits(k.Large[1], 2), percent(k.Agreed)}
}

func (r *agreeRate) count() string {
	if r.Of == 0 {
		return "none to judge"
	}
	return fmt.Sprintf("%d of %d, %s", r.Count, r.Of, percent(r.Share))
}

func (r *agreeRate) within() string {
	if r.Of == 0 {
		return ""
	}
	return percent(r.Within[0]) + " to " + percent(r.Within[1])
}
