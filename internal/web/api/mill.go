package api

import (
	"context"
	"errors"
	"net/http"
	"time"

	"github.com/danielgtaylor/huma/v2"

	"slatewright/internal/book"
	"slatewright/trouble"
)

func (d *desk) addMill() {
	add(d, Route{Method: http.MethodGet, Path: "/mill", ID: "read-mill", Tag: "mill", Summary: "Read what the mill has settled",
		Text: "Its name, and its own answers: every verdict states those that it used.", Least: book.Visitor, Fails: millFails, Answer: exampleMill()}, d.mill)
	add(d, Route{Method: http.MethodGet, Path: "/route", ID: "read-route", Tag: "mill", Summary: "Read the route of the stone",
		Text: "Which act may be done where and by whom, and what must hold before it. The act settle changes it.", Least: book.Visitor, Fails: millFails, Answer: exampleRoute()}, d.route)
	add(d, Route{Method: http.MethodGet, Path: "/people", ID: "list-people", Tag: "mill", Summary: "List who may do what",
		Text:  "Everybody in the book by the name under which they sign, with the role, those who have left among them; nothing else about a person.",
		Least: book.Visitor, Fails: []string{"bad-cursor", "broken-thing"}, Answer: Listed[Person]{Items: []Person{{Person: "saw-1", Role: book.Hand}}}}, d.people)
}

var millFails = []string{"no-such-thing", "broken-thing"}

// Mill is what the mill has settled.
type Mill struct {
	Site    string            `json:"site" doc:"The mill's word, as every entry carries it" example:"quern-hollow"`
	Name    string            `json:"name" example:"Quern Hollow"`
	Answers map[string]string `json:"answers" nullable:"false" doc:"The mill's own answers, by question"`
	Demo    bool              `json:"demo,omitempty" doc:"Its data are invented: nothing it makes is a real certificate"`
	Seq     int64             `json:"seq" doc:"The entry that settled it"`
	At      time.Time         `json:"at" doc:"That entry's time"`
}

func exampleMill() Mill {
	return Mill{Site: "quern-hollow", Name: "Quern Hollow", Answers: map[string]string{"state": "laid"}, Demo: true, Seq: 1, At: exampleTime}
}

func (d *desk) mill(ctx context.Context, _ *struct{}) (*answer[Mill], error) {
	t, m, err := d.settled(ctx)
	if err != nil {
		return nil, err
	}
	out := Mill{Site: t.ID, Name: m.Name, Answers: map[string]string{}, Demo: m.Demo, Seq: t.Seq, At: t.At}
	for question, said := range m.Answers {
		out.Answers[question] = said
	}
	return &answer[Mill]{out}, nil
}

// settled is the mill as a thing of the book.
func (d *desk) settled(ctx context.Context) (book.Thing, *book.MillState, error) {
	t, err := d.Ledger.Thing(ctx, book.Ref{Kind: book.KindMill, ID: d.Ledger.Site()})
	if err != nil {
		return t, nil, err
	}
	state, err := book.StateOf(t)
	if err != nil {
		return t, nil, err
	}
	return t, state.(*book.MillState), nil
}

// isUnknown reports whether the book has no such thing.
func isUnknown(err error) bool {
	t := (*trouble.Trouble)(nil)
	return errors.As(err, &t) && t.Code == "no-such-thing"
}

// Way is the route of the stone with the conditions that it speaks of.
type Way struct {
	Steps      []book.Step      `json:"steps" nullable:"false" doc:"One for each act: from which stations, to which, and the least role"`
	Holds      []book.Hold      `json:"holds" nullable:"false" doc:"What must hold before an act, and from which role on a reason will do instead"`
	Conditions []book.Condition `json:"conditions" nullable:"false" doc:"What each condition says"`
}

func exampleRoute() Way {
	return Way{[]book.Step{{Act: "certify", From: []book.Station{book.Bench}, May: book.Inspector}}, []book.Hold{{Before: "ship", Needs: "lining-cured", Amount: 24}},
		[]book.Condition{{Name: "lining-cured", Says: "The lining of each lined piece has cured for so many hours.", Amount: "hours"}}}
}

func (d *desk) route(ctx context.Context, _ *struct{}) (*answer[Way], error) {
	_, m, err := d.settled(ctx)
	if err != nil {
		return nil, err
	}
	return &answer[Way]{Way{append([]book.Step{}, m.Route.Steps...), append([]book.Hold{}, m.Route.Holds...), book.Conditions()}}, nil
}

// Person is somebody in the book.
type Person struct {
	Person string    `json:"person" doc:"The name under which they sign" example:"saw-1"`
	Role   book.Role `json:"role" enum:"visitor,hand,inspector,lead" doc:"What they may do"`
	Gone   bool      `json:"gone,omitempty" doc:"They have left the mill, and may do nothing"`
}

func (d *desk) people(ctx context.Context, in *struct{ Paging }) (*listedAnswer[Person], error) {
	page, err := d.Ledger.Things(ctx, book.Filter{Kind: book.KindPerson}, in.Cursor, in.Limit)
	if err != nil {
		return nil, err
	}
	out := &listedAnswer[Person]{Body: Listed[Person]{Items: make([]Person, 0, len(page.Items)), Next: page.Next}}
	for _, t := range page.Items {
		state, err := book.StateOf(t)
		if err != nil {
			return nil, err
		}
		p := state.(*book.PersonState)
		out.Body.Items = append(out.Body.Items, Person{t.ID, p.Role, p.Gone})
	}
	return out, nil
}

// kindWord is the word of a kind in a question.
type kindWord string

// Schema lists the kinds.
func (kindWord) Schema(huma.Registry) *huma.Schema {
	s := &huma.Schema{Type: huma.TypeString}
	for _, kind := range book.Kinds() {
		s.Enum = append(s.Enum, string(kind))
	}
	s.PrecomputeMessages()
	return s
}

// stationWord is the word of a station in a question.
type stationWord string

// Schema lists the stations.
func (stationWord) Schema(huma.Registry) *huma.Schema {
	s := &huma.Schema{Type: huma.TypeString, Enum: stationWords()}
	s.PrecomputeMessages()
	return s
}
