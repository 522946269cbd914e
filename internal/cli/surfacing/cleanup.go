package surfacing

import (
	"path/filepath"
	"strings"

	"slatewright/face"
	"slatewright/internal/cli/verb"
	"slatewright/measure"
	"slatewright/sheet"
	"slatewright/surfacing/cleanup"
	"slatewright/surfacing/cleanup/answers"
	"slatewright/surfacing/cleanup/rough"
	"slatewright/trouble"
)

// Cleanup asks how much must come off which face.
type Cleanup struct {
	Top    string `arg:"" optional:"" help:"Readings of the top; CSV or PLY, - is standard input. Alone, of the face that its '# face:' line names."`
	Bottom string `arg:"" optional:"" help:"Readings of the bottom, as it lay up: its point (x, y, z) is the slab's (−x, y, −z)."`
	List   string `placeholder:"FILE" help:"Several slabs: CSV with the columns slab,top,bottom, the files beside the list; bottom may be empty."`
	Set    bool   `help:"The slabs of --list are the pieces of one set: one thickness for all."`
	Rough  string `placeholder:"FILE" help:"Slabs at the rough stage: CSV with four corner thicknesses and the worst gaps on eight lines."`
	Sizes  string `placeholder:"LENGTH,…" help:"Finished thicknesses that are asked for; 22mm,25.4mm,28mm,30mm if left out."`

	Finish       *verb.Length `placeholder:"LENGTH" help:"Finished thickness wanted; the thickest if left out."`
	Least        *verb.Length `placeholder:"LENGTH" help:"Thinnest piece that is allowed."`
	Reserve      *verb.Length `placeholder:"LENGTH" help:"What must stay above it for a later re-grind."`
	LightPass    *verb.Length `placeholder:"LENGTH" help:"Lightest cut that can be made; 0.05mm if left out."`
	Damage       *verb.Length `placeholder:"LENGTH" help:"Damage depth that must come off each face everywhere, such as 0.3mm."`
	DamageTop    *verb.Length `placeholder:"LENGTH" help:"The same of the top, where it is another."`
	DamageBottom *verb.Length `placeholder:"LENGTH" help:"The same of the bottom."`
	Movement     *verb.Length `placeholder:"LENGTH" help:"What seasoning may still take when the faces are trued once more."`

	UCaliper *verb.Length `name:"u-caliper" placeholder:"LENGTH" help:"Standard uncertainty of a caliper thickness; 0.02mm if left out."`
	UDepth   *verb.Length `name:"u-depth" placeholder:"LENGTH" help:"Standard uncertainty of what the machine takes; 0.02mm if left out."`
	Unseen   *verb.Length `placeholder:"LENGTH" help:"One face: what the other may take off between its caliper places."`
	AsRead   bool         `help:"Take no gravity off the readings."`
	Modulus  string       `default:"48GPa" help:"Modulus of elasticity of the stone, for taking gravity off."`
	UModulus float64      `name:"u-modulus" placeholder:"SHARE" default:"0.2" help:"Its standard uncertainty as a share."`
}

// About is the help of the verb.
func (Cleanup) About() verb.About {
	return verb.About{
		Text: `The thickest pair of parallel planes that fit inside a slab, by maps of its top and its bottom, and how much comes off which face: least, most and
			mean. The planes are exact and proven: no pair is thicker, in any orientation. The readings that govern are named.

			Two maps do not say how thick the slab is: after turning it over, a height and two tilts between them are not known. Caliper
			thicknesses ('# thickness: x y t' in either file) tie them: three that are not on one line at least, 4 to 8 near corners and edges are better. Or
			both files say how far outward from the middle plane their gauge reads 0 ('# zero: 12.7 mm'), or the heights of the bottom are in the piece frame
			already ('# frame: piece'). One face alone goes by its calipers, and claims less.

			Gravity is taken off each map as it lay ('# support:'), or the answer says that it is not. Both faces lose as much on average where the
			stone allows it. --finish, or --least with --reserve, is what must be left; damage and movement are taken off before. Above --least the
			answer says what stays at the thinnest caliper place; with less than a light pass left above the reserve it is the last cut.

			--list asks of many slabs which finish each can give, and with --set which one all have in common. --rough bounds slabs by gaps under a straightedge.

			Exit status 1: no clean-up is possible, and the answer says where and how much is missing. Exit status 2: it cannot be told.`,
		Examples: []verb.Example{
			{"slatewright cleanup top.csv bottom.csv", "the thickest planes in a slab"},
			{"slatewright cleanup top.csv bottom.csv --finish 25.4mm --damage 0.3mm --json", "a finish that is wanted, as one JSON object"},
			{"slatewright cleanup top.csv --least 25.4mm --reserve 0.2mm", "one face and caliper thicknesses"},
			{"slatewright cleanup --list set.csv --set", "one thickness for the pieces of a set"},
			{"slatewright cleanup --list stock.csv --sizes 22mm,25.4mm,28mm,30mm", "which finish each slab can still give"},
			{"slatewright cleanup --rough slabs.csv", "the same at the rough stage, by gaps and corners"},
		},
	}
}

// Run reads what is asked about and answers.
func (v Cleanup) Run(s *verb.Session) (verb.Report, error) {
	if err := v.check(); err != nil {
		return nil, err
	}
	sizes, err := v.sizes()
	if err != nil {
		return nil, err
	}
	switch {
	case v.Rough != "":
		list, err := verb.Read(s, v.Rough, sheet.Read)
		if err != nil {
			return nil, err
		}
		slabs, err := rough.Read(list)
		if err != nil {
			return nil, err
		}
		r, err := answers.OfRough(slabs, v.limits(), sizes)
		if err != nil {
			return nil, err
		}
		return stockReport{r}, nil
	case v.List != "":
		return v.list(s, sizes)
	}
	r, err := v.slab(s, "", v.Top, v.Bottom)
	if err != nil {
		return nil, err
	}
	return slabReport{r}, nil
}

func (v Cleanup) check() error {
	ways := 0
	for _, is := range []bool{v.Top != "", v.List != "", v.Rough != ""} {
		if is {
			ways++
		}
	}
	wrong := func(what, next string) error { return trouble.Usage("usage", "slatewright cleanup", what, next) }
	switch {
	case ways == 0:
		return wrong("not named: TOP", "name the file of the top and that of the bottom, or --list, or --rough")
	case ways > 1:
		return wrong("more than one of TOP, --list and --rough", "ask one question")
	case v.Top == "-" && v.Bottom == "-":
		return wrong("both faces are standard input", "name at least one file")
	case v.Set && v.List == "":
		return wrong("--set without --list", "name the pieces of the set by --list FILE with the columns slab,top,bottom")
	case v.Set && v.Sizes != "":
		return wrong("--sizes asks of each slab alone, and --set of all together", "give one of them; --finish is the thickness of a set")
	case v.Sizes != "" && v.List == "" && v.Rough == "":
		return wrong("--sizes without a list of slabs", "give --finish for one slab, or name the slabs by --list or --rough")
	case v.Finish != nil && !v.Set && v.Top == "":
		return wrong("--finish is for one slab or one set", "give --sizes, such as --sizes 25.4mm")
	}
	return nil
}

// sizes are the finishes of --sizes.
func (v Cleanup) sizes() (list []float64, err error) {
	for _, text := range strings.FieldsFunc(v.Sizes, func(r rune) bool { return r == ',' || r == ';' }) {
		mm, err := measure.ParseLength(strings.TrimSpace(text))
		if err != nil {
			return nil, trouble.Usage("bad-finishes", "--sizes", strings.TrimSpace(text)+" is no length", "write lengths with their unit and commas between them, such as 22mm,25.4mm").Because(err)
		}
		list = append(list, mm)
	}
	return list, nil
}

func mmOf(l *verb.Length, other float64) float64 {
	if l == nil {
		return other
	}
	return l.MM
}

func (v Cleanup) limits() cleanup.Limits {
	both := mmOf(v.Damage, 0)
	return cleanup.Limits{Finish: mmOf(v.Finish, 0), Least: mmOf(v.Least, 0), Reserve: mmOf(v.Reserve, 0), LightPass: mmOf(v.LightPass, 0),
		DamageTop: mmOf(v.DamageTop, both), DamageBottom: mmOf(v.DamageBottom, both), Movement: mmOf(v.Movement, 0)}
}

// slab answers for one slab.
func (v Cleanup) slab(s *verb.Session, name, top, bottom string) (*answers.Slab, error) {
	q := answers.Usual()
	q.Name, q.Limits, q.AsRead, q.UModulus = name, v.limits(), v.AsRead, v.UModulus
	q.UCaliper, q.UDepth = mmOf(v.UCaliper, q.UCaliper), mmOf(v.UDepth, q.UDepth)
	if v.Unseen != nil {
		q.Unseen = &v.Unseen.MM
	}
	var err error
	if q.Modulus, err = measure.ParseModulus(v.Modulus); err != nil {
		return nil, err
	}
	if q.Top, err = verb.Read(s, top, face.Read); err != nil {
		return nil, err
	}
	if bottom == "" {
		if q.Top.Side == face.Bottom {
			q.Top, q.Bottom = nil, q.Top
		}
	} else if q.Bottom, err = verb.Read(s, bottom, face.Read); err != nil {
		return nil, err
	}
	if q.Name == "" {
		for _, f := range []*face.Face{q.Top, q.Bottom} {
			if f != nil && f.Piece != "" && q.Name == "" {
				q.Name = f.Piece
			}
		}
	}
	return answers.Of(q)
}

// list answers for the slabs of a list; their files lie beside it.
func (v Cleanup) list(s *verb.Session, sizes []float64) (verb.Report, error) {
	l, err := verb.Read(s, v.List, sheet.Read)
	if err != nil {
		return nil, err
	}
	c, err := l.Columns([]string{"slab", "top"}, "bottom")
	if err != nil {
		return nil, err
	}
	beside := func(name string) string {
		if name == "" || filepath.IsAbs(name) || v.List == "-" {
			return name
		}
		return filepath.Join(filepath.Dir(v.List), filepath.FromSlash(name))
	}
	var slabs []*answers.Slab
	for _, row := range l.Rows {
		if row.Text(c["top"]) == "" {
			return nil, l.Bad(row.Line, "no-face", "the row names no file in the column top", "name the readings of the face that was read")
		}
		r, err := v.slab(s, row.Text(c["slab"]), beside(row.Text(c["top"])), beside(row.Text(c["bottom"])))
		if err != nil {
			return nil, err
		}
		slabs = append(slabs, r)
	}
	if v.Set {
		r, err := answers.OfSet(slabs)
		if err != nil {
			return nil, err
		}
		return setReport{r}, nil
	}
	r, err := answers.OfStock(slabs, sizes)
	if err != nil {
		return nil, err
	}
	r.Warnings = append(r.Warnings, l.Rest()...)
	return stockReport{r}, nil
}
