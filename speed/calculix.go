package main

import (
	"bufio"
	"bytes"
	"errors"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"time"

	"slatewright/plate"
)

// The independent program is ccx of CalculiX, from the Debian package calculix-ccx: quadratic shells (S8R), which it expands to
// solids, so that shear between the faces and the squeeze over a support, which thin plates do not have, are in its numbers. Supports are
// gap elements. It is installed when it is not there; where that cannot be done the comparison counts as missed.

// slateCase is a piece with rectangular cut-outs along the lines of a grid of nx by ny cells, on points at its corners.
type slateCase struct {
	name   string
	nx, ny int
	cuts   [][4]int // cells: from, to along x, from, to along y
	points [][3]int // corner of the grid, and height in µm
	bars   [2]int   // rows of the grid on which every corner is a support; 0, 0: none
	lifts  bool     // some support must carry nothing
}

var (
	pockets = [][4]int{{0, 2, 0, 2}, {0, 2, 46, 48}}
	withEye = append(pockets[:2:2], [4]int{14, 18, 22, 26})
)

// slateCases are three pieces with cut-outs; the first and the last lift off.
func slateCases() []slateCase {
	return []slateCase{
		{name: "pockets, two bars", nx: 32, ny: 48, cuts: pockets, bars: [2]int{11, 37}, lifts: true},
		{name: "pockets and a hole, three points near the edges", nx: 32, ny: 48, cuts: withEye, points: [][3]int{{4, 4, 0}, {28, 4, 0}, {16, 45, 0}}},
		{name: "pockets and a hole, seven uneven points", nx: 32, ny: 48, cuts: withEye, lifts: true,
			points: [][3]int{{3, 4, 0}, {29, 4, 300}, {3, 44, 200}, {29, 44, 0}, {4, 24, 50}, {28, 24, 0}, {16, 30, -400}}},
	}
}

const (
	caseX, caseY, caseT = 914.0, 1473.0, 25.4
	caseE, caseNu       = 48000.0, 0.2
	caseDensity         = 2790.0
)

func (c slateCase) x(i int) float64 { return -caseX/2 + caseX*float64(i)/float64(2*c.nx) } // in half cells
func (c slateCase) y(j int) float64 { return -caseY/2 + caseY*float64(j)/float64(2*c.ny) }

// supports are the corners of the grid that carry, in half cells, with their heights in mm.
func (c slateCase) supports() (at [][2]int, heights []float64) {
	for _, p := range c.points {
		at, heights = append(at, [2]int{2 * p[0], 2 * p[1]}), append(heights, float64(p[2])/1000)
	}
	if c.bars != [2]int{} {
		for _, row := range c.bars {
			for i := range c.nx + 1 {
				at, heights = append(at, [2]int{2 * i, 2 * row}), append(heights, 0)
			}
		}
	}
	return at, heights
}

// piece is the case for our own side.
func (c slateCase) piece() plate.Piece {
	o := plate.Rectangle(caseX, caseY)
	for _, r := range c.cuts {
		x0, x1, y0, y1 := c.x(2*r[0]), c.x(2*r[1]), c.y(2*r[2]), c.y(2*r[3])
		o = o.WithCut([]plate.Point{{X: x0, Y: y0}, {X: x1, Y: y0}, {X: x1, Y: y1}, {X: x0, Y: y1}})
	}
	return plate.Piece{Outline: o, Thickness: plate.Even(caseT), Elastic: plate.Isotropic(caseE, caseNu), Density: caseDensity}
}

// deck writes the case as an input file and returns the places of its nodes, in half cells, by number from 1.
func (c slateCase) deck() (text []byte, nodes [][2]int) {
	var b bytes.Buffer
	number := map[[2]int]int{}
	node := func(i, j int) int {
		k := [2]int{i, j}
		if number[k] == 0 {
			nodes = append(nodes, k)
			number[k] = len(nodes)
		}
		return number[k]
	}
	var shells bytes.Buffer
	elements := 0
	for ey := range c.ny {
		for ex := range c.nx {
			if c.gone(ex, ey) {
				continue
			}
			elements++
			i, j := 2*ex, 2*ey
			fmt.Fprintf(&shells, "%d,%d,%d,%d,%d,%d,%d,%d,%d\n", elements, node(i, j), node(i+2, j), node(i+2, j+2), node(i, j+2), node(i+1, j), node(i+2, j+1), node(i+1, j+2), node(i, j+1))
		}
	}
	b.WriteString("*NODE,NSET=NALL\n")
	for k, at := range nodes {
		fmt.Fprintf(&b, "%d,%.6f,%.6f,0\n", k+1, c.x(at[0]), c.y(at[1]))
	}
	places, heights := c.supports()
	var gaps bytes.Buffer
	ground := len(nodes)
	for k, at := range places {
		n := number[at]
		if n == 0 {
			continue // in a cut
		}
		ground++
		elements++
		fmt.Fprintf(&b, "%d,%.6f,%.6f,-10\n", ground, c.x(at[0]), c.y(at[1]))
		fmt.Fprintf(&gaps, "*ELEMENT,TYPE=GAPUNI,ELSET=G%d\n%d,%d,%d\n*GAP,ELSET=G%d\n%.6f,0.,0.,1.,,1.E7,1.E-6\n", k, elements, ground, n, k, -heights[k])
	}
	b.WriteString("*ELEMENT,TYPE=S8R,ELSET=PLATE\n")
	b.Write(shells.Bytes())
	b.Write(gaps.Bytes())
	fmt.Fprintf(&b, "*NSET,NSET=GROUND,GENERATE\n%d,%d\n", len(nodes)+1, ground)
	fmt.Fprintf(&b, "*MATERIAL,NAME=SLATE\n*ELASTIC\n%g,%g\n*DENSITY\n%g\n*SHELL SECTION,ELSET=PLATE,MATERIAL=SLATE\n%g\n", caseE, caseNu, caseDensity*1e-12, caseT)
	fmt.Fprintf(&b, "*BOUNDARY\nGROUND,1,3,0.\n%d,1,2,0.\n%d,1,1,0.\n", number[[2]int{c.nx, 0}], number[[2]int{c.nx, 2 * c.ny}])
	b.WriteString("*STEP\n*STATIC\n*DLOAD\nPLATE,GRAV,9806.65,0.,0.,-1.\n*NODE PRINT,NSET=NALL\nU\n*END STEP\n")
	return b.Bytes(), nodes
}

func (c slateCase) gone(ex, ey int) bool {
	for _, r := range c.cuts {
		if ex >= r[0] && ex < r[1] && ey >= r[2] && ey < r[3] {
			return true
		}
	}
	return false
}

// ccx runs the program on a deck, on one core, and returns what it printed of heights, and how long it factorised and solved.
func ccx(dir, name string, deck []byte) (heights map[int]float64, solver time.Duration, err error) {
	path := filepath.Join(dir, name)
	if err := os.WriteFile(path+".inp", deck, 0o644); err != nil {
		return nil, 0, err
	}
	cmd := exec.Command("stdbuf", "-oL", "ccx", name) // by lines, so that they can be timed
	cmd.Dir = dir
	cmd.Env = append(os.Environ(), "OMP_NUM_THREADS=1", "CCX_NPROC_RESULTS=1", "CCX_NPROC_EQUATION_SOLVER=1", "CCX_NPROC_STIFFNESS=1")
	var out bytes.Buffer
	clock := &solverClock{to: &out}
	cmd.Stdout, cmd.Stderr = clock, &out
	if err := cmd.Run(); err != nil || bytes.Contains(out.Bytes(), []byte("*ERROR")) {
		return nil, 0, fmt.Errorf("ccx: %v: %s", err, last(out.String(), 400))
	}
	heights, err = readHeights(path + ".dat")
	return heights, clock.took, err
}

// solverClock measures the time between the program's word that it factorises and its next word that it has gone on.
type solverClock struct {
	to    *bytes.Buffer
	since time.Time
	took  time.Duration
}

func (c *solverClock) Write(p []byte) (int, error) {
	for _, line := range strings.Split(string(p), "\n") {
		switch {
		case strings.Contains(line, "Factoring the system"):
			c.since = time.Now()
		case !c.since.IsZero() && (strings.Contains(line, "stress calculation") || strings.Contains(line, "Job finished")):
			c.took += time.Since(c.since)
			c.since = time.Time{}
		}
	}
	return c.to.Write(p)
}

// readHeights reads the displacements along z.
func readHeights(path string) (map[int]float64, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	z := map[int]float64{}
	for s := bufio.NewScanner(f); s.Scan(); {
		w := strings.Fields(s.Text())
		if len(w) != 4 {
			continue
		}
		n, err1 := strconv.Atoi(w[0])
		v, err2 := strconv.ParseFloat(w[3], 64)
		if err1 == nil && err2 == nil {
			z[n] = v
		}
	}
	if len(z) == 0 {
		return nil, errors.New("ccx printed no displacements")
	}
	return z, nil
}

// agree holds a case to the independent program: heights at all of its nodes and peak to valley.
func (c slateCase) agree(dir string) (string, bool, error) {
	deck, nodes := c.deck()
	theirs, _, err := ccx(dir, "case", deck)
	if err != nil {
		return "", false, err
	}
	var u plate.Under
	at, heights := c.supports()
	o := c.piece().Outline
	for k, q := range at {
		p := plate.Support{X: c.x(q[0]), Y: c.y(q[1]), Height: heights[k]}
		if o.Has(plate.Point{X: p.X, Y: p.Y}) {
			u.Points = append(u.Points, p)
		}
	}
	b, err := plate.Bend(c.piece(), u, 0)
	if err != nil {
		return "", false, err
	}
	off := 0
	for _, on := range b.Carries {
		if !on {
			off++
		}
	}
	if (off > 0) != c.lifts {
		return "", false, fmt.Errorf("%s: %d supports carry nothing", c.name, off)
	}
	worst, low, high, ourLow, ourHigh := 0.0, math.Inf(1), math.Inf(-1), math.Inf(1), math.Inf(-1)
	for k, q := range nodes {
		z, ok := theirs[k+1]
		if !ok {
			return "", false, fmt.Errorf("%s: ccx printed no node %d", c.name, k+1)
		}
		ours := b.Height(plate.Point{X: c.x(q[0]), Y: c.y(q[1])})
		worst = math.Max(worst, math.Abs(z-ours))
		low, high, ourLow, ourHigh = math.Min(low, z), math.Max(high, z), math.Min(ourLow, ours), math.Max(ourHigh, ours)
	}
	pv, ours := high-low, ourHigh-ourLow
	text := fmt.Sprintf("peak to valley %.4f and %.4f mm (%.2f %%), heights within %.2f %%; at most 1 %%; %d supports lift off", ours, pv, 100*math.Abs(ours/pv-1), 100*worst/pv, off)
	return text, math.Abs(ours/pv-1) <= 0.01 && worst <= 0.01*pv, nil
}

// calculixSpeed compares with the independent program: three cases for agreement, one for speed.
func calculixSpeed(dir string) (total, missed int, err error) {
	if err := haveCCX(); err != nil {
		fmt.Printf("MISSED  %-44s %v\n", "slate cases against ccx", err)
		return 1, 1, nil
	}
	say := func(kept bool, what, text string) {
		total++
		word := "kept"
		if !kept {
			word = "MISSED"
			missed++
		}
		fmt.Printf("%-6s  %-44s %s\n", word, what, text)
	}
	for _, c := range slateCases() {
		text, kept, err := c.agree(dir)
		if err != nil {
			return total, missed, err
		}
		say(kept, "ccx: "+c.name, text)
	}
	text, kept, err := sameMesh(dir)
	if err != nil {
		return total, missed, err
	}
	say(kept, "ccx: the same mesh of 10,000 nodes", text)
	return total, missed, nil
}

// haveCCX makes sure that the program is there.
func haveCCX() error {
	if _, err := exec.LookPath("ccx"); err == nil {
		return nil
	}
	if out, err := exec.Command("apt-get", "install", "-y", "-q", "calculix-ccx").CombinedOutput(); err != nil {
		return fmt.Errorf("ccx is not installed and cannot be: %v: %s", err, last(string(out), 200))
	}
	return nil
}

func last(s string, n int) string { return strings.TrimSpace(s[max(0, len(s)-n):]) }

// sameMesh times both on the nodes of one grid: what we need to build, factorise and solve, against what ccx needs to factorise and solve
// alone. Both run three times in turn; the medians are compared.
func sameMesh(dir string) (string, bool, error) {
	c := slateCase{nx: 48, ny: 70, points: [][3]int{{9, 19, 0}, {39, 19, 0}, {24, 58, 0}}}
	deck, nodes := c.deck()
	at, _ := c.supports()
	var points []plate.Support
	for _, q := range at {
		points = append(points, plate.Support{X: c.x(q[0]), Y: c.y(q[1])})
	}
	var solvers []time.Duration
	var z map[int]float64
	var r *plate.Rest
	ours, whole, err := alternate(goal{repeats: 3, ours: side{"plate", func() error {
		p, err := plate.New(c.piece(), caseX/float64(2*c.nx)*(1+1e-9))
		if err != nil {
			return err
		}
		if p.Nodes() < len(nodes) {
			return fmt.Errorf("%d nodes against %d", p.Nodes(), len(nodes))
		}
		s, err := p.Stand(points, nil)
		if err != nil {
			return err
		}
		r, err = s.Rest(nil)
		return err
	}}, against: side{"ccx", func() (err error) {
		var took time.Duration
		z, took, err = ccx(dir, "mesh", deck)
		solvers = append(solvers, took)
		return err
	}}})
	if err != nil {
		return "", false, err
	}
	if mid := r.Height(plate.Point{}) / z[middleNode(c, nodes)]; math.Abs(mid-1) > 0.05 {
		return "", false, fmt.Errorf("the middles differ by a factor of %g", mid)
	}
	solver := median(solvers)
	ratio := float64(solver) / float64(ours)
	if solver == 0 {
		return "", false, errors.New("ccx did not say when it factorised")
	}
	return fmt.Sprintf("%d nodes: %s to build, factorise and solve; ccx factorises and solves in %s (whole run %s); %.0f times faster, at least 5", len(nodes), short(ours), short(solver), short(whole), ratio), ratio >= 5, nil
}

// middleNode is the number of the node in the middle of the grid.
func middleNode(c slateCase, nodes [][2]int) int {
	for k, q := range nodes {
		if q == [2]int{c.nx, c.ny} {
			return k + 1
		}
	}
	return 0
}
