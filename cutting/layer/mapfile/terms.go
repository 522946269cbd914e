package mapfile

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"slatewright/cutting/layer"
	"slatewright/measure"
	"slatewright/sheet"
)

// terms are what is asked of a layer beside its map; nil is what nobody said.
type terms struct {
	depth, kerf, reach, margin, over, clear, errorMM *float64 // mm
	bearing                                          *float64 // azimuth of the base line, degrees
	least                                            *float64
	density                                          *float64 // kg/m³
	directions                                       []float64
	runs                                             string
	unit                                             string // of coordinates that do not say it
	sizes                                            []layer.Size
}

// numbers are the places of all numbers.
func (t *terms) numbers() []**float64 {
	return []**float64{&t.depth, &t.kerf, &t.reach, &t.margin, &t.over, &t.clear, &t.errorMM, &t.bearing, &t.least, &t.density}
}

// fill takes from others what was not said.
func (t *terms) fill(other terms) {
	theirs := other.numbers()
	for i, mine := range t.numbers() {
		if *mine == nil {
			*mine = *theirs[i]
		}
	}
	if t.directions == nil {
		t.directions = other.directions
	}
	if t.runs == "" {
		t.runs = other.runs
	}
	if t.unit == "" {
		t.unit = other.unit
	}
	if t.sizes == nil {
		t.sizes = other.sizes
	}
}

// settle puts the terms into the question; depth and kerf are there.
func (m *Map) settle(t terms) {
	or := func(x *float64, usual float64) float64 {
		if x == nil {
			return usual
		}
		return *x
	}
	m.Depth, m.Margin, m.Density, m.Least = *t.depth, or(t.margin, 0), or(t.density, usualDensity), or(t.least, usualLeast)
	m.Saw = layer.Saw{Kerf: *t.kerf, Reach: or(t.reach, 0), Runs: layer.Runs(t.runs)}
	if len(t.directions) == 3 {
		m.Saw.From, m.Saw.To, m.Saw.By = t.directions[0], t.directions[1], t.directions[2]
	}
	for _, z := range t.sizes {
		z.Length, z.Width = z.Length+or(t.over, 0), z.Width+or(t.over, 0)
		m.Sizes = append(m.Sizes, z)
	}
	m.of = frameOf{bearing: t.bearing, clear: or(t.clear, 0), errorMM: or(t.errorMM, 0)}
}

// headTerms takes the header lines of a list.
func headTerms(s *sheet.Sheet) (t terms, err error) {
	for _, x := range []struct {
		key  string
		into **float64
	}{{"depth", &t.depth}, {"kerf", &t.kerf}, {"reach", &t.reach}, {"margin", &t.margin}, {"overlength", &t.over}, {"clear", &t.clear}, {"error", &t.errorMM}} {
		mm, ok, err := s.TakeLength(x.key)
		if err != nil {
			return t, err
		}
		if ok {
			*x.into = &mm
		}
	}
	if v, ok, err := s.TakeNumber("least chance"); err != nil {
		return t, err
	} else if ok {
		t.least = &v
	}
	if err := t.words(s); err != nil {
		return t, err
	}
	for _, h := range s.TakeAll("block") {
		z, ok := block(h.Value)
		if !ok {
			return t, s.Bad(h.Line, "bad-header", fmt.Sprintf("# block: %q is no block", h.Value), "write it like 9 ft, 1520 x 950 mm, value 300, most 40, turn")
		}
		t.sizes = append(t.sizes, z)
	}
	return t, nil
}

// words takes the header lines that are no lengths.
func (t *terms) words(s *sheet.Sheet) error {
	for _, x := range []struct {
		key  string
		take func(sheet.Head) error
	}{
		{"directions", func(h sheet.Head) error {
			from, to, by, ok := directions(h.Value)
			if t.directions = []float64{from, to, by}; !ok {
				return s.Bad(h.Line, "bad-header", fmt.Sprintf("# directions: %q are no directions", h.Value), "write degrees from the base line, such as -3 to 3 by 0.5")
			}
			return nil
		}},
		{"runs", func(h sheet.Head) error {
			t.runs = strings.ToLower(h.Value)
			return nil
		}},
		{"bearing", func(h sheet.Head) error {
			degrees, err := measure.ParseNumber(h.Value)
			if t.bearing = &degrees; err != nil || !bearingOK(degrees) {
				return s.Bad(h.Line, "bad-header", fmt.Sprintf("# bearing: %q is no bearing", h.Value), "write degrees from north by east, 0 to 360")
			}
			return nil
		}},
		{"density", func(h sheet.Head) error {
			kg, err := measure.ParseDensity(h.Value)
			if t.density = &kg; err != nil || !densityOK(kg) {
				return s.Bad(h.Line, "bad-header", fmt.Sprintf("# density: %q is no density of stone", h.Value), "write it with its unit, such as 2810 kg/m3")
			}
			return nil
		}},
	} {
		if h, ok, err := s.Take(x.key); err != nil {
			return err
		} else if ok {
			if err := x.take(h); err != nil {
				return err
			}
		}
	}
	return nil
}

func bearingOK(degrees float64) bool { return degrees >= 0 && degrees <= 360 }
func densityOK(kg float64) bool      { return kg >= 1000 && kg <= 5000 }

// blockTerms reads a list of wanted blocks, and what its header lines say of layer and saw.
func blockTerms(s *sheet.Sheet) (t terms, warnings []string, err error) {
	if t, err = headTerms(s); err != nil {
		return t, nil, err
	}
	if h, ok, err := s.Take("unit"); err != nil {
		return t, nil, err
	} else if ok {
		t.unit = strings.ToLower(h.Value)
	}
	columns, err := s.Columns([]string{"name", "length", "width", "value"}, "most", "turn")
	if err != nil {
		return t, nil, err
	}
	for _, row := range s.Rows {
		z := layer.Size{Name: row.Text(columns["name"])}
		if z.Name == "" {
			return t, nil, s.Bad(row.Line, "bad-row", "a block is not named", "write its name, such as 9 ft")
		}
		for _, x := range []struct {
			name string
			into *float64
		}{{"length", &z.Length}, {"width", &z.Width}} {
			if *x.into, err = s.Length(row, columns[x.name]); err != nil {
				return t, nil, err
			}
		}
		if z.Value, err = s.Number(row, columns["value"]); err != nil {
			return t, nil, err
		}
		if text := row.Text(columns["most"]); text != "" {
			n, err := s.Number(row, columns["most"])
			if err != nil || n < 1 || n > 1e6 || n != math.Trunc(n) {
				return t, nil, s.Bad(row.Line, "bad-number", fmt.Sprintf("most = %q is no number of blocks", text), "write a whole number from 1, or leave it empty")
			}
			z.Most = int(n)
		}
		turn := strings.ToLower(row.Text(columns["turn"]))
		if z.Turn = turn == "yes" || turn == "turn"; !z.Turn && !slices.Contains([]string{"", "no"}, turn) {
			return t, nil, s.Bad(row.Line, "bad-row", fmt.Sprintf("turn = %q says neither yes nor no", turn), "write yes where the block may lie across, or leave it empty")
		}
		t.sizes = append(t.sizes, z)
	}
	return t, s.Rest(), nil
}

// block reads a wanted block: name, size, and in any order value, most and turn.
func block(text string) (z layer.Size, ok bool) {
	parts := strings.Split(text, ",")
	if len(parts) < 3 {
		return z, false
	}
	z.Name = strings.TrimSpace(parts[0])
	x, y, err := measure.ParseSize(parts[1])
	if err != nil || z.Name == "" {
		return z, false
	}
	z.Length, z.Width = x, y
	for _, p := range parts[2:] {
		word, figure, _ := strings.Cut(strings.TrimSpace(p), " ")
		n, err := measure.ParseNumber(strings.TrimSpace(figure))
		switch {
		case word == "turn" && figure == "":
			z.Turn = true
		case word == "value" && err == nil:
			z.Value = n
		case word == "most" && err == nil && n >= 1 && n <= 1e6 && n == math.Trunc(n):
			z.Most = int(n)
		default:
			return z, false
		}
	}
	return z, true
}

// directions reads "-3 to 3 by 0.5", or one direction.
func directions(text string) (from, to, by float64, ok bool) {
	words := strings.Fields(strings.NewReplacer("°", "", "degrees", "").Replace(text))
	numbers := make([]float64, 0, 3)
	for i, w := range words {
		if i%2 == 1 {
			if i > 3 || w != []string{"to", "by"}[i/2] {
				return 0, 0, 0, false
			}
			continue
		}
		n, err := measure.ParseNumber(w)
		if err != nil {
			return 0, 0, 0, false
		}
		numbers = append(numbers, n)
	}
	switch len(numbers) {
	case 1:
		return numbers[0], numbers[0], 0, len(words) == 1
	case 3:
		return numbers[0], numbers[1], numbers[2], len(words) == 5
	}
	return 0, 0, 0, false
}
