// Package costfile reads what a mill's ways out cost, and which there are, from a YAML file in the mill's hands.
//
// Lengths are written with their unit, amounts of money as bare numbers in one currency. Every key may be left out: what is not
// known is not known. Keys are strict; an error names the file and the line.
//
// The package does not weigh anything (package ways does), knows no usual prices, and converts no currencies.
package costfile

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"os"

	"go.yaml.in/yaml/v4"

	"slatewright/bed"
	"slatewright/judge"
	"slatewright/judge/ways"
	"slatewright/trouble"
)

// longestFile is far above any real list of prices.
const longestFile = 1 << 20

// Costs is what a file says. The decision rules of its lower classes are those of the case that it is put into.
type Costs struct {
	Prices  ways.Prices
	Overall float64 // largest acceptable probability that what is shipped fails in anything; 0: each characteristic has its own rule only
	Measure []ways.Remeasure
	Regrind []ways.Recut
	Regrade []ways.Lower
}

// Into puts prices and ways into a case. Lower classes are held to this rule.
func (c Costs) Into(k *ways.Case, rule bed.Decision) {
	k.Prices, k.Overall, k.Measure, k.Regrind = c.Prices, c.Overall, c.Measure, c.Regrind
	k.Regrade = nil
	for _, l := range c.Regrade {
		l.Held = append([]ways.Characteristic{}, l.Held...)
		for i := range l.Held {
			l.Held[i].Decision = rule
		}
		k.Regrade = append(k.Regrade, l)
	}
}

// ReadFile reads the file at path.
func ReadFile(path string) (Costs, error) {
	f, err := os.Open(path)
	if err != nil {
		return Costs{}, trouble.IO("cannot-read", path, "the file of costs cannot be opened", "check the path").Because(err)
	}
	defer f.Close()
	return Read(path, f)
}

// Read reads the costs. The name stands in errors, which are *trouble.Trouble.
func Read(name string, from io.Reader) (Costs, error) {
	r := reader{name: name}
	text, err := io.ReadAll(io.LimitReader(from, longestFile+1))
	if err != nil {
		return Costs{}, trouble.IO("cannot-read", name, "the file of costs cannot be read", "").Because(err)
	}
	if len(text) > longestFile {
		return Costs{}, r.bad(0, "the file is longer than 1 MiB", "give a file of costs written in YAML")
	}
	var root yaml.Node
	documents, err := yaml.NewLoader(bytes.NewReader(text), yaml.WithUniqueKeys(false))
	if err != nil {
		return Costs{}, trouble.Own("bad-option", name, "the YAML reader refuses its options", "").Because(err)
	}
	switch err := documents.Load(&root); {
	case err == io.EOF || err == nil && len(root.Content) == 0:
		return Costs{}, r.bad(0, "the file is empty", "write at least one price or one way, such as complaint: 2600")
	case err != nil:
		line := 0
		if at := new(yaml.LoadError); errors.As(err, &at) {
			line = at.Mark.Line
		}
		return Costs{}, r.bad(line, "this is not YAML: "+err.Error(), `write "key: value" lines, and indent with spaces`).Because(err)
	}
	var second yaml.Node
	if err := documents.Load(&second); err != io.EOF {
		return Costs{}, r.bad(second.Line, "more follows after the first document", "one file holds one list of costs; take the line --- away")
	}
	var c Costs
	return c, r.mapping("the file", root.Content[0], r.costs(&c))
}

// costs are the keys of the whole file.
func (r reader) costs(c *Costs) keys {
	return keys{
		"currency":     r.text(&c.Prices.Currency),
		"overall_risk": r.risk(&c.Overall),
		"conforming":   r.price(&c.Prices.Conforming),
		"complaint":    r.price(&c.Prices.Complaint),
		"scrap":        r.price(&c.Prices.Scrap),
		"measure":      each(r, &c.Measure, r.measure),
		"regrind":      each(r, &c.Regrind, r.regrind),
		"regrade":      each(r, &c.Regrade, r.regrade),
	}
}

// measure reads one way of measuring again.
func (r reader) measure(at string, n *yaml.Node, m *ways.Remeasure) error {
	common := map[string]float64{}
	err := r.mapping(at, n, keys{
		"name": r.text(&m.Name), "times": r.count(&m.Times), "price": r.price(&m.Price),
		"reads": r.named(func(name string) take {
			m.Reads = append(m.Reads, ways.Reading{Of: name})
			return r.length(&m.Reads[len(m.Reads)-1].U)
		}),
		"common": r.named(func(name string) take {
			return func(at string, n *yaml.Node) error {
				var v float64
				err := r.length(&v)(at, n)
				common[name] = v
				return err
			}
		}),
	})
	if err != nil {
		return err
	}
	for i := range m.Reads {
		m.Reads[i].Common = common[m.Reads[i].Of]
		delete(common, m.Reads[i].Of)
	}
	if m.Name == "" || len(m.Reads) == 0 || len(common) > 0 {
		return r.bad(n.Line, at+" has no name, or reads nothing, or has a common part of what it does not read", "write name: and reads: {zone: 0.006 mm}")
	}
	return nil
}

// regrind reads one re-grind.
func (r reader) regrind(at string, n *yaml.Node, c *ways.Recut) error {
	err := r.mapping(at, n, keys{
		"name": r.text(&c.Name), "depth": r.length(&c.Depth), "depth_u": r.length(&c.DepthU), "reserve": r.length(&c.Reserve),
		"light_pass": r.length(&c.LightPass), "passes": r.count(&c.Passes), "pass_price": r.price(&c.PassPrice), "minutes": r.number(&c.Minutes),
		"minute_price": r.price(&c.MinutePrice), "succeeded": r.count(&c.Succeeded), "tried": r.count(&c.Tried),
	})
	if err == nil && (c.Name == "" || c.Depth == 0) {
		return r.bad(n.Line, at+" has no name or no depth", "write name: and depth: 0.15 mm")
	}
	return err
}

// regrade reads one lower class.
func (r reader) regrade(at string, n *yaml.Node, l *ways.Lower) error {
	var from, to float64
	err := r.mapping(at, n, keys{
		"name": r.text(&l.Name), "value": r.price(&l.Value), "complaint": r.price(&l.Complaint), "cut_from": r.length(&from), "cut_to": r.length(&to),
		"limits": r.named(func(name string) take {
			l.Held = append(l.Held, ways.Characteristic{Name: name, AtLeast: name == string(judge.Thickness)})
			return r.length(&l.Held[len(l.Held)-1].Limit)
		}),
	})
	if err != nil {
		return err
	}
	if l.Name == "" || len(l.Held) == 0 {
		return r.bad(n.Line, at+" has no name or no limits", "write name: and limits: {zone: 0.5 mm}")
	}
	if from == 0 && to == 0 {
		return nil
	}
	if !(to > 0 && to < from) {
		return r.bad(n.Line, fmt.Sprintf("%s is cut from %g mm to %g mm", at, from, to), "write both lengths, cut_to shorter than cut_from")
	}
	for i := range l.Held {
		if l.Held[i].Name == string(judge.Zone) {
			l.Held[i].Scale = ways.Shrink(from, to)
		}
	}
	return nil
}
