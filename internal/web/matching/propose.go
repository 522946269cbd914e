package matching

import (
	"net/url"
	"strconv"
	"strings"

	"slatewright/internal/book"
	"slatewright/internal/web/problem"
	"slatewright/internal/web/shell"
	"slatewright/measure"
	"slatewright/sets"
)

// A set that is proposed is handed in as it was shown: its entry, its pieces from head to foot, step and zone in mm, the order, and those that lie turned, in one field of the form
// for each set. So a form that is sent twice proposes once, and several sets are proposed by one tap.

// proposes is what a form says of a set.
func (l asking) proposes(s sets.Set, ids []string) string {
	step, zone, order := 0.0, 0.0, ""
	if s.Seated {
		step, zone = measure.Round(s.Step, 3), measure.Round(s.Zone, 3)
	}
	if s.Order >= 0 {
		order = l.stock.Wants[s.Order].Order
	}
	return strings.Join([]string{l.NewEntry(), strings.Join(ids, ","), strconv.FormatFloat(step, 'f', -1, 64), strconv.FormatFloat(zone, 'f', -1, 64), order, strings.Join(turnedOf(s, ids), ",")}, "|")
}

// turnedOf are the numbers of a set's pieces that lie turned end for end.
func turnedOf(s sets.Set, ids []string) (turned []string) {
	for place, id := range ids {
		if s.Turned[place] {
			turned = append(turned, id)
		}
	}
	return turned
}

// partsOfASet are the parts of such a field.
const partsOfASet = 6

// proposedBy is the act that a form's field asks for.
func proposedBy(v *shell.Visit, said string) (entry string, act *book.Match, err error) {
	parts := strings.Split(said, "|")
	if len(parts) != partsOfASet {
		return "", nil, problem.New("bad-request", "set", v.Say("shell.bad-form"), v.Say("shell.again"))
	}
	act = &book.Match{Pieces: shell.Chosen(parts[1]), Order: parts[4], Turned: append([]string{}, shell.Chosen(parts[5])...)}
	for i, to := range []*float64{&act.StepMM, &act.ZoneMM} {
		if *to, err = measure.ParseNumber(parts[2+i]); err != nil {
			return "", nil, problem.New("bad-request", "set", v.Say("shell.bad-form"), v.Say("shell.again"))
		}
	}
	return parts[0], act, nil
}

// mostSets is how many sets are proposed by one tap.
const mostSets = 100

// propose takes the sets that were tapped into the book, one after the other. What the book says against one is shown; those before it are proposed.
func (r room) propose(v *shell.Visit) error {
	form, err := v.Form()
	if err != nil {
		return err
	}
	back, err := url.Parse(shell.Within(form.Get("back")))
	if err != nil {
		back = &url.URL{Path: at}
	}
	w := wishOf(back.Query())
	list := form["set"]
	for _, said := range list[:min(len(list), mostSets)] {
		if err = proposeOne(v, said); err != nil {
			break
		}
	}
	if wrong := shell.Refusal(err); wrong != nil {
		return r.show(v, w, wrong)
	}
	if err != nil {
		return err
	}
	q := back.Query()
	q.Set("did", "match")
	return v.Redirect(at + "?" + q.Encode())
}

func proposeOne(v *shell.Visit, said string) error {
	entry, act, err := proposedBy(v, said)
	if err != nil {
		return err
	}
	_, err = v.HandIn(shell.Act{Entry: entry, Station: book.Sets, Act: act})
	return err
}

// pathTo is an address with pairs of a name and a value; what is empty is left out.
func pathTo(path string, pairs ...string) string {
	q := url.Values{}
	for i := 0; i+1 < len(pairs); i += 2 {
		if pairs[i+1] != "" {
			q.Set(pairs[i], pairs[i+1])
		}
	}
	return path + "?" + q.Encode()
}
