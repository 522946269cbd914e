// Package caution says the usual cautions where work can hurt: dust, lifting, machines, placing, glue, quarry faces, test loads. Pages and papers
// take them from here, in the words of package tongue, so that there is one text.
//
// A caution names what hurts and what is commonly done about it, and defers to local codes and licensed practice. Nothing here is a work
// instruction or a safety device: no act waits for a caution and no machine stops for it. The package decides nothing about stone; the
// masses that it names are computed elsewhere.
package caution

import (
	"slatewright/internal/tongue"
)

// Topic is a way in which work can hurt, or who rules about it.
type Topic string

// The topics. Every page and paper that carries a caution ends with who rules.
const (
	Lifting  Topic = "lifting"
	Dust     Topic = "dust"
	Machines Topic = "machines"
	Discs    Topic = "discs"   // bursting, balance, bits that stand proud, locking off
	Wet      Topic = "wet"     // water and slurry
	Placing  Topic = "placing" // stone that is laid down, shimmed and drawn together
	Glue     Topic = "glue"
	Faces    Topic = "faces"   // of a quarry
	Loading  Topic = "loading" // a test with a load on the stone
)

// Topics lists the topics.
func Topics() []Topic {
	return []Topic{Lifting, Dust, Machines, Discs, Wet, Placing, Glue, Faces, Loading}
}

// Caution is one caution: a word to find it by, and the text.
type Caution struct{ Word, Text string }

// Load is something that is lifted, with its computed mass; 0 is not known. A name that is a place in a bed is said in the language.
type Load struct {
	Name string
	Kg   float64
}

// OnPage returns the cautions of a page about some topics, with who rules; none when there is no topic. The loads give the masses that
// lifting names, and may be empty.
func OnPage(w tongue.Words, topics []Topic, loads ...Load) []Caution {
	return say(w, topics, "page", loads)
}

// OnPaper is OnPage for a paper that leaves the mill.
func OnPaper(w tongue.Words, topics []Topic, loads ...Load) []Caution {
	return say(w, topics, "paper", loads)
}

func say(w tongue.Words, topics []Topic, medium string, loads []Load) []Caution {
	if len(topics) == 0 {
		return nil
	}
	var out []Caution
	for _, t := range topics {
		text := w.Say("caution." + string(t) + ".text")
		if t == Lifting {
			text = w.Say("caution.mass.first", "mass", masses(w, loads), "rest", text)
		}
		out = append(out, Caution{w.Say("caution." + string(t) + ".word"), text})
	}
	return append(out, Caution{w.Say("caution.rules.word"), w.Say("caution.rules." + medium)})
}

// masses names the computed mass of each load.
func masses(w tongue.Words, loads []Load) string {
	if len(loads) == 0 {
		return w.Say("caution.mass.elsewhere")
	}
	var each []string
	var sum float64
	for _, l := range loads {
		if !(l.Kg > 0) {
			return w.Say("caution.mass.unknown")
		}
		each = append(each, w.Say("caution.mass.load", "name", w.Word("place", l.Name), "mass_kg", l.Kg))
		sum += l.Kg
	}
	if len(loads) == 1 {
		return w.Say("caution.mass.one", "load", each[0])
	}
	return w.Say("caution.mass.several", "loads", each, "sum_kg", sum)
}
