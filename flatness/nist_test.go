package flatness_test

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"slatewright/flatness"
	"slatewright/internal/truth"
)

// lastPlace is the unit in the last place of the largest coordinate.
func lastPlace(p flatness.Points) float64 {
	most := 0.0
	for _, column := range [][]float64{p.X, p.Y, p.Z} {
		for _, x := range column {
			most = max(most, math.Abs(x))
		}
	}
	return math.Nextafter(most, math.Inf(1)) - most
}

// apart is the angle between two unit vectors that are free in sign.
func apart(a, b [3]float64) float64 {
	x, y, z := a[1]*b[2]-a[2]*b[1], a[2]*b[0]-a[0]*b[2], a[0]*b[1]-a[1]*b[0]
	return math.Sqrt(x*x + y*y + z*z)
}

// agrees is the comparison with the exact zones: 4 units in the last place of the largest coordinate and 1e-12 of the zone.
func agrees(p flatness.Points, got, want float64) bool {
	return math.Abs(got-want) <= 4*lastPlace(p)+1e-12*want
}

func nist(t *testing.T) map[string]truth.PlaneSet {
	t.Helper()
	sets := map[string]truth.PlaneSet{}
	for _, s := range truth.NISTPlanes() {
		sets[s.Name] = s
	}
	if len(sets) != 15 {
		t.Fatalf("%d NIST plane sets, want 15", len(sets))
	}
	return sets
}

// Exact zones of the 15 NIST plane sets (least-squares reference pairs; zones worked out by rational arithmetic).
func TestNISTZones(t *testing.T) {
	for name, s := range nist(t) {
		p := flatness.Points{X: s.X, Y: s.Y, Z: s.Z}
		z, err := flatness.MinimumZone(p)
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		if !agrees(p, z.Value, s.Zone) {
			t.Errorf("%s: zone %.17g, want %.17g", name, z.Value, s.Zone)
		}
		if z.Kind != s.Contact {
			t.Errorf("%s: contacts %s, want %s", name, z.Kind, s.Contact)
		}
		// The table gives 12 decimals of the normal.
		if a := apart(z.Normal, s.ZoneNormal); a > 2e-12 {
			t.Errorf("%s: normal %v is %.2g from %v", name, z.Normal, a, s.ZoneNormal)
		}
		if !(z.Low <= s.Zone+4*lastPlace(p) && s.Zone-4*lastPlace(p) <= z.High) {
			t.Errorf("%s: the zone %g is not within %g to %g", name, s.Zone, z.Low, z.High)
		}
		v, err := flatness.ZoneValue(p)
		if err != nil || !agrees(p, v, s.Zone) {
			t.Errorf("%s: fast zone %.17g, want %.17g (%v)", name, v, s.Zone, err)
		}
		checkContacts(t, name, p, z)
	}
}

// The comparison must see a wrong zone.
func TestNISTComparisonSeesAWrongZone(t *testing.T) {
	for name, s := range nist(t) {
		p := flatness.Points{X: s.X, Y: s.Y, Z: s.Z}
		if agrees(p, s.Zone+6*lastPlace(p)+1e-11*s.Zone, s.Zone) {
			t.Errorf("%s: a zone wrong by 6 last places passes", name)
		}
	}
}

// NIST's own normals and centroids of the least-squares planes, published with 20 digits.
func TestNISTLeastSquares(t *testing.T) {
	for name, s := range nist(t) {
		p := flatness.Points{X: s.X, Y: s.Y, Z: s.Z}
		l, err := flatness.LeastSquares(p)
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		// Reading the decimals as float64 alone turns the plane by about a last place over the width of the set.
		if a := apart(l.Normal, s.Normal); a > 1e-13 {
			t.Errorf("%s: normal %v is %.2g from %v", name, l.Normal, a, s.Normal)
		}
		for k := range 3 {
			if math.Abs(l.Centroid[k]-s.Centroid[k]) > 2*lastPlace(p) {
				t.Errorf("%s: centroid %v, want %v", name, l.Centroid, s.Centroid)
			}
		}
		z, err := flatness.MinimumZone(p)
		if err != nil || l.PeakToValley < z.Value {
			t.Errorf("%s: least squares %g below the zone %g (%v)", name, l.PeakToValley, z.Value, err)
		}
	}
}

// checkContacts reports what contactFaults finds.
func checkContacts(t *testing.T, name string, p flatness.Points, z flatness.Zone) {
	t.Helper()
	if faults := contactFaults(p, z); len(faults) > 0 {
		t.Errorf("%s: %q", name, faults)
	}
}

// contactFaults holds the contacts against the points: they lie on the two planes, upper side first, and no point lies outside.
func contactFaults(p flatness.Points, z flatness.Zone) (faults []string) {
	fault := func(format string, a ...any) { faults = append(faults, fmt.Sprintf(format, a...)) }
	if z.Kind == "flat" {
		return nil
	}
	n := z.Normal
	tol := 32*lastPlace(p) + 1e-12*z.Value
	if n := len(z.Contacts); len(z.ContactUpper) != n || n != 4 {
		return []string{"not four contacts"}
	}
	along := func(i int) float64 { return n[0]*p.X[i] + n[1]*p.Y[i] + n[2]*p.Z[i] }
	middle := (along(z.Contacts[0]) + along(z.Contacts[3])) / 2 // the first is on the upper plane, the last on the lower
	height := func(i int) float64 { return along(i) - middle }
	above := 0
	for k, i := range z.Contacts {
		want := -z.Value / 2
		if z.ContactUpper[k] {
			above++
			want = -want
		}
		if off := height(i) - want; math.Abs(off) > tol {
			fault("contact %d lies %g from its plane", i, off)
		}
		if k > 0 && (z.ContactUpper[k] && !z.ContactUpper[k-1] ||
			z.ContactUpper[k] == z.ContactUpper[k-1] && i <= z.Contacts[k-1]) {
			fault("contacts %v %v are not upper side first, rising", z.Contacts, z.ContactUpper)
		}
	}
	below := len(z.Contacts) - above
	if want := fmt.Sprintf("%d-%d", max(above, below), min(above, below)); z.Kind != want || above == 0 || below == 0 {
		fault("kind %s with %d contacts above", z.Kind, above)
	}
	for i := range p.X {
		if out := math.Abs(height(i)) - z.Value/2; out > tol {
			fault("point %d lies %g outside the planes", i, out)
			break
		}
	}
	if up := n[2] > 0 || n[2] == 0 && (n[1] > 0 || n[1] == 0 && n[0] > 0); !up {
		fault("the normal %v does not point up", n)
	}
	return faults
}

// The check of the contacts must see each of the faults that it looks for.
func TestContactFaultsAreSeen(t *testing.T) {
	p := piece(func(u, v float64) float64 { return 0.1*(1-u*u) + 0.02*u*v })
	for name, spoil := range map[string]func(z *flatness.Zone, p flatness.Points){
		"nothing":          func(*flatness.Zone, flatness.Points) {},
		"another contact":  func(z *flatness.Zone, _ flatness.Points) { z.Contacts[0] += 6 },
		"lower side first": func(z *flatness.Zone, _ flatness.Points) { slices.Reverse(z.Contacts); slices.Reverse(z.ContactUpper) },
		"wrong kind":       func(z *flatness.Zone, _ flatness.Points) { z.Kind = "5-0" },
		"too narrow":       func(z *flatness.Zone, _ flatness.Points) { z.Value -= 1e-9 },
		"point outside":    func(_ *flatness.Zone, p flatness.Points) { p.Z[30] += 1 },
		"normal down":      func(z *flatness.Zone, _ flatness.Points) { z.Normal[2] = -z.Normal[2] },
		"contact lost":     func(z *flatness.Zone, _ flatness.Points) { z.Contacts = z.Contacts[1:] },
		"none below": func(z *flatness.Zone, _ flatness.Points) {
			z.Contacts, z.ContactUpper = z.Contacts[:2], z.ContactUpper[:2]
		},
	} {
		z := zoneOf(t, p)
		q := flatness.Points{X: p.X, Y: p.Y, Z: slices.Clone(p.Z)}
		spoil(&z, q)
		if faults := contactFaults(q, z); (len(faults) == 0) != (name == "nothing") {
			t.Errorf("%s: faults %q", name, faults)
		}
	}
}
