// Package published has what the published rules of games ask of a table's bed and its pockets, as far as a drawing can be
// held against it.
//
// It is a table and nothing else: bed/rules compares. What the rules say of heights, cushions and play is not here. Each row's
// source stands with it; a figure that no stored text prints is not here either.
package published

import "math"

// Span is from the least to the most that is allowed; both 0 where the rules say nothing.
type Span struct{ Low, High float64 }

// Said reports whether the rules say anything.
func (s Span) Said() bool { return s != Span{} }

// Holds reports whether v is allowed, to a rounding.
func (s Span) Holds(v float64) bool { return v >= s.Low-1e-9 && v <= s.High+1e-9 }

// Rules are one set of rules for one size of table. Lengths in mm, angles in radians; 0 where the rules say nothing.
type Rules struct {
	Name, Title, Source string

	FieldX, FieldY Span // playing field between the cushion noses

	ThicknessMin             float64
	Pieces                   int // equal ones
	Lengthwise, Across, Step float64

	Corner, Side Opening
}

// Opening is what the rules say of a pocket.
type Opening struct{ Mouth, Shelf, Cut, Draft Span }

const (
	wpaSource = "WPA tournament table & equipment specifications, November 2001 text, as stored copies print it"
	dbuSource = "German federation's norm for pool, as an encyclopaedia sums it up"
	umbSource = "UMB carom equipment rules, article 11"
	wpbSource = "WPBSA/IBSF rules of snooker, section 1"
)

func degrees(low, high float64) Span { return Span{low * math.Pi / 180, high * math.Pi / 180} }

// wpa is what the WPA text says of tables of any size. The copies print the field's tolerance with a plus sign; it is read so.
func wpa(name, title string, x, y float64) Rules {
	const more = 3.175 // 1/8 in
	draft := degrees(12, 15)
	return Rules{
		Name: name, Title: title, Source: wpaSource,
		FieldX: Span{x, x + more}, FieldY: Span{y, y + more},
		ThicknessMin: 25.4, Pieces: 3, Lengthwise: 0.508, Across: 0.254, Step: 0.127,
		Corner: Opening{Mouth: Span{114.3, 117.475}, Shelf: Span{25.4, 57.15}, Cut: degrees(141, 143), Draft: draft},
		Side:   Opening{Mouth: Span{127, 130.175}, Shelf: Span{0, 9.525}, Cut: degrees(103, 105), Draft: draft},
	}
}

func about(v, off float64) Span { return Span{v - off, v + off} }

// All lists the rules.
func All() []Rules {
	return []Rules{
		wpa("wpa-9ft", "WPA pool, 9 ft", 2540, 1270),
		wpa("wpa-8ft", "WPA pool, 8 ft", 2336.8, 1168.4),
		{Name: "dbu-9ft", Title: "German federation, pool, 9 ft", Source: dbuSource, FieldX: about(2540, 12.7), FieldY: about(1270, 6.35)},
		{Name: "dbu-8ft", Title: "German federation, pool, 8 ft", Source: dbuSource, FieldX: about(2240, 11.2), FieldY: about(1120, 5.6)},
		{Name: "umb-carom", Title: "UMB carom", Source: umbSource, FieldX: about(2840, 5), FieldY: about(1420, 5), ThicknessMin: 45},
		{Name: "wpbsa-12ft", Title: "WPBSA snooker, 12 ft", Source: wpbSource, FieldX: about(3569, 13), FieldY: about(1778, 13)},
	}
}

// Names lists the names of the rules.
func Names() (list []string) {
	for _, r := range All() {
		list = append(list, r.Name)
	}
	return list
}

// Find returns the rules of a name.
func Find(name string) (Rules, bool) {
	for _, r := range All() {
		if r.Name == name {
			return r, true
		}
	}
	return Rules{}, false
}
