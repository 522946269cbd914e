package gauging

import (
	"fmt"
	"io"

	"slatewright/gauge/answers"
	"slatewright/internal/cli/verb"
	"slatewright/trouble"
)

// agreeReport is the answer to a study of verdicts.
type agreeReport struct{ *answers.Agreement }

// Outcome is Done.
func (r *agreeReport) Outcome() verb.Outcome { return verb.Done }

// Print writes the study for people.
func (r *agreeReport) Print(w io.Writer) {
	fmt.Fprintf(w, "%s\n%s judged by %s, %s each\n", r.File, trouble.Count(r.Parts, "part", "parts"), trouble.Count(r.People, "person", "people"), trouble.Count(r.Trials, "trial", "trials"))
	verb.Section(w, "Agreement: kappa is 1 where all agree, 0 where chance would do as well; 95 % intervals")
	rows := [][]string{{"between", "kappa", "drawn anew", "large sample", "agree"}}
	rows = append(rows, agreeing("everybody", r.All))
	for _, p := range r.Pairs {
		rows = append(rows, agreeing(p.First+" and "+p.Second, &p.Kappa))
	}
	for _, p := range r.Persons {
		rows = append(rows, agreeing(p.Name+" and "+p.Name+" again", p.Own))
		rows = append(rows, agreeing(p.Name+" and the reference", p.Reference))
	}
	verb.Table(w, 1, filled(rows)...)
	verb.Section(w, "Errors, with 95 % intervals")
	rows = [][]string{{"person", "bad parts passed", "", "good parts stopped", ""}}
	for _, p := range r.Persons {
		if p.FalseAccept != nil {
			rows = append(rows, []string{p.Name, counted(p.FalseAccept), within(p.FalseAccept), counted(p.FalseReject), within(p.FalseReject)})
		}
	}
	if len(rows) > 1 {
		verb.Table(w, 1, rows...)
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

func agreeing(name string, k *answers.Kappa) []string {
	switch {
	case k == nil:
		return nil
	case k.Kappa == nil:
		return []string{name, "not defined", "", "", percent(k.Agreed)}
	}
	return []string{name, digits(*k.Kappa, 3), digits(k.Drawn[0], 2) + " to " + digits(k.Drawn[1], 2), digits(k.Large[0], 2) + " to " + digits(k.Large[1], 2), percent(k.Agreed)}
}

func counted(r *answers.Rate) string {
	if r.Of == 0 {
		return "none to judge"
	}
	return fmt.Sprintf("%d of %d, %s", r.Count, r.Of, percent(r.Share))
}

func within(r *answers.Rate) string {
	if r.Of == 0 {
		return ""
	}
	return percent(r.Within[0]) + " to " + percent(r.Within[1])
}
