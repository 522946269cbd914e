package answers

import (
	"math"

	"slatewright/surfacing/worked"
	"slatewright/surfacing/worked/removal"
)

// Work is the answer about one face that was worked. Its names are a contract with other programs; null is what cannot be told. Limits hold the truth in 95 of 100.
type Work struct {
	Piece      string     `json:"piece,omitempty"`
	Face       string     `json:"face,omitempty"`
	Date       string     `json:"date,omitempty"`
	BeforeFile string     `json:"before_file"`
	AfterFile  string     `json:"after_file"`
	Invented   bool       `json:"invented,omitempty"` // the machine's values are made up
	State      string     `json:"state"`              // free: gravity was taken off both maps; laid: both lay on a bench; as read: neither was
	Tie        Tie        `json:"tie"`
	Removal    Removal    `json:"removal"`
	Depth      *Depth     `json:"depth"`
	Stages     []Stage    `json:"stages"`
	Stiffness  *Stiffness `json:"stiffness"`
	Wedge      *Wedge     `json:"wedge"`
	Learned    []Lesson   `json:"learned"`
	OutFile    string     `json:"out_file,omitempty"` // the machine file that was written
	Warnings   []string   `json:"warnings"`

	found   *removal.Found
	size    [2]float64
	file    []byte
	foreign bool
}

// Tie is what ties the heights of the two maps.
type Tie struct {
	By      string       `json:"by"` // thickness, zero kept, both, or nothing
	Pairs   int          `json:"pairs"`
	LeftOut [][2]float64 `json:"left_out_mm"`  // places whose thicknesses fit no others
	Stretch float64      `json:"doubt_factor"` // by how much the calipers scatter more than they claim
}

// Removal is what came off.
type Removal struct {
	VolumeCM3     *float64    `json:"volume_cm3"`
	VolumeLowCM3  *float64    `json:"volume_low_cm3"`
	VolumeHighCM3 *float64    `json:"volume_high_cm3"`
	MeanMM        *float64    `json:"mean_mm"`
	MeanLowMM     *float64    `json:"mean_low_mm"`
	MeanHighMM    *float64    `json:"mean_high_mm"`
	MinMM         *float64    `json:"min_mm"`
	MinLowMM      *float64    `json:"min_low_mm"`
	MinHighMM     *float64    `json:"min_high_mm"`
	MinAtMM       *[2]float64 `json:"min_at_mm"`
	MaxMM         *float64    `json:"max_mm"`
	MaxLowMM      *float64    `json:"max_low_mm"`
	MaxHighMM     *float64    `json:"max_high_mm"`
	MaxAtMM       *[2]float64 `json:"max_at_mm"`
	UnevenMM      float64     `json:"uneven_mm"` // peak to valley of the depth about its own plane: known without a tie
	NoiseMM       float64     `json:"noise_mm"`  // standard deviation of a difference of two readings, as the maps show it
}

// Depth is what was set and what was reached, where the disc was brought to the stone.
type Depth struct {
	SetMM      float64  `json:"set_mm"`
	ReachedMM  *float64 `json:"reached_mm"`
	LagMM      *float64 `json:"lag_mm"` // set less reached
	LagLowMM   *float64 `json:"lag_low_mm"`
	LagHighMM  *float64 `json:"lag_high_mm"`
	WearMM     float64  `json:"lag_by_wear_mm"`     // of it, what worn bits explain
	YieldingMM float64  `json:"lag_by_yielding_mm"` // and what the machine file tells of its yielding
}

// Stage is what one stage did.
type Stage struct {
	Name         string   `json:"stage"`
	Passes       int      `json:"passes"`
	SparkOuts    int      `json:"spark_outs"`
	SetMM        float64  `json:"set_mm"`
	RemovedMM    *float64 `json:"removed_mm"`
	StoneCM3     *float64 `json:"stone_cm3"`
	StoneLowCM3  *float64 `json:"stone_low_cm3"`
	StoneHighCM3 *float64 `json:"stone_high_cm3"`
	BitsMeasured int      `json:"bits_measured"`
	WornMM       *float64 `json:"bit_wear_mm"`
	WornUMM      *float64 `json:"bit_wear_u_mm"`
	BitCM3       *float64 `json:"bits_cm3"`
	G            *float64 `json:"g_ratio"`
	GLow         *float64 `json:"g_ratio_low"`
	GHigh        *float64 `json:"g_ratio_high"` // null with g_ratio_low: nothing bounds it above
	LastWearMM   float64  `json:"last_pass_wear_mm"`
	Energy       *Energy  `json:"energy"`
}

// Energy is what cutting took.
type Energy struct {
	Each     []PassEnergy `json:"passes"`
	MeanJ    float64      `json:"mean_j_per_mm3"`
	MeanU    float64      `json:"mean_u_j_per_mm3"`
	Trend    *float64     `json:"trend_percent_per_litre"`
	TrendLow *float64     `json:"trend_low_percent_per_litre"`
	TrendHi  *float64     `json:"trend_high_percent_per_litre"`
	Duller   bool         `json:"duller"`
}

// PassEnergy is that of one pass, counted from 1.
type PassEnergy struct {
	Pass int     `json:"pass"`
	J    float64 `json:"j_per_mm3"`
}

// Stiffness is that of the loop of disc, machine and bed.
type Stiffness struct {
	NPerUM    *float64 `json:"n_per_um"`
	LowNPerUM *float64 `json:"low_n_per_um"`
	HiNPerUM  *float64 `json:"high_n_per_um"`
	Told      string   `json:"told"` // both sides, at least, at most, or cannot tell
	Print     *float64 `json:"print_through"`
	PrintU    *float64 `json:"print_through_u"`
	PrintFile float64  `json:"print_through_by_file"`
	Agree     bool     `json:"agree"`
}

// Wedge is how much thicker the piece is where the last track lay.
type Wedge struct {
	SeenMM    float64 `json:"seen_mm"`
	LowMM     float64 `json:"low_mm"`
	HighMM    float64 `json:"high_mm"`
	ByWearMM  float64 `json:"by_wear_mm"`
	Sided     bool    `json:"first_track_known"`
	Explained bool    `json:"explained"`
}

// Lesson is one value that the job teaches.
type Lesson struct {
	Of     string   `json:"of"` // g_ratio, stiffness, energy
	In     string   `json:"in"`
	Unit   string   `json:"unit"`
	Was    float64  `json:"was"`
	WasU   float64  `json:"was_u"`
	Seen   *float64 `json:"seen"`
	SeenLo *float64 `json:"seen_low"`
	SeenHi *float64 `json:"seen_high"`
	Is     float64  `json:"is"` // for the next job
	IsU    float64  `json:"is_u"`
	IsLow  float64  `json:"is_low"`
	IsHigh float64  `json:"is_high"`
	Spread float64  `json:"job_to_job_percent"`
	Jobs   int      `json:"jobs"`
	Far    bool     `json:"far"`    // less likely than once in a hundred by what was believed
	Chance float64  `json:"chance"` // of a job as far or farther
	Aside  bool     `json:"set_aside"`
	Check  string   `json:"check,omitempty"` // what to look at
}

// number is x for JSON: null where there is none.
func number(x float64) *float64 {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return nil
	}
	return &x
}

// scaled is x in another unit.
func scaled(x, by float64) *float64 { return number(x * by) }

// Found is what was taken over the piece, for who draws it, and the piece's size along x and y, mm.
func (w *Work) Found() (*removal.Found, [2]float64) { return w.found, w.size }

// File is the machine's file with what was learnt; nil where nothing was.
func (w *Work) File() []byte { return w.file }

// Tied tells whether the mean of what came off is known.
func (w *Work) Tied() bool { return w.Removal.MeanMM != nil }

// Foreign tells whether the passes can hardly be those between the maps, so that nothing is told of stages, bits and machine.
func (w *Work) Foreign() bool { return w.foreign }

// Far tells whether a value was set aside because it lies far from what was believed.
func (w *Work) Far() bool {
	for _, l := range w.Learned {
		if l.Aside {
			return true
		}
	}
	return false
}

func (w *Work) removal(f *removal.Found) {
	w.found = f
	r := &w.Removal
	const cm3 = 1e-3
	r.VolumeCM3, r.VolumeLowCM3, r.VolumeHighCM3 = scaled(f.Volume.Value, cm3), scaled(f.Volume.Low, cm3), scaled(f.Volume.High, cm3)
	r.MeanMM, r.MeanLowMM, r.MeanHighMM = number(f.Mean.Value), number(f.Mean.Low), number(f.Mean.High)
	r.MinMM, r.MinLowMM, r.MinHighMM = number(f.Min.Value), number(f.Min.Low), number(f.Min.High)
	r.MaxMM, r.MaxLowMM, r.MaxHighMM = number(f.Max.Value), number(f.Max.Low), number(f.Max.High)
	if f.Tied {
		r.MinAtMM, r.MaxAtMM = &[2]float64{f.Min.X, f.Min.Y}, &[2]float64{f.Max.X, f.Max.Y}
	}
	r.UnevenMM, r.NoiseMM = f.Uneven, f.Noise
	w.Tie.Stretch = f.Stretch
	w.Warnings = append(w.Warnings, f.Warnings...)
}

func (w *Work) work(q Question, f *worked.Found) {
	w.foreign = f.Foreign
	w.Depth = &Depth{SetMM: f.Commanded, ReachedMM: number(f.Reached.Value), LagMM: number(f.Lag.Value), LagLowMM: number(f.Lag.Low), LagHighMM: number(f.Lag.High), WearMM: f.LagWear, YieldingMM: f.LagTold}
	for _, s := range f.Stages {
		w.Stages = append(w.Stages, stageOf(q.Machine.Stages[s.Index].Name, s))
	}
	if g := f.Give; g != nil {
		w.Stiffness = stiffnessOf(g)
	}
	if v := f.Wedge; v != nil {
		w.Wedge = &Wedge{v.Seen.Value, v.Seen.Low, v.Seen.High, v.Told, v.Sided, v.Explains}
	}
	w.Warnings = append(w.Warnings, f.Warnings...)
}

func stageOf(name string, s worked.Stage) Stage {
	const cm3 = 1e-3
	out := Stage{Name: name, Passes: s.Passes, SparkOuts: s.SparkOuts, SetMM: s.Commanded, RemovedMM: number(s.Removed.Value), StoneCM3: scaled(s.Stone.Value, cm3),
		StoneLowCM3: scaled(s.Stone.Low, cm3), StoneHighCM3: scaled(s.Stone.High, cm3), LastWearMM: s.LastWear}
	if b := s.Bits; b != nil {
		out.BitsMeasured, out.WornMM, out.WornUMM, out.BitCM3 = b.N, number(b.Worn), number(b.U), scaled(s.BitVolume.Value, cm3)
	}
	if g := s.G; g != nil {
		out.G, out.GLow, out.GHigh = number(g.Value), number(g.Low), number(g.High)
		if out.GHigh == nil {
			out.G = nil
		}
	}
	if e := s.Energy; e != nil {
		out.Energy = &Energy{MeanJ: e.Mean.Value, MeanU: e.Mean.U, Trend: scaled(e.Trend.Value, 100), TrendLow: scaled(e.Trend.Low, 100), TrendHi: scaled(e.Trend.High, 100), Duller: e.Duller, Each: []PassEnergy{}}
		for _, p := range e.Each {
			out.Energy.Each = append(out.Energy.Each, PassEnergy{p.Pass + 1, p.Energy})
		}
	}
	return out
}

func stiffnessOf(g *worked.Give) *Stiffness {
	const perUM = 1e-3
	s := &Stiffness{LowNPerUM: scaled(g.Stiffness.Low, perUM), HiNPerUM: scaled(g.Stiffness.High, perUM), Print: number(g.Print.Value), PrintU: number(g.Print.U), PrintFile: g.PrintTold, Agree: g.Agree}
	if g.Stiffness.Low == 0 {
		s.LowNPerUM = nil
	}
	switch {
	case s.LowNPerUM != nil && s.HiNPerUM != nil:
		s.Told, s.NPerUM = "both sides", scaled(g.Stiffness.Value, perUM)
	case s.LowNPerUM != nil:
		s.Told = "at least"
	case s.HiNPerUM != nil:
		s.Told = "at most"
	default:
		s.Told = "cannot tell"
	}
	return s
}
