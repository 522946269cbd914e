// Package trial tries on invented pieces of known true shape whether what package wholeface says of the face between the readings
// is so often true as it says.
//
// For each family of package families it learns from some scans and judges other pieces: without the correction, without any
// scans, and as learned; and beside them by the rule of thumb that takes the range of the readings for the flatness. It counts and
// prints; it does not say what is good enough.
package trial

import (
	"crypto/sha256"
	"encoding/binary"
	"math"
	"slices"
	"strconv"

	"slatewright/chance"
	"slatewright/cores"
	"slatewright/internal/rehearsal/families"
	"slatewright/wholeface"
	"slatewright/wholeface/learn"
	"slatewright/wholeface/scan"
)

// Size says how much is tried, and with which of the invented mills: each has scans and pieces of its own.
type Size struct {
	Mill              int // from 0
	Scans, Pieces     int
	Rehearsals, Draws int // 0: the usual
}

const (
	Band                  = 20.0     // mm
	scanColumns, scanRows = 122, 197 // of the invented scans: 7.5 mm from point to point
	scanNoise             = 0.002    // mm
	firstPiece            = 10_000
	aMill                 = 100_000 // the pieces of one mill are numbered from Mill times this
	// StopBelow is the probability of conformance at which reading may stop with a no.
	StopBelow = 0.02
)

// us are the uncertainties of the instruments that read the pieces, mm, in turn.
var us = []float64{0.008, 0.012, 0.018}

// Scanned makes the true face of piece n as a scanner sees it.
func Scanned(f families.Family, n int) (learn.Scan, error) {
	p := families.New(f, n)
	xs, ys := families.Even(scanColumns, families.SizeX, 1), families.Even(scanRows, families.SizeY, 1)
	z := p.Grid(xs, ys)
	s, err := scan.New(families.SizeX, families.SizeY, 0, Band)
	if err != nil {
		return learn.Scan{}, err
	}
	noise := chance.NewStream(uint64(n)).Split("scanner").Split(f.String())
	for i, x := range xs {
		for j, y := range ys {
			s.Add(x, y, z[i*len(ys)+j]+scanNoise*noise.Normal())
		}
	}
	t, err := s.True()
	var name [16]byte
	binary.LittleEndian.PutUint64(name[:], uint64(f))
	binary.LittleEndian.PutUint64(name[8:], uint64(n))
	return learn.Scan{Face: t, Digest: sha256.Sum256(name[:]), U: scanNoise}, err
}

// said is what one way of judging said of a piece.
type said struct {
	low, high, conforms float64
}

// piece is one piece judged, with its truth.
type piece struct {
	truth, limit            float64
	raw, unlearned, learned said
	stopped                 said // under the stop rule
	early                   bool // it stopped before the whole grid
	reach, u                float64
}

// Run tries one family: learns from the scans of a mill and judges other pieces of it, against limits that come from the scans.
func Run(f families.Family, size Size) (*Result, error) {
	scans, err := scanned(f, size)
	if err != nil {
		return nil, err
	}
	prior, err := learn.From(scans, size.plan(f))
	if err != nil {
		return nil, err
	}
	zones := make([]float64, len(scans))
	for i, s := range scans {
		if zones[i], err = s.Zone(); err != nil {
			return nil, err
		}
	}
	slices.Sort(zones)
	r := &Result{Family: f, Size: size, Prior: prior, pieces: make([]piece, size.Pieces)}
	j := judge{f, size.Mill*aMill + firstPiece, size.plan(f), prior, wholeface.NewFields(families.SizeX, families.SizeY, Band, 1), zones[len(zones)/2]}
	errs := make([]error, size.Pieces)
	cores.Share(size.Pieces, 1, func(from, to int) {
		for i := from; i < to; i++ {
			r.pieces[i], errs[i] = j.judge(i)
		}
	})
	return r, firstError(errs)
}

// scanned makes the scans of a mill.
func scanned(f families.Family, size Size) ([]learn.Scan, error) {
	scans, errs := make([]learn.Scan, size.Scans), make([]error, size.Scans)
	cores.Share(size.Scans, 1, func(from, to int) {
		for i := from; i < to; i++ {
			scans[i], errs[i] = Scanned(f, size.Mill*aMill+i)
		}
	})
	return scans, firstError(errs)
}

// plan says how the pieces of a family are read.
func (s Size) plan(f families.Family) learn.Plan {
	plan := learn.Usual(families.SizeX, families.SizeY)
	plan.Family, plan.Rehearsals, plan.Draws, plan.Seed = f.String(), s.Rehearsals, s.Draws, 1
	return plan
}

func firstError(errs []error) error {
	for _, err := range errs {
		if err != nil {
			return err
		}
	}
	return nil
}

type judge struct {
	family families.Family
	first  int // number of the first piece
	plan   learn.Plan
	prior  *wholeface.Prior
	fields *wholeface.Fields
	middle float64 // zone of the middle scan
}

// judge reads piece i and judges it every way. Limits stand around the middle of the family, where deciding is hardest.
func (j judge) judge(i int) (piece, error) {
	s, err := Scanned(j.family, j.first+i)
	if err != nil {
		return piece{}, err
	}
	c := piece{limit: j.middle * []float64{0.85, 1, 1.2}[i%3], u: us[i/3%3]}
	if c.truth, err = s.Zone(); err != nil {
		return c, err
	}
	all := j.question(i, s, 1, c.u)
	live, err := wholeface.Start(all, j.prior)
	if err != nil {
		return c, err
	}
	zone, _ := live.Zone(nil)
	c.learned = tell(zone, c.limit)
	plain, err := wholeface.Start(all, nil)
	if err != nil {
		return c, err
	}
	c.raw = tell(wholeface.NewDistribution(plain.Raw()), c.limit)
	zone, _ = plain.Zone(nil)
	c.unlearned = tell(zone, c.limit)
	c.reach = plain.Reach()
	half, err := wholeface.Start(j.question(i, s, 2, c.u), j.prior)
	if err != nil {
		return c, err
	}
	zone, _ = half.Zone(nil)
	if c.stopped = tell(zone, c.limit); c.stopped.conforms <= StopBelow {
		c.early = true
	} else {
		c.stopped = c.learned
	}
	return c, nil
}

// question reads the piece itself, not its scan, at every station or every second column of them.
func (j judge) question(i int, s learn.Scan, every int, u float64) wholeface.Question {
	p := families.New(j.family, j.first+i)
	q := wholeface.Question{SizeX: s.SizeX, SizeY: s.SizeY, Band: Band, Cutoff: s.Cutoff, U: u, Seed: 1, Fields: j.fields, Draws: j.plan.Draws}
	noise := chance.NewStream(uint64(j.first - firstPiece + i)).Split("dial").Split(j.family.String())
	at := noise.Split(strconv.Itoa(every))
	for _, xy := range learn.Stations(j.plan, s, every) {
		q.Readings = append(q.Readings, wholeface.Reading{X: xy[0], Y: xy[1], Z: p.At(xy[0], xy[1]) + u*at.Normal()})
	}
	return q
}

func tell(d wholeface.Distribution, limit float64) said {
	return said{d.Quantile(0.05), d.Quantile(0.95), math.Max(0, math.Min(1, d.Below(limit)))}
}
