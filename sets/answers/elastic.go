package answers

import "slatewright/sets"

func (m *Matched) lay(a Ask, q sets.Question, p sets.Plan) error { return nil }
