package costfile

import (
	"fmt"
	"slices"

	"slatewright/judge"
	"slatewright/judge/ways"
)

// costsOf sees whether each way has what it needs, and puts it together.
func (r reader) costsOf(d draft) (Costs, error) {
	for i, m := range d.measure {
		path := fmt.Sprintf("measure[%d]", i+1)
		for _, v := range m.reads {
			m.Reads = append(m.Reads, ways.Reading{Of: v.of, U: v.length})
		}
		if m.Name == "" || len(m.Reads) == 0 {
			return Costs{}, r.BadAt(path, "it has no name, or reads nothing", "write name: and reads: {zone: 0.006 mm}")
		}
		for _, v := range m.common {
			k := slices.IndexFunc(m.Reads, func(o ways.Reading) bool { return o.Of == v.of })
			if k < 0 {
				return Costs{}, r.BadAt(path+".common."+v.of, "a common part of what it does not read", "name it under reads: too, or take it away")
			}
			m.Reads[k].Common = v.length
		}
		d.Measure = append(d.Measure, m.Remeasure)
	}
	for i, c := range d.Regrind {
		if c.Name == "" || c.Depth == 0 {
			return Costs{}, r.BadAt(fmt.Sprintf("regrind[%d]", i+1), "it has no name or no depth", "write name: and depth: 0.15 mm")
		}
	}
	for i, l := range d.regrade {
		if err := r.class(fmt.Sprintf("regrade[%d]", i+1), &l); err != nil {
			return Costs{}, err
		}
		d.Regrade = append(d.Regrade, l.Lower)
	}
	return d.Costs, nil
}

// class gives a lower class its limits; that of the zone is for the piece as it is cut.
func (r reader) class(path string, l *lower) error {
	if l.Name == "" || len(l.limits) == 0 {
		return r.BadAt(path, "it has no name or no limits", "write name: and limits: {zone: 0.5 mm}")
	}
	cut := l.from != 0 || l.to != 0
	if cut && !(l.to > 0 && l.to < l.from) {
		return r.BadAt(path, fmt.Sprintf("it is cut from %g mm to %g mm", l.from, l.to), "write both lengths, cut_to shorter than cut_from")
	}
	for _, v := range l.limits {
		held := ways.Characteristic{Name: v.of, Limit: v.length, AtLeast: v.of == string(judge.Thickness)}
		if cut && v.of == string(judge.Zone) {
			held.Scale = ways.Shrink(l.from, l.to)
		}
		l.Held = append(l.Held, held)
	}
	return nil
}
