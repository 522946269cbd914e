package agreement

import (
	"fmt"
	"strings"

	"slatewright/sheet"
)

// words are what a verdict and a reference may be written as.
var words = map[string]bool{"go": true, "pass": true, "yes": true, "good": true, "1": true, "conforms": true,
	"no-go": false, "nogo": false, "no go": false, "fail": false, "no": false, "bad": false, "0": false, "does not conform": false}

// Read reads a list with the columns part, person, trial, verdict and reference; trial and reference may be missing. A verdict is go or
// no-go, pass or fail, yes or no, good or bad, 1 or 0, conforms or does not conform. The reference of a part stands in any of its rows.
func Read(s *sheet.Sheet) (list []Judgement, truth map[string]bool, warnings []string, err error) {
	columns, err := s.Columns([]string{"part", "person", "verdict"}, "trial", "reference")
	if err != nil {
		return nil, nil, nil, err
	}
	truth = map[string]bool{}
	for _, row := range s.Rows {
		part, person := row.Text(columns["part"]), row.Text(columns["person"])
		if part == "" || person == "" {
			return nil, nil, nil, s.Bad(row.Line, "no-name", "the part or the person is not named", "fill it in, or delete the line")
		}
		pass, err := word(s, row, columns["verdict"])
		if err != nil {
			return nil, nil, nil, err
		}
		list = append(list, Judgement{part, person, pass})
		if row.Text(columns["reference"]) == "" {
			continue
		}
		good, err := word(s, row, columns["reference"])
		if err != nil {
			return nil, nil, nil, err
		}
		if before, ok := truth[part]; ok && before != good {
			return nil, nil, nil, s.Bad(row.Line, "two-references", "part "+part+" has two different references", "correct one of them: a part is what it is")
		}
		truth[part] = good
	}
	return list, truth, s.Rest(), nil
}

func word(s *sheet.Sheet, row sheet.Row, c sheet.Column) (bool, error) {
	text := row.Text(c)
	pass, ok := words[strings.Join(strings.Fields(strings.ToLower(text)), " ")]
	if !ok {
		return false, s.Bad(row.Line, "bad-verdict", fmt.Sprintf("%s = %q says neither go nor no-go", c.Name, text), "write go or no-go")
	}
	return pass, nil
}
