package floor

import (
	"net/url"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"slatewright/internal/book"
	"slatewright/internal/book/blank"
	"slatewright/internal/tongue"
	"slatewright/internal/web/shell"
)

// row is one field of a form.
type row struct {
	blank.Field
	Label   string
	Value   string
	Wrong   string
	Input   string   // text, number, check, choice, day, file, long
	Unit    string   // of a length, as the reader types it
	Choices []choice // of a choice
	Offers  []string // numbers of things that may be meant
	Head    string   // a heading before it: the row of a list of things
	Repeats bool
	Kinds   []choice // of a thing, of which the number alone is typed
	Kind    string   // the one that is chosen
}

type choice struct{ Value, Label string }

const (
	fewChoices = 5 // that lie side by side as buttons: a glove finds them quicker than a list that opens
	usualRows  = 3
	mostRows   = 40
)

// repeats is how many rows a list of things shows.
func repeats(filled url.Values) int {
	n, err := strconv.Atoi(filled.Get("_rows"))
	if err != nil || n < 1 {
		n = usualRows
	}
	return min(n, mostRows)
}

func itoa(n int) string { return strconv.Itoa(n) }

// rowsOf lays an act's fields out as rows, with what is filled in.
func rowsOf(v *shell.Visit, act book.Act, filled url.Values) (rows []row, err error) {
	fields := blank.Fields(act)
	for i := 0; i < len(fields); i++ {
		list, _, repeated := strings.Cut(fields[i].Name, ".N.")
		if !repeated {
			r, err := rowOf(v, act, fields[i], filled)
			if err != nil {
				return nil, err
			}
			rows = append(rows, r)
			continue
		}
		last := i
		for last+1 < len(fields) && strings.HasPrefix(fields[last+1].Name, list+".N.") {
			last++
		}
		for n := range repeats(filled) {
			for k, f := range fields[i : last+1] {
				f.Name = strings.Replace(f.Name, ".N.", "."+itoa(n)+".", 1)
				f.Needed = f.Needed && n == 0 && strings.HasSuffix(f.Name, ".id")
				r, err := rowOf(v, act, f, filled)
				if err != nil {
					return nil, err
				}
				if r.Repeats = true; k == 0 {
					r.Head = v.Say("floor.nth", "what", v.Say("field."+list), "n", n+1)
				}
				rows = append(rows, r)
			}
		}
		i = last
	}
	return rows, nil
}

// lastName is the part of a field's name that says what it is: length_mm of slabs.0.stone.length_mm.
func lastName(name string) string {
	parts := strings.Split(name, ".")
	return parts[len(parts)-1]
}

func rowOf(v *shell.Visit, act book.Act, f blank.Field, filled url.Values) (row, error) {
	last := lastName(f.Name)
	r := row{Field: f, Label: v.Say("field." + last), Value: filled.Get(f.Name), Input: "text"}
	switch {
	case last == "blob":
		r.Input = "file"
	case f.Sort == "yes or no":
		r.Input = "check"
	case len(f.Enum) > 0:
		if r.Input = "choice"; len(f.Enum) <= fewChoices {
			r.Input = "few"
		}
		for _, word := range f.Enum {
			r.Choices = append(r.Choices, choice{word, enumWord(v.Words, act.Word(), last, word)})
		}
	case f.Sort == "time":
		r.Input = "day"
	case f.Sort == "number" || f.Sort == "whole number":
		r.Input = "number"
		r.Unit = unitOf(v.Words, last)
	case f.Sort == "list, with commas" && strings.HasSuffix(last, "_mm"):
		r.Unit = unitOf(v.Words, last)
	case last == "note" || last == "why" || last == "complaint" || last == "body" || last == "released":
		r.Input = "long"
	}
	if last == "thing" {
		if r.Kind = filled.Get(kindField); r.Kind == "" {
			r.Kind = string(book.KindPiece) // what most is done to
		}
		for _, kind := range f.Kinds {
			r.Kinds = append(r.Kinds, choice{kind, v.Word("kind", kind)})
		}
	}
	return r, r.offer(v)
}

// kindField is the field in which the kind of a thing is chosen whose number alone is typed or scanned.
const kindField = "_kind"

// ofKind puts the kind that was chosen before a number that names none.
func ofKind(filled url.Values) {
	number, kind := strings.TrimSpace(filled.Get("thing")), filled.Get(kindField)
	if number != "" && kind != "" && !strings.Contains(number, ":") {
		filled.Set("thing", kind+":"+number)
	}
}

// called says what is wrong in the reader's words, fields by their labels in place of the names that the book has for them.
func called(v *shell.Visit, rows []row, text string) string {
	text = v.InWords(text)
	for _, r := range rows {
		if strings.ContainsAny(r.Name, "_.") { // others are words of the language
			text = regexp.MustCompile(`\b`+regexp.QuoteMeta(r.Name)+`\b`).ReplaceAllLiteralString(text, "“"+r.Label+"”")
		}
	}
	return text
}

// enumGroups are the groups of the catalogue in which the words of a choice stand, by field.
var enumGroups = map[string]string{"face": "face", "cause": "cause", "stage": "stage", "mark_now": "surface", "on": "surface", "marked_on": "surface", "how": "how", "joint": "place",
	"verdict": "verdict", "role": "role", "size": "table", "to": "table", "sort": "sort"}

func enumWord(w tongue.Words, act, field, word string) string {
	group := enumGroups[field]
	if field == "what" {
		group = map[string]string{"read": "reading", "check": "check"}[act]
	}
	if group == "table" {
		return w.Word(group, strings.ReplaceAll(word, " ", "-"))
	}
	return w.Word(group, word)
}

// small are the lengths that are read in thousandths of an inch.
var small = []string{"depth_mm", "worst_mm", "step_mm", "zone_mm", "steps_mm", "error_mm", "u_mm"}

func unitOf(w tongue.Words, field string) string {
	switch {
	case !strings.HasSuffix(field, "_mm"):
		return ""
	case w.Units() != tongue.Inch:
		return "mm"
	case slices.Contains(small, field):
		return "thou"
	}
	return "in"
}

// offered are the kinds of things that a field names by number, and that are few enough to be offered.
var offered = map[string]book.Kind{"disc": book.KindDisc, "bits": book.KindBitSet, "bench": book.KindBench, "scale": book.KindInstrument, "instruments": book.KindInstrument,
	"board_batch": book.KindBoardBatch, "glue_batch": book.KindGlueBatch, "room": book.KindRoom, "order": book.KindOrder, "layer": book.KindLayer}

func (r *row) offer(v *shell.Visit) error {
	kind, ok := offered[lastName(r.Name)]
	if !ok || r.Input != "text" {
		return nil
	}
	page, err := v.Ledger.Things(v.R.Context(), book.Filter{Kind: kind}, "", 60)
	for _, t := range page.Items {
		r.Offers = append(r.Offers, t.ID)
	}
	return err
}

// pairs are the fields that were filled in, in the order of the form, as the book reads them: with a decimal point and in mm.
func pairs(v *shell.Visit, act book.Act, filled url.Values) (list []blank.Pair) {
	fields := blank.Fields(act)
	kept := map[string]int{} // rows of a list that hold something, numbered anew
	for _, name := range orderOf(fields, filled) {
		value := strings.TrimSpace(filled.Get(name))
		f := fieldNamed(fields, name)
		if f.Sort == "yes or no" && value != "" {
			value = "yes"
		}
		if value == "" {
			continue
		}
		list = append(list, blank.Pair{Name: renumbered(name, kept), Value: asTyped(v.Words, f, value)})
	}
	for _, f := range fields {
		if f.Sort == "yes or no" && f.Needed && filled.Get(f.Name) == "" && !strings.Contains(f.Name, ".N.") {
			list = append(list, blank.Pair{Name: f.Name, Value: "no"})
		}
	}
	return list
}

var numbered = regexp.MustCompile(`\.[0-9]+\.`)

// orderOf lists the names in a form that belong to the act's fields, those of a list by their place.
func orderOf(fields []blank.Field, filled url.Values) (names []string) {
	for name := range filled {
		if !strings.HasPrefix(name, "_") && fieldNamed(fields, name).Name != "" {
			names = append(names, name)
		}
	}
	place := func(name string) (list string, n, field int) {
		field = slices.IndexFunc(fields, func(f blank.Field) bool { return f.Name == numbered.ReplaceAllString(name, ".N.") })
		if at := numbered.FindStringIndex(name); at != nil {
			n, _ = strconv.Atoi(strings.Trim(name[at[0]:at[1]], "."))
		}
		return "", n, field
	}
	slices.SortFunc(names, func(a, b string) int {
		_, an, af := place(a)
		_, bn, bf := place(b)
		if an != bn {
			return an - bn
		}
		return af - bf
	})
	return names
}

func fieldNamed(fields []blank.Field, name string) blank.Field {
	name = numbered.ReplaceAllString(name, ".N.")
	for _, f := range fields {
		if f.Name == name {
			return f
		}
	}
	return blank.Field{}
}

// renumbered gives the rows of a list that hold something the next places: an empty row between them is no row.
func renumbered(name string, kept map[string]int) string {
	at := numbered.FindStringIndex(name)
	if at == nil {
		return name
	}
	list, old := name[:at[0]], name[at[0]:at[1]]
	n, ok := kept[list+old]
	if !ok {
		n = 0
		for k := range kept {
			if strings.HasPrefix(k, list+".") {
				n++
			}
		}
		kept[list+old] = n
	}
	return list + "." + itoa(n) + "." + name[at[1]:]
}

var commaNumber = regexp.MustCompile(`^[-+−]?\d+,\d+$`)

// asTyped turns a number as the reader writes it into one as the book reads it: a decimal comma, a real minus sign, and a length
// without a unit in the reader's own.
func asTyped(w tongue.Words, f blank.Field, value string) string {
	if f.Sort == "list, with commas" && strings.HasSuffix(f.Name, "_mm") {
		var parts []string
		split := strings.FieldsFunc(value, func(r rune) bool { return r == ';' || r == ' ' })
		if len(split) == 1 && !commaNumber.MatchString(value) {
			split = strings.Split(value, ",")
		}
		for _, p := range split {
			parts = append(parts, length(w, f, plainNumber(strings.Trim(p, ","))))
		}
		return strings.Join(parts, ",")
	}
	if f.Sort != "number" && f.Sort != "whole number" {
		return value
	}
	return length(w, f, plainNumber(value))
}

func plainNumber(s string) string {
	s = strings.ReplaceAll(strings.TrimSpace(s), "−", "-")
	if commaNumber.MatchString(s) {
		s = strings.Replace(s, ",", ".", 1)
	}
	return s
}

// length adds the reader's unit to a bare number of a length.
func length(w tongue.Words, f blank.Field, s string) string {
	unit := unitOf(w, lastName(f.Name))
	if _, err := strconv.ParseFloat(s, 64); err != nil || unit == "" || unit == "mm" {
		return s
	}
	return s + unit
}
