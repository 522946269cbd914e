package whole

import (
	"bytes"
	"crypto/sha256"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"slatewright/face"
	"slatewright/internal/cli/verb"
	"slatewright/measure"
	"slatewright/trouble"
	"slatewright/wholeface/learn"
	"slatewright/wholeface/scan"
)

// mostScan is how large the file of a scan may be, in bytes.
const mostScan = 1 << 30

// learned is the answer of --learn.
type learned struct {
	Out       string     `json:"prior_file"`
	Family    string     `json:"family"`
	Scans     int        `json:"scans"`
	Digest    string     `json:"digest"`
	GridX     int        `json:"grid_x"`
	GridY     int        `json:"grid_y"`
	CutoffMM  float64    `json:"cutoff_mm"`
	BandMM    float64    `json:"band_mm"`
	ZoneRange [3]float64 `json:"true_zones_mm"` // smallest, middle and largest of the scans
	Warnings  []string   `json:"warnings"`
}

// Outcome is Done.
func (*learned) Outcome() verb.Outcome { return verb.Done }

// Print writes the answer for people.
func (r *learned) Print(w io.Writer) {
	fmt.Fprintf(w, "Learned from %d scans, for %d by %d readings: %s\n", r.Scans, r.GridX, r.GridY, r.Out)
	fmt.Fprintf(w, "  true zones  %s to %s mm, middle %s mm (cutoff %g mm, edge band %g mm)\n", measure.Decimal(r.ZoneRange[0], 3),
		measure.Decimal(r.ZoneRange[2], 3), measure.Decimal(r.ZoneRange[1], 3), r.CutoffMM, r.BandMM)
	fmt.Fprintf(w, "  digest      %s\n", r.Digest)
	verb.PrintWarnings(w, r.Warnings)
}

// learn makes a prior from a folder.
func (v Judge) learn(s *verb.Session) (verb.Report, error) {
	names, err := scanFiles(v.Learn)
	if err != nil {
		return nil, err
	}
	if _, err := os.Lstat(v.Out); err == nil {
		return nil, verb.InTheWay(v.Out)
	}
	progress := verb.NewProgress(s, int64(len(names)), "reading scans")
	var scans []learn.Scan
	var zones []float64
	r := &learned{Out: v.Out, Warnings: []string{}}
	for _, name := range names {
		one, warnings, err := v.scan(s, name)
		if err != nil {
			progress.Close()
			return nil, err
		}
		zone, err := one.Zone()
		if err != nil {
			progress.Close()
			return nil, err
		}
		scans, zones = append(scans, one), append(zones, zone)
		r.Warnings = append(r.Warnings, warnings...)
		progress.Add(1)
	}
	progress.Close()
	plan, err := v.plan(scans)
	if err != nil {
		return nil, err
	}
	p, err := learn.From(scans, plan)
	if err != nil {
		return nil, named(err, v.Learn)
	}
	text, err := p.Text()
	if err != nil {
		return nil, err
	}
	if err := verb.WriteNew(verb.NewFile{Path: v.Out, Text: text, Mode: 0o644}); err != nil {
		return nil, err
	}
	slices.Sort(zones)
	r.Family, r.Scans, r.Digest, r.GridX, r.GridY, r.CutoffMM, r.BandMM = p.Family, p.Scans, p.Digest, plan.NX, plan.NY, p.CutoffMM, p.BandMM
	for k, at := range []int{0, len(zones) / 2, len(zones) - 1} {
		r.ZoneRange[k] = measure.Round(zones[at], 6)
	}
	r.Warnings = append(r.Warnings, p.Warnings...)
	return r, nil
}

// scanFiles lists the scans of a folder by name.
func scanFiles(dir string) ([]string, error) {
	list, err := os.ReadDir(dir)
	if err != nil {
		return nil, verb.Unreadable(dir, err)
	}
	var names []string
	for _, f := range list {
		if ext := strings.ToLower(filepath.Ext(f.Name())); !f.IsDir() && (ext == ".csv" || ext == ".ply") {
			names = append(names, filepath.Join(dir, f.Name()))
		}
	}
	if len(names) == 0 {
		return nil, trouble.Data("no-scans", dir, "there is no scan in this folder", "put the dense scans of the machine there, as .csv or .ply")
	}
	return names, nil
}

// scan reads one file.
func (v Judge) scan(s *verb.Session, name string) (learn.Scan, []string, error) {
	text, err := s.Text(name, mostScan)
	if err != nil {
		return learn.Scan{}, nil, err
	}
	f, err := face.Read(name, bytes.NewReader(text))
	if err != nil {
		return learn.Scan{}, nil, err
	}
	if f, err = f.Centred(); err != nil {
		return learn.Scan{}, nil, err
	}
	r := &report{BandMM: v.band()}
	x, y, z := r.faceOnly(f)
	sized(f, x, y, r)
	c, err := scan.New(f.SizeX, f.SizeY, 0, r.BandMM)
	if err != nil {
		return learn.Scan{}, nil, at(err, name)
	}
	for i := range z {
		c.Add(x[i], y[i], z[i])
	}
	t, err := c.True()
	for i, w := range t.Warnings {
		t.Warnings[i] = name + ": " + w
	}
	return learn.Scan{Face: t, Digest: sha256.Sum256(text), U: f.U}, t.Warnings, at(err, name)
}

// at puts a file's name to trouble with its scan.
func at(err error, name string) error {
	if t, ok := err.(*trouble.Trouble); ok {
		t.Where = name
	}
	return err
}

// plan is how pieces will be read.
func (v Judge) plan(scans []learn.Scan) (learn.Plan, error) {
	p := learn.Usual(scans[0].SizeX, scans[0].SizeY)
	p.Family, p.Seed, p.Rehearsals, p.Draws = v.Family, 1, v.rehearsals, v.draws
	if v.U != nil {
		p.U = []float64{v.U.MM}
	}
	if v.Grid != "" {
		a, b, ok := strings.Cut(strings.ToLower(strings.ReplaceAll(v.Grid, " ", "")), "x")
		nx, err := strconv.Atoi(a)
		ny, err2 := strconv.Atoi(b)
		if !ok || err != nil || err2 != nil {
			return p, trouble.Usage("bad-grid", "slatewright judge", "--grid "+v.Grid+" is no grid", "write stations along x by stations along y, such as 6x9")
		}
		p.NX, p.NY = nx, ny
	}
	return p, nil
}
