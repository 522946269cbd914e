package certificate

import (
	"bufio"
	"cmp"
	"errors"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"
	"time"

	"slatewright/measure"
	"slatewright/trouble"
)

// layUpLines is the most lines that are read: far more than a hand writes.
const layUpLines = 10000

// jointNames are the joints as a lay-up file writes them.
var jointNames = [2]string{"head-centre", "centre-foot"}

// ReadLayUp reads the steps of a set laid dry on the bench: header lines "# key: value" (pieces, support, instrument, u, date,
// unit), the titles joint,y,step and one line a station, such as head-centre,-660,0.012. y is that of the bed frame; a step is
// positive where the piece nearer the foot stands proud. The support must be stated. Whether the steps show the joints is
// judged with the set. name is used in messages.
func ReadLayUp(name string, r io.Reader) (LayUp, error) {
	p := layUpReader{name: name, unit: measure.MM, out: LayUp{Name: baseName(name)}}
	lines := bufio.NewScanner(r)
	for lines.Scan() {
		p.line++
		text := strings.TrimSpace(strings.TrimPrefix(lines.Text(), "\ufeff"))
		if err := p.take(text); err != nil {
			return LayUp{}, err
		}
	}
	switch err := lines.Err(); {
	case errors.Is(err, bufio.ErrTooLong):
		p.line++
		return LayUp{}, p.bad("line-too-long", "the line is longer than 64 KiB", "name the file with the steps over the joints, one line a step")
	case err != nil:
		return LayUp{}, trouble.IO("unreadable", name, "the lay-up could not be read", "check the file").Because(err)
	}
	return p.out, p.finish()
}

type layUpReader struct {
	name      string
	line      int
	unit      measure.Unit
	separator string
	seal      sealer
	out       LayUp
}

func (p *layUpReader) bad(code, what, next string) error {
	return trouble.Data(code, p.name+":"+strconv.Itoa(p.line), what, next)
}

func (p *layUpReader) take(text string) error {
	switch {
	case p.line > layUpLines:
		return p.bad("too-large", "the lay-up has more than "+strconv.Itoa(layUpLines)+" lines", "name the file with the steps over the joints")
	case text == "":
		return nil
	case strings.HasPrefix(text, "#") && p.separator == "":
		key, value, ok := strings.Cut(text[1:], ":")
		if !ok {
			p.remark(text)
			return nil
		}
		return p.key(strings.ToLower(strings.TrimSpace(key)), strings.TrimSpace(value))
	case p.separator == "":
		return p.titles(text)
	}
	return p.row(text)
}

// remark keeps a header line that has no meaning here.
func (p *layUpReader) remark(text string) {
	if text = strings.TrimSpace(strings.TrimLeft(text, "#")); text != "" {
		p.out.Remarks = append(p.out.Remarks, text)
	}
}

func (p *layUpReader) key(key, value string) (err error) {
	switch key {
	case "pieces":
		parts := strings.Split(value, ",")
		if len(parts) != len(p.out.Pieces) {
			return p.bad("bad-header", "# pieces: names "+strconv.Itoa(len(parts))+" pieces", "name head, centre and foot, with commas between them")
		}
		for i := range parts {
			p.out.Pieces[i] = strings.TrimSpace(parts[i])
		}
	case "unit":
		p.unit, err = measure.ParseUnit(value)
	case "support":
		p.out.Support = value
	case "instrument":
		p.out.Instrument = value
	case "u":
		var u float64
		u, err = measure.ParseLength(value)
		p.out.U = p.seal.mm(u)
		if err == nil && u < 0 {
			return p.bad("bad-header", "# u: is negative", "write the standard uncertainty of one step, such as '# u: 0.007 mm'")
		}
	case "date":
		p.out.Date = value
		if _, bad := time.Parse(time.DateOnly, value); bad != nil {
			return p.bad("bad-header", fmt.Sprintf("# date: %.40q is no date", value), "write it as YYYY-MM-DD")
		}
	default:
		p.remark(key + ": " + value)
		p.out.Warnings = append(p.out.Warnings, fmt.Sprintf("%s:%d: the header line %q is not known here", p.out.Name, p.line, key))
	}
	if err != nil {
		return p.bad("bad-header", "# "+key+": "+err.Error(), "correct the line")
	}
	return nil
}

const layUpHow = "write joint,y,step and below it lines such as head-centre,-660,0.012"

func (p *layUpReader) titles(text string) error {
	p.separator = ","
	for _, s := range []string{";", "\t"} {
		if strings.Contains(text, s) {
			p.separator = s
		}
	}
	cells := strings.Split(strings.ToLower(text), p.separator)
	want := []string{"joint", "y", "step"}
	for i, cell := range cells {
		title, unit, _ := strings.Cut(strings.TrimSpace(cell), "_")
		if len(cells) != len(want) || title != want[i] {
			return p.bad("bad-title", "the titles of a lay-up are joint, y and step", layUpHow)
		}
		if unit != "" && unit != p.unit.String() {
			return p.bad("mixed-units", fmt.Sprintf("the title says %q and the file's unit is %s", unit, p.unit), "use one unit, and name it in a '# unit:' line")
		}
	}
	return nil
}

func (p *layUpReader) row(text string) error {
	cells := strings.Split(text, p.separator)
	if len(cells) != 3 {
		return p.bad("columns", strconv.Itoa(len(cells))+" columns instead of 3", layUpHow)
	}
	joint := slices.Index(jointNames[:], strings.ToLower(strings.TrimSpace(cells[0])))
	if joint < 0 {
		return p.bad("bad-joint", fmt.Sprintf("%.40q is no joint", strings.TrimSpace(cells[0])), "write head-centre or centre-foot")
	}
	var at [2]float64
	for i := range at {
		cell := strings.TrimSpace(cells[i+1])
		if p.separator != "," {
			cell = strings.Replace(cell, ",", ".", 1)
		}
		mm, err := p.unit.ToMM(cell)
		if err != nil {
			return p.bad("bad-number", err.Error(), "write plain numbers such as -12.345")
		}
		at[i] = mm
	}
	p.out.Joints[joint] = append(p.out.Joints[joint], p.seal.pair(at[0], at[1]))
	return nil
}

// finish sorts the stations.
func (p *layUpReader) finish() error {
	if p.seal.err != nil {
		return trouble.Data("too-large", p.name, "a number is too large for a lay-up", "correct it, or the '# unit:' line")
	}
	for _, list := range p.out.Joints {
		slices.SortStableFunc(list, func(a, b Position) int { return cmp.Compare(a[0], b[0]) })
	}
	return p.out.check(p.name)
}

// check refuses a lay-up that does not say what it lay on, or has two steps at one place.
func (l LayUp) check(name string) error {
	if l.Support == "" {
		return trouble.Data("no-support", name, "the lay-up does not say what the pieces lay on", "add a line such as '# support: bench'")
	}
	for j, list := range l.Joints {
		for i := 1; i < len(list); i++ {
			if list[i][0] <= list[i-1][0] {
				return trouble.Data("repeated", name, fmt.Sprintf("the joint %s is read twice at y = %s mm", jointNames[j], list[i][0]), "keep one of the two")
			}
		}
	}
	return nil
}

// matches refuses a lay-up of other pieces, where both say which they are, and warns where the lay-up does not.
func (l LayUp) matches(a *answer) (warnings []string, err error) {
	for i, p := range a.seated.Pieces {
		mark, read := l.Pieces[i], a.question.Faces[p.Index].Piece
		if mark == "" {
			warnings = []string{l.Name + ": the lay-up does not name its pieces; that it is of these three is taken on trust"}
		} else if read != "" && mark != read {
			return nil, trouble.Data("other-pieces", l.Name, fmt.Sprintf("the %s of the lay-up is %q and that of the readings %q", p.Place, mark, read),
				"name the lay-up of these three pieces in these places")
		}
	}
	return warnings, nil
}
