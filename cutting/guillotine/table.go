package guillotine

// Table knows the most value of every size of rectangle, when copies are not limited.
type Table struct {
	s *search
	t *table
}

// Block is how a rectangle of a table is divided: a copy of an item, or two blocks, the second to the right of the first or above it.
type Block struct {
	Item        int
	Turned      bool
	Above       bool
	First, Then *Block // nil for a copy
}

// NewTable works out a table for all sizes up to the problem's, whose limits on copies do not count. It gives nil when stop says so or when there are
// too many sizes, and *trouble.Trouble on what is no problem.
func NewTable(p Problem, stop func(steps int) bool) (*Table, error) {
	if err := p.check(); err != nil {
		return nil, err
	}
	free := make([]Item, len(p.Items))
	for i, it := range p.Items {
		free[i] = it
		free[i].Most = -1
	}
	p.Items = free
	s := newSearch(p, Limits{})
	x, y, ok := s.axes(false)
	if !ok {
		return nil, nil
	}
	s.steps = stop
	t := &Table{s, &table{x: x, y: y}}
	if !s.fill(t.t, nil) {
		return nil, nil
	}
	return t, nil
}

// Sums counts the sizes along both directions that sums of the items reach: a table's work is about their product times their sum over four.
func Sums(p Problem) (x, y int, err error) {
	if err := p.check(); err != nil {
		return 0, 0, err
	}
	s := newSearch(p, Limits{})
	var lengths, widths, many []int
	for _, l := range s.lies {
		lengths, widths, many = append(lengths, l.w), append(widths, l.h), append(many, s.most[l.item])
	}
	count := func(whole int, of []int) (n int) {
		down := sums(whole, of, many)
		for i, d := range down {
			if i > 0 && int(d) == i {
				n++
			}
		}
		return n
	}
	return count(s.length, lengths), count(s.width, widths), nil
}

// place finds a size in the table; false where nothing fits.
func (t *Table) place(length, width int) (i, j int, ok bool) {
	x, y := min(length+t.s.Kerf, t.s.length), min(width+t.s.Kerf, t.s.width)
	if x < 1 || y < 1 || t.t.x.down[x] == 0 || t.t.y.down[y] == 0 {
		return 0, 0, false
	}
	return int(t.t.x.at[t.t.x.down[x]]), int(t.t.y.at[t.t.y.down[y]]), true
}

// Value is the most that a rectangle can give.
func (t *Table) Value(length, width int) int64 {
	i, j, ok := t.place(length, width)
	if !ok {
		return 0
	}
	return t.t.of(i, j)
}

// Plan divides a rectangle; nil where nothing fits.
func (t *Table) Plan(length, width int) *Block {
	i, j, ok := t.place(length, width)
	if !ok {
		return nil
	}
	return blocks(t.s.trace(t.t, i, j))
}

func blocks(b *build) *Block {
	switch {
	case b == nil:
		return nil
	case b.first == nil:
		return &Block{Item: b.lie.item, Turned: b.lie.turned}
	}
	return &Block{Above: b.up, First: blocks(b.first), Then: blocks(b.then)}
}
