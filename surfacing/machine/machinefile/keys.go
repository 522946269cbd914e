package machinefile

import (
	"slatewright/keyed"
	"slatewright/surfacing/machine"
)

// reader is the file that is being read.
type reader struct{ *keyed.File }

// keys lists what a machine file may say.
func (r *reader) keys(m *machine.Machine, headOf *[]string) []keyed.Key {
	t, h, w, p := &m.Table, &m.Hold, &m.Times, &m.Prices
	return []keyed.Key{
		keyed.Of("name", r.text(&m.Name)),
		keyed.Of("invented", r.Yes(&m.Invented)),
		keyed.Of("heads", keyed.Each(r.File, &m.Heads, r.head)),
		keyed.Of("stages", keyed.Each(r.File, &m.Stages, func(s *machine.Stage) []keyed.Key {
			*headOf = append(*headOf, "")
			return r.stage(s, &(*headOf)[len(*headOf)-1])
		})),
		keyed.Of("table", r.Group(
			keyed.Of("x", r.size(length, &t.X)), keyed.Of("y", r.size(length, &t.Y)), keyed.Of("bed", r.known(length, &t.Bed)), keyed.Of("ways", r.known(length, &t.Ways)),
			keyed.Of("pitch", r.size(length, &t.Pitch)), keyed.Of("rezero", r.Yes(&t.Rezero)), keyed.Of("setting", r.size(length, &t.Setting)))),
		keyed.Of("hold", r.Group(keyed.Of("pressure", r.size(pressure, &h.Pressure)), keyed.Of("free", r.known(length, &h.Free)))),
		keyed.Of("times", r.Group(
			keyed.Of("setup", r.size(minutes, &w.Setup)), keyed.Of("free", r.size(minutes, &w.Free)), keyed.Of("flip", r.size(minutes, &w.Flip)), keyed.Of("change", r.size(minutes, &w.Change)),
			keyed.Of("pass", r.size(minutes, &w.Pass)), keyed.Of("turn", r.size(seconds, &w.Turn)), keyed.Of("bits", r.size(minutes, &w.Bits)))),
		keyed.Of("prices", r.Group(keyed.Of("currency", r.text(&p.Currency)), keyed.Of("hour", r.price(&p.Hour)), keyed.Of("water", r.price(&p.Water)), keyed.Of("power", r.price(&p.Power)))),
		keyed.Of("history", keyed.Each(r.File, &m.History, r.observation)),
	}
}

func (r *reader) head(h *machine.Head) []keyed.Key {
	return []keyed.Key{keyed.Of("name", r.text(&h.Name)), keyed.Of("power", r.size(power, &h.Power)), keyed.Of("stiffness", r.known(stiffness, &h.Stiffness)),
		keyed.Of("tilt_along", r.known(tilt, &h.TiltAlong)), keyed.Of("tilt_across", r.known(tilt, &h.TiltAcross)), keyed.Of("water", r.size(flow, &h.Water))}
}

func (r *reader) stage(s *machine.Stage, head *string) []keyed.Key {
	d := &s.Disc
	return []keyed.Key{keyed.Of("name", r.text(&s.Name)), keyed.Of("head", r.text(head)), keyed.Of("grit", r.text(&s.Grit)), keyed.Of("diameter", r.size(length, &d.Diameter)), keyed.Of("bits", r.count(&d.Bits)),
		keyed.Of("bit_area", r.size(area, &d.BitArea)), keyed.Of("bit_height", r.size(length, &d.BitHeight)), keyed.Of("bit_price", r.price(&d.Price)), keyed.Of("rotor_mass", r.size(mass, &d.Mass)),
		keyed.Of("balance_grade", r.size(grade, &d.Grade)), keyed.Of("height_band", r.size(length, &d.Band)), keyed.Of("speed", r.size(turns, &s.Speed)),
		keyed.Of("depth", r.span(length, &s.DepthMin, &s.DepthMax)), keyed.Of("depth_step", r.size(length, &s.Step)), keyed.Of("feed", r.span(feed, &s.FeedMin, &s.FeedMax)),
		keyed.Of("rim", r.span(rim, &s.RimMin, &s.RimMax)), keyed.Of("g_ratio", r.known(ratio, &s.G)), keyed.Of("energy", r.known(energy, &s.Energy)), keyed.Of("normal_force", r.known(ratio, &s.Normal)),
		keyed.Of("damage", r.size(length, &s.Damage))}
}

func (r *reader) text(into *string) keyed.Take {
	return r.Scalar("a word", func(s string) error { *into = s; return nil })
}

func (r *reader) count(into *int) keyed.Take { return r.Count("96", 10000, into) }

func (r *reader) price(into **float64) keyed.Take {
	var v float64
	return r.Scalar("12.50", func(s string) (err error) {
		*into = &v
		v, err = number(s)
		return err
	})
}

func (r *reader) size(q quantity, into *float64) keyed.Take {
	return r.Scalar(q.like, func(s string) (err error) { *into, err = q.value(s); return err })
}

func (r *reader) known(q quantity, into *machine.Known) keyed.Take {
	return r.Scalar(q.sure, func(s string) (err error) { *into, err = q.known(s); return err })
}

func (r *reader) span(q quantity, low, high *float64) keyed.Take {
	return r.Scalar(q.span, func(s string) (err error) { *low, *high, err = q.between(s); return err })
}
