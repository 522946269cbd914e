package costfile

import (
	"fmt"

	"go.yaml.in/yaml/v4"

	"slatewright/judge/ways"
	"slatewright/keyed"
	"slatewright/measure"
)

// reader is the file that is being read.
type reader struct{ *keyed.File }

// draft is a file's words, before it is seen whether each way has what it needs.
type draft struct {
	Costs
	measure []remeasure
	regrade []lower
}

type remeasure struct {
	ways.Remeasure
	reads, common []named
}

type lower struct {
	ways.Lower
	limits   []named
	from, to float64 // lengths of the table that it was for and of the one that it is cut down for, mm; 0: it is not cut
}

// named is a length of the characteristic of that name, mm.
type named struct {
	of     string
	length float64
}

// costs are the keys of the whole file.
func (r reader) costs(d *draft) []keyed.Key {
	return []keyed.Key{
		keyed.Of("currency", r.text(&d.Prices.Currency)), keyed.Of("overall_risk", r.risk(&d.Overall)), keyed.Of("conforming", r.price(&d.Prices.Conforming)),
		keyed.Of("complaint", r.price(&d.Prices.Complaint)), keyed.Of("scrap", r.price(&d.Prices.Scrap)),
		keyed.Of("measure", keyed.Each(r.File, &d.measure, r.remeasure)), keyed.Of("regrind", keyed.Each(r.File, &d.Regrind, r.recut)),
		keyed.Of("regrade", keyed.Each(r.File, &d.regrade, r.lower)),
	}
}

func (r reader) remeasure(m *remeasure) []keyed.Key {
	return []keyed.Key{keyed.Of("name", r.text(&m.Name)), keyed.Of("reads", r.lengths(&m.reads)), keyed.Of("common", r.lengths(&m.common)),
		keyed.Of("times", r.count(&m.Times)), keyed.Of("price", r.price(&m.Price))}
}

func (r reader) recut(c *ways.Recut) []keyed.Key {
	return []keyed.Key{keyed.Of("name", r.text(&c.Name)), keyed.Of("depth", r.length(&c.Depth)), keyed.Of("depth_u", r.length(&c.DepthU)), keyed.Of("reserve", r.length(&c.Reserve)),
		keyed.Of("light_pass", r.length(&c.LightPass)), keyed.Of("passes", r.count(&c.Passes)), keyed.Of("pass_price", r.price(&c.PassPrice)), keyed.Of("minutes", r.number(&c.Minutes)),
		keyed.Of("minute_price", r.price(&c.MinutePrice)), keyed.Of("succeeded", r.count(&c.Succeeded)), keyed.Of("tried", r.count(&c.Tried))}
}

func (r reader) lower(l *lower) []keyed.Key {
	return []keyed.Key{keyed.Of("name", r.text(&l.Name)), keyed.Of("limits", r.lengths(&l.limits)), keyed.Of("value", r.price(&l.Value)), keyed.Of("complaint", r.price(&l.Complaint)),
		keyed.Of("cut_from", r.length(&l.from)), keyed.Of("cut_to", r.length(&l.to))}
}

// lengths reads a mapping of characteristics, whose names are free words, in its order.
func (r reader) lengths(into *[]named) keyed.Take {
	return func(path string, n *yaml.Node) error {
		if n.Kind != yaml.MappingNode || len(n.Content) == 0 {
			return r.BadValue(path, n, "it does not hold names with lengths", "write it like {zone: 0.25 mm}")
		}
		for i := 0; i+1 < len(n.Content); i += 2 {
			name, v := n.Content[i], named{of: n.Content[i].Value}
			if name.Kind != yaml.ScalarNode || v.of == "" {
				return r.BadValue(path, name, "a name is missing", "name each characteristic once")
			}
			at := path + "." + v.of
			if err := r.Once(at, name); err != nil {
				return err
			}
			if err := r.length(&v.length)(at, n.Content[i+1]); err != nil {
				return err
			}
			*into = append(*into, v)
		}
		return nil
	}
}

func (r reader) text(into *string) keyed.Take {
	return r.Scalar("a word", func(s string) error { *into = s; return nil })
}

func (r reader) number(into *float64) keyed.Take {
	return r.Scalar("12", func(s string) (err error) { *into, err = measure.ParseNumber(s); return err })
}

// price reads an amount; one that is not there stays nil.
func (r reader) price(into **float64) keyed.Take {
	return func(path string, n *yaml.Node) error {
		*into = new(float64)
		return r.number(*into)(path, n)
	}
}

// mostCount is far above any number of readings, passes or faces.
const mostCount = 1_000_000

func (r reader) count(into *int) keyed.Take { return r.Count("3", mostCount, into) }

func (r reader) risk(into *float64) keyed.Take {
	return r.Scalar("0.05", func(s string) (err error) {
		if *into, err = measure.ParseNumber(s); err == nil && !(*into > 0 && *into < 1) {
			return fmt.Errorf("%q is no probability between 0 and 1", s)
		}
		return err
	})
}

func (r reader) length(into *float64) keyed.Take {
	return r.Scalar("0.15 mm", func(s string) (err error) { *into, err = measure.ParseLength(s); return err })
}
