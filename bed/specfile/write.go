package specfile

import (
	"bytes"
	"fmt"
	"io"
	"reflect"
	"strconv"
	"strings"

	"slatewright/bed"
	"slatewright/measure"
	"slatewright/trouble"
)

// Write writes the specification in mm, every key in its order. What is written reads back as the very same Spec; one
// for which that cannot be so (invalid, or a level's words that do not say its rise) is an error and nothing is written.
func Write(to io.Writer, s bed.Spec) error {
	if err := s.Validate(); err != nil {
		return err
	}
	var b bytes.Buffer
	p := printer{&b}
	p.all(s)
	back, err := Read("", bytes.NewReader(b.Bytes()))
	if err != nil || !reflect.DeepEqual(back, s) {
		return trouble.Data("bad-spec", "", "the specification cannot be written so that it reads back the same", "give each level as it is written on it, and no empty list").Because(err)
	}
	if _, err := to.Write(b.Bytes()); err != nil {
		return trouble.IO("cannot-write", "", "the specification cannot be written", "").Because(err)
	}
	return nil
}

// printer writes lines of YAML.
type printer struct{ b *bytes.Buffer }

func (p printer) line(format string, args ...any) { fmt.Fprintf(p.b, format+"\n", args...) }

func (p printer) all(s bed.Spec) {
	p.line("pattern: %s", quoted(s.Pattern))
	p.line("revision: %s", quoted(s.Revision))
	p.line("size: %s x %s mm  # whole bed, along the table by across it", decimal(s.SizeX), decimal(s.SizeY))
	p.line("size_tolerance: %s", mm(s.SizeTolerance))
	p.line("edge_band: %s", mm(s.EdgeBand))
	p.line("joint_gap: %s", mm(s.JointGap))
	p.line("thickness_min: %s", mm(s.ThicknessMin))
	p.line("density: %s kg/m3", decimal(s.Density))
	p.line("lining: %s", mm(s.Lining))
	p.line("lining_density: %s kg/m3", decimal(s.LiningDensity))
	p.supports(s.Supports)
	p.line("shims: [%s]", joined(s.Shims, mm))
	p.line("shims_per_pack: %d", s.ShimsPerPack)
	p.line("limits:")
	p.line("  lengthwise: %s", mm(s.Limits.Lengthwise))
	p.line("  across: %s", mm(s.Limits.Across))
	p.line("  zone: %s", mm(s.Limits.Zone))
	p.line("  step: %s", mm(s.Limits.Step))
	p.line("state: %s", s.State)
	p.line("decision:")
	p.line("  rule: %s", s.Decision.Rule)
	if s.Decision.Rule == bed.RuleGuardBand {
		p.line("  consumer_risk: %s", decimal(s.Decision.Risk))
	}
	p.line("uncertainty:")
	p.line("  reading: %s", mm(s.Uncertainty.Reading))
	p.line("  bench: %s", mm(s.Uncertainty.Bench))
	p.line("  between_points: %s", mm(s.Uncertainty.BetweenPoints))
	p.line("  joint_extrapolation: %s", mm(s.Uncertainty.JointExtrapolation))
	p.line("joint_row:")
	p.line("  max_from_arris: %s", mm(s.JointRow.MaxFromArris))
	p.line("  min_stations: %d", s.JointRow.MinStations)
	p.line("levels: [%s]", joined(s.Levels, func(l bed.Level) string { return quoted(l.Division) }))
}

func (p printer) supports(supports [3][][2]float64) {
	p.line("supports:  # from the middle of the piece, x along the table, y across it")
	for _, place := range bed.Places() {
		if len(supports[place]) == 0 {
			p.line("  %s: []", place)
			continue
		}
		p.line("  %s:", place)
		for _, at := range supports[place] {
			p.line("    - [%s, %s]", mm(at[0]), mm(at[1]))
		}
	}
}

func mm(length float64) string { return measure.FormatLength(length, measure.MM) }

func decimal(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }

// quoted writes text as a YAML scalar in single quotes.
func quoted(text string) string { return "'" + strings.ReplaceAll(text, "'", "''") + "'" }

func joined[T any](items []T, text func(T) string) string {
	parts := make([]string, len(items))
	for i, item := range items {
		parts[i] = text(item)
	}
	return strings.Join(parts, ", ")
}
