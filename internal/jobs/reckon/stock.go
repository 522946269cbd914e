package reckon

import (
	"context"
	"encoding/json"
	"fmt"
	"io"
	"maps"
	"math"
	"slices"

	"slatewright/bed"
	"slatewright/bed/specfile"
	"slatewright/face"
	"slatewright/internal/book"
	"slatewright/judge"
	"slatewright/seating"
	"slatewright/sets"
	"slatewright/trouble"
)

// MatchInput asks which pieces belong together.
type MatchInput struct {
	// Readings has the digest of the readings of each piece's playing face, by the piece's number.
	Readings map[string]string `json:"readings"`
	// Specification is the digest of the bed's specification file; without it the bed is the nine-foot one.
	Specification string `json:"specification,omitempty"`
	// MaxStepMM is the largest step to seat with; without it the limit of the specification less the room for doubt.
	MaxStepMM *float64 `json:"max_step_mm,omitempty"`
}

// mostReadings is how many readings all pieces of a stock may have together: 100,000 for each of twenty. More would need more
// memory than a program of the mill should take, and minutes for one bed.
const mostReadings = 2_000_000

func parseMatch(input json.RawMessage) (in MatchInput, err error) {
	if err := decode("match", input, &in); err != nil {
		return in, err
	}
	n := len(in.Readings)
	if n < 3 || n > sets.MostPieces {
		return in, trouble.Data("stock-size", "readings", fmt.Sprintf("a stock of %s cannot be matched here", trouble.Count(n, "piece", "pieces")),
			fmt.Sprintf("give 3 to %d pieces: split a larger stock by thickness or by order", sets.MostPieces))
	}
	if in.MaxStepMM != nil && *in.MaxStepMM <= 0 {
		return in, trouble.Data("bad-limit", "max_step_mm", "the largest step must be more than 0", "give millimetres, such as 0.05, or leave it out")
	}
	if in.Specification != "" {
		if err := checkDigest("specification", in.Specification); err != nil {
			return in, err
		}
	}
	return in, in.checkReadings()
}

func (in MatchInput) checkReadings() error {
	of := map[string]string{}
	for _, piece := range in.pieces() {
		where, digest := "readings."+piece, in.Readings[piece]
		if _, err := book.ParseRef(string(book.KindPiece) + ":" + piece); err != nil {
			return err
		}
		if err := checkDigest(where, digest); err != nil {
			return err
		}
		if other, ok := of[digest]; ok {
			return trouble.Data("same-readings", where, fmt.Sprintf("%s and %s have the same readings", other, piece), "give each piece its own")
		}
		of[digest] = piece
	}
	return nil
}

// pieces are the numbers of the pieces in the order in which they are counted.
func (in MatchInput) pieces() []string { return slices.Sorted(maps.Keys(in.Readings)) }

// stock is the pieces of one job, made ready for trying.
type stock struct {
	pieces   []string
	faces    []*face.Face
	spec     bed.Spec
	seats    *seating.Stock
	criteria sets.Criteria
	maxStep  float64
}

// stock reads the readings.
func (s source) stock(ctx context.Context, in MatchInput) (*stock, error) {
	k := &stock{pieces: in.pieces(), spec: bed.NineFoot()}
	if in.Specification != "" {
		err := s.read(ctx, in.Specification, func(r io.Reader) (err error) { k.spec, err = specfile.Read("specification", r); return err })
		if err != nil {
			return nil, err
		}
	}
	total := 0
	for _, piece := range k.pieces {
		f, err := s.face(ctx, piece, in.Readings[piece])
		if err != nil {
			return nil, err
		}
		if total += f.Len(); total > mostReadings {
			return nil, trouble.Data("too-large", piece, fmt.Sprintf("the stock has more than %d readings", mostReadings),
				"match with the readings at the marked stations, not with scans")
		}
		k.faces = append(k.faces, f)
	}
	return k, k.ready(in)
}

// ready makes the stock ready for trying.
func (k *stock) ready(in MatchInput) (err error) {
	if k.seats, err = seating.NewStock(k.faces, k.spec); err != nil {
		return err
	}
	k.criteria = sets.Criteria{Limits: k.spec.Limits, Room: judge.Factor(k.spec.Decision) * judge.FirstDoubt(k.spec)}
	for _, f := range k.faces {
		k.criteria.Ready = append(k.criteria.Ready, judge.Ready(f, k.spec, ""))
		k.criteria.Thickness = append(k.criteria.Thickness, meanThickness(f))
	}
	k.maxStep = k.criteria.StepRoom()
	if in.MaxStepMM != nil {
		k.maxStep = *in.MaxStepMM
	}
	return nil
}

// meanThickness is NaN where none was measured.
func meanThickness(f *face.Face) float64 {
	if len(f.Thickness) == 0 {
		return math.NaN()
	}
	sum := 0.0
	for _, k := range f.Thickness {
		sum += k.T
	}
	return sum / float64(len(f.Thickness))
}
