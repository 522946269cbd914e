package shell

// Index is a page that leads to questions.
type Index struct {
	Title, Text string
	Lines       []IndexLine
	Foot        string // may be empty
}

// IndexLine is one question in it.
type IndexLine struct{ Path, Asks, About string }

// Lines are the room's questions as an index lists them.
func (r Asks) Lines(v *Visit) (list []IndexLine) {
	for _, q := range r.Questions {
		p := q.Form(v)
		list = append(list, IndexLine{q.Path, p.Asks, p.About})
	}
	return list
}

// ShowIndex answers with an index; here is what is marked in the way down the side.
func (v *Visit) ShowIndex(here string, x Index) error {
	return v.Show(Page{Name: "questions", Title: x.Title, Here: here, Data: x})
}
