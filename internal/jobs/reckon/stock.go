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
	"slatewright/sets"
	"slatewright/sets/beds"
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
	// Before are the sets of the plan that stood before, each of three pieces: few of them change unless that pays.
	Before [][3]string `json:"before,omitempty"`
	// Seconds is how long a better plan, or its proof, may be looked for in all; without it a minute.
	Seconds *float64 `json:"seconds,omitempty"`
}

// Pieces of a stock.
const (
	fewestPieces = 3
	mostPieces   = 600
)

// mostReadings is how many readings all pieces of a stock may have together. More would need more memory than a program of the mill should take, and
// minutes to read.
const mostReadings = 2_000_000

// How long is looked, s.
const (
	usualSeconds = 60
	mostSeconds  = 3600
)

func parseMatch(input json.RawMessage) (in MatchInput, err error) {
	if err := decode("match", input, &in); err != nil {
		return in, err
	}
	n := len(in.Readings)
	if n < fewestPieces || n > mostPieces {
		return in, trouble.Data("stock-size", "readings", fmt.Sprintf("a stock of %s cannot be matched here", trouble.Count(n, "piece", "pieces")),
			fmt.Sprintf("give %d to %d pieces: split a larger stock by order", fewestPieces, mostPieces))
	}
	if in.MaxStepMM != nil && *in.MaxStepMM <= 0 {
		return in, trouble.Data("bad-limit", "max_step_mm", "the largest step must be more than 0", "give millimetres, such as 0.05, or leave it out")
	}
	if in.Seconds != nil && !(*in.Seconds > 0 && *in.Seconds <= mostSeconds) {
		return in, trouble.Data("bad-time", "seconds", "the time to look for a better plan is out of range", fmt.Sprintf("give more than 0 and at most %d, or leave it out", mostSeconds))
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

// seconds is how long is looked.
func (in MatchInput) seconds() float64 {
	if in.Seconds == nil {
		return usualSeconds
	}
	return *in.Seconds
}

// stock is the pieces of one job, made ready for the question.
type stock struct {
	pieces []string
	faces  []*face.Face
	spec   bed.Spec
	class  sets.Class
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
	k.class = sets.Class{Name: k.spec.Pattern, Limits: k.spec.Limits, Room: judge.Factor(k.spec.Decision) * judge.FirstDoubt(k.spec)}
	if in.MaxStepMM != nil {
		k.class.Limits.Step = *in.MaxStepMM + k.class.Room
	}
	return k, nil
}

// maxStep is the largest step with which sets are seated.
func (k *stock) maxStep() float64 { return max(0, k.class.Limits.Step-k.class.Room) }

// question asks for sets. before has the sets of the plan that stood before, by the pieces' numbers; those of pieces that are gone are left out.
func (k *stock) question(before [][3]string) sets.Question {
	q := sets.Question{Spec: k.spec, Classes: []sets.Class{k.class}, Weights: sets.DefaultWeights()}
	index := map[string]int{}
	for i, f := range k.faces {
		index[k.pieces[i]] = i
		p := sets.Piece{ID: k.pieces[i], Ways: beds.AnyWay(), Face: f, Thickness: meanThickness(f)}
		if !judge.Ready(f, k.spec, "") {
			p.NotReady = "it may not be judged as it was read"
		}
		q.Pieces = append(q.Pieces, p)
	}
	for _, b := range before {
		var three [3]int
		there := true
		for place, piece := range b {
			i, ok := index[piece]
			three[place], there = i, there && ok
		}
		if there && three[0] != three[1] && three[1] != three[2] && three[0] != three[2] {
			q.Before = append(q.Before, three)
		}
	}
	return q
}

// meanThickness is that of stone and lining together where it was measured, else that of the stone; NaN where none was.
func meanThickness(f *face.Face) float64 {
	list := f.Lined
	if len(list) == 0 {
		list = f.Thickness
	}
	if len(list) == 0 {
		return math.NaN()
	}
	sum := 0.0
	for _, k := range list {
		sum += k.T
	}
	return sum / float64(len(list))
}
