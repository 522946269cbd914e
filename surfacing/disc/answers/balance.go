// Package answers is what questions about a disc are answered with: is it balanced and what must change places, and when are its bits used up. The
// command line and the pages give the same answer with the same keys.
//
// It searches and fits nothing of its own, package disc and its room wear do. It reads no file, knows no day of today, and prints nothing for people.
package answers

import (
	"fmt"
	"math"
	"strings"

	"slatewright/measure"
	"slatewright/surfacing/disc"
	"slatewright/trouble"
)

// Question is what is asked of a disc beside its list; nil where nobody said it: the list's own header line counts, and then what is usual.
type Question struct {
	Speed, Grade, Rotor *float64 // rpm, mm/s, kg
	Band                *float64 // mm
	UMass, UPlace       *float64 // g, mm
	Bearings            *float64 // mm
	Arrange             bool     // weigh all bits in anew
}

// What is taken where nobody says another: common practice, no source.
const (
	UsualBand   = 0.1  // mm
	UsualUMass  = 0.01 // g, of a scale that reads 0.01 g
	UsualUPlace = 0.05 // mm, of a seat that was drilled
)

// Balance is the answer about a disc. Its names are a contract with other programs.
type Balance struct {
	File          string      `json:"file"`
	State         string      `json:"state"` // after the swaps: meets, does not meet, cannot tell
	StateBefore   string      `json:"state_before"`
	Before        float64     `json:"before_g_mm"`
	BeforeAngle   float64     `json:"before_angle_deg"` // of the heavy side
	After         float64     `json:"after_g_mm"`
	AfterAngle    float64     `json:"after_angle_deg"`
	Permissible   float64     `json:"permissible_g_mm"`
	U             float64     `json:"u_g_mm"`     // standard uncertainty along the worst direction
	Guard         float64     `json:"guard_g_mm"` // radius that holds 95 % of the errors
	Speed         float64     `json:"speed_rpm"`
	Grade         float64     `json:"grade_mm_s"`
	Rotor         float64     `json:"rotor_mass_kg"`
	GradeBefore   float64     `json:"grade_before_mm_s"` // that it would just meet
	GradeAfter    float64     `json:"grade_after_mm_s"`
	Rim           float64     `json:"rim_speed_m_s"` // of the outermost bits' middles
	Swaps         [][2]string `json:"swaps"`         // positions whose bits change, one after the other
	Fewest        bool        `json:"fewest_proven"`
	AtLeast       *int        `json:"fewest_at_least"`      // null: none do, proven
	Dressed       *int        `json:"swaps_after_dressing"` // null: not asked, or none
	WeighedIn     float64     `json:"weighed_in_g_mm"`      // what is left when all bits are weighed in anew
	Arranged      bool        `json:"arranged"`             // all bits were weighed in anew
	Bound         float64     `json:"bound_g_mm"`           // no arrangement leaves less
	BestProven    bool        `json:"best_proven"`          // nothing less than weighed_in_g_mm can be left
	Arrangement   []Seat      `json:"arrangement"`
	Heights       Heights     `json:"heights"`
	Couple        Couple      `json:"couple"`
	Next          string      `json:"next"`
	Warnings      []string    `json:"warnings"`
	List          *disc.List  `json:"-"`
	left, started disc.Vector
	plan          disc.Arrangement
}

// Seat is one place afterwards.
type Seat struct {
	Position string  `json:"position"`
	From     string  `json:"from"` // position that the bit comes from
	Bit      string  `json:"bit"`
	Angle    float64 `json:"angle_deg"`
	Radius   float64 `json:"radius_mm"` // 0: beside the disc
	Mass     float64 `json:"mass_g"`    // 0: no bit
	Height   float64 `json:"height_mm"`
	New      bool    `json:"new"`
}

// Heights is how the bits stand before anything is moved.
type Heights struct {
	Band      float64 `json:"band_mm"`
	Highest   float64 `json:"highest_mm"` // of the ring's face, run-out of the seats included
	Lowest    float64 `json:"lowest_mm"`
	Runout    float64 `json:"seat_runout_mm"`
	Given     bool    `json:"seat_runout_given"`
	Proud     []Off   `json:"proud"`
	Low       []Off   `json:"low"`
	Finishing bool    `json:"fit_to_finish"` // no bit stands proud
}

// Off is a bit that stands off the ring's face.
type Off struct {
	Position string  `json:"position"`
	By       float64 `json:"by_mm"` // over the highest of the face, − under the lowest
	New      bool    `json:"new"`
}

// Couple is what one plane of balance does not see.
type Couple struct {
	Before   float64  `json:"before_g_mm2"`
	After    float64  `json:"after_g_mm2"`
	Bearings *float64 `json:"bearings_mm"`          // apart
	Each     *float64 `json:"at_bearing_g_mm"`      // what each bearing feels of it
	Distance float64  `json:"tenth_at_bearings_mm"` // bearings nearer than this would each feel more than a tenth of their half of what is permissible
	Matters  bool     `json:"matters"`              // they are
}

// orElse is the first that is given.
func orElse(asked *float64, listed, usual float64) (v float64, guessed bool) {
	switch {
	case asked != nil:
		return *asked, false
	case !math.IsNaN(listed):
		return listed, false
	}
	return usual, true
}

// OfDisc answers about a list. Errors are *trouble.Trouble: no-speed, no-grade, no-rotor, bad-duty, bad-doubt.
func OfDisc(file string, l *disc.List, q Question) (*Balance, error) {
	duty, err := dutyOf(file, l, q)
	if err != nil {
		return nil, err
	}
	r := l.Ring
	b := &Balance{File: file, List: l, Speed: duty.Speed, Grade: duty.Grade, Rotor: duty.Rotor, Swaps: [][2]string{}, Arranged: q.Arrange, Warnings: append([]string{}, l.Warnings...)}
	band, doubt, err := b.granted(l, q)
	if err != nil {
		return nil, err
	}
	a := r.AsListed()
	if g := r.Mass(a); g > 1000*duty.Rotor {
		return nil, trouble.Data("bad-duty", file, fmt.Sprintf("the bits weigh %s kg and the whole rotor %s kg", measure.Decimal(g/1000, 2), measure.Decimal(duty.Rotor, 2)), "give the mass of all that turns, bits and disc together")
	}
	b.Permissible, b.U = duty.Permissible(), r.U(doubt)
	b.Guard = disc.Cover * b.U
	b.started = r.Unbalance(a)
	b.StateBefore = string(disc.Judge(b.started.Size(), b.Permissible, b.Guard))
	h := r.Heights(a, band)
	b.heights(r, h)
	if q.Arrange {
		b.arrange(r, h)
	} else {
		b.swap(r, h)
	}
	b.numbers(r, duty)
	b.couple(r, l, q)
	b.seats(r)
	b.warn(r)
	b.Next = b.next()
	return b, nil
}

func dutyOf(file string, l *disc.List, q Question) (d disc.Duty, err error) {
	var missing bool
	if d.Speed, missing = orElse(q.Speed, l.Duty.Speed, 0); missing {
		return d, trouble.Usage("no-speed", file, "the speed of the disc is not given", "give it beside the list, such as 1400rpm, or as its line '# speed: 1400 rpm'")
	}
	if d.Grade, missing = orElse(q.Grade, l.Duty.Grade, 0); missing {
		return d, trouble.Usage("no-grade", file, "the balance grade is not given", "give it beside the list, such as 6.3, or as its line '# grade: 6.3'")
	}
	if d.Rotor, missing = orElse(q.Rotor, l.Duty.Rotor, 0); missing {
		return d, trouble.Usage("no-rotor", file, "the mass of all that turns is not given", "give it beside the list, such as 12kg, or as its line '# rotor mass: 12 kg'")
	}
	if err := d.Check(); err != nil {
		t := err.(*trouble.Trouble)
		return d, trouble.Data(t.Code, file, t.What, t.Next)
	}
	return d, nil
}

// granted is the band and the doubt, with a warning of what nobody said.
func (b *Balance) granted(l *disc.List, q Question) (band float64, d disc.Doubt, err error) {
	band, guessed := orElse(q.Band, l.Band, UsualBand)
	var scale, place bool
	d.Mass, scale = orElse(q.UMass, l.Doubt.Mass, UsualUMass)
	d.Place, place = orElse(q.UPlace, l.Doubt.Place, UsualUPlace)
	if !(band >= 0 && band <= 100) || !(d.Mass >= 0 && d.Mass <= 1000) || !(d.Place >= 0 && d.Place <= 100) {
		return band, d, trouble.Data("bad-doubt", b.File, "the height band or an uncertainty is out of reach", "give the band in mm, the scale's uncertainty in g and that of a place in mm, none below 0")
	}
	if guessed {
		b.warnf("the height band is not given: %s mm is taken", measure.Decimal(UsualBand, 2))
	}
	if scale {
		b.warnf("the scale's uncertainty is not given: %s g is taken", measure.Decimal(UsualUMass, 2))
	}
	if place {
		b.warnf("how well the places are known is not given: %s mm is taken", measure.Decimal(UsualUPlace, 2))
	}
	return band, d, nil
}

func (b *Balance) warnf(format string, args ...any) {
	b.Warnings = append(b.Warnings, fmt.Sprintf(format, args...))
}

func (b *Balance) heights(r *disc.Ring, h disc.Heights) {
	b.Heights = Heights{Band: h.Band, Highest: round(h.Highest), Lowest: round(h.Lowest), Runout: round(h.Runout), Given: h.RunoutGiven, Proud: []Off{}, Low: []Off{}, Finishing: len(h.Proud) == 0}
	for _, p := range h.Proud {
		b.Heights.Proud = append(b.Heights.Proud, Off{r.Places[p].Name, round(r.Stands(p, p) - h.Highest), r.Bits[p].New})
	}
	for _, p := range h.Low {
		b.Heights.Low = append(b.Heights.Low, Off{r.Places[p].Name, round(r.Stands(p, p) - h.Lowest), r.Bits[p].New})
	}
}

// target is what is searched for: within what is permissible whatever the error; where the error alone is larger, within what is permissible. To search below
// a tenth of the doubt would be to sort its chances.
func (b *Balance) target() float64 {
	if b.Guard >= b.Permissible {
		return math.Max(b.Permissible, b.U/10)
	}
	return math.Max(b.Permissible-b.Guard, math.Min(b.U/10, b.Permissible))
}

func (b *Balance) swap(r *disc.Ring, h disc.Heights) {
	plan := r.Fewest(b.target(), h)
	if !plan.Reached && plan.Left.Size() > b.started.Size()-0.01*b.Permissible { // not worth the work
		plan.After, plan.Swaps, plan.Left = r.AsListed(), nil, b.started
	}
	b.take(r, plan.After, plan.Swaps)
	b.Fewest = plan.Proven && plan.Reached
	if plan.AtLeast >= 0 {
		b.AtLeast = &plan.AtLeast
	}
	g := r.Arrange(b.Permissible, h)
	b.WeighedIn, b.Bound, b.BestProven = round(g.Left.Size()), round(g.Bound), g.Best
	if !plan.Reached {
		if dressed := r.FewestDressed(b.target()); dressed.Reached {
			n := len(dressed.Swaps)
			b.Dressed = &n
		}
	}
}

func (b *Balance) arrange(r *disc.Ring, h disc.Heights) {
	g := r.Arrange(b.Permissible, h)
	b.take(r, g.After, r.Steps(g.After))
	b.WeighedIn, b.Bound, b.BestProven = round(g.Left.Size()), round(g.Bound), g.Best
}

func (b *Balance) take(r *disc.Ring, after disc.Arrangement, swaps [][2]int) {
	b.plan, b.left = after, r.Unbalance(after)
	for _, s := range swaps {
		b.Swaps = append(b.Swaps, [2]string{r.Places[s[0]].Name, r.Places[s[1]].Name})
	}
	b.State = string(disc.Judge(b.left.Size(), b.Permissible, b.Guard))
}

// round leaves a millionth: what lies below differs between processors and means nothing.
func round(x float64) float64 { return measure.Round(x, 6) }

// polar is size and angle; what rounds to nothing points nowhere.
func polar(v disc.Vector) (size, angle float64) {
	if size = round(v.Size()); size > 0 {
		angle = round(v.Angle())
	}
	return size, angle
}

func (b *Balance) numbers(r *disc.Ring, duty disc.Duty) {
	b.Before, b.BeforeAngle = polar(b.started)
	b.After, b.AfterAngle = polar(b.left)
	b.GradeBefore, b.GradeAfter = round(duty.GradeOf(b.started.Size())), round(duty.GradeOf(b.left.Size()))
	for _, p := range r.Places {
		b.Rim = math.Max(b.Rim, round(p.Radius/1000*duty.Speed*math.Pi/30))
	}
	b.Permissible, b.U, b.Guard = round(b.Permissible), round(b.U), round(b.Guard)
}

func (b *Balance) couple(r *disc.Ring, l *disc.List, q Question) {
	b.Couple = Couple{Before: round(r.Couple(r.AsListed())), After: round(r.Couple(b.plan))}
	b.Couple.Distance = round(b.Couple.After / (0.1 * b.Permissible / 2))
	if span, missing := orElse(q.Bearings, l.Bearings, 0); !missing && span > 0 {
		each := round(b.Couple.After / span)
		b.Couple.Bearings, b.Couple.Each, b.Couple.Matters = &span, &each, span < b.Couple.Distance
	}
}

func (b *Balance) seats(r *disc.Ring) {
	for p, i := range b.plan {
		at, bit := r.Places[p], r.Bits[i]
		b.Arrangement = append(b.Arrangement, Seat{at.Name, r.Places[i].Name, bit.Name, at.Degrees, at.Radius, bit.Mass, bit.Height, bit.New})
	}
}

// named joins some names and says how many more there are.
func named(list []string) string {
	const most = 8
	if len(list) > most {
		return strings.Join(list[:most], ", ") + ", …"
	}
	return strings.Join(list, ", ")
}
