package evidence_test

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"io"
	"math/rand/v2"
	"strings"
	"sync"
	"testing"
	"time"

	"slatewright/bed"
	"slatewright/certificate"
	"slatewright/face"
	"slatewright/internal/book"
	"slatewright/internal/evidence"
	"slatewright/trouble"
)

// files are blobs in memory.
type files struct{ kept map[string][]byte }

func (f *files) keep(content []byte) (digest string) {
	sum := sha256.Sum256(content)
	digest = hex.EncodeToString(sum[:])
	f.kept[digest] = content
	return digest
}

func (f *files) Put(context.Context, io.Reader, int64) (string, int64, error) {
	panic("evidence stores nothing")
}

func (f *files) Open(_ context.Context, digest string) (io.ReadCloser, int64, error) {
	content, ok := f.kept[digest]
	if !ok {
		return nil, 0, trouble.Data("no-such-blob", "", "there is no such blob", "store it")
	}
	return io.NopCloser(bytes.NewReader(content)), int64(len(content)), nil
}

func (f *files) List(context.Context, func(string, int64, time.Time) error) error { return nil }

// journal is a book that takes everything.
type journal struct {
	book.Ledger
	things map[book.Ref]any
	taken  []book.Submission
	dry    bool
}

func (l *journal) Thing(_ context.Context, r book.Ref) (book.Thing, error) {
	state, ok := l.things[r]
	if !ok {
		return book.Thing{}, trouble.Data("no-such-thing", r.String(), "there is no such thing", "look again")
	}
	text, err := json.Marshal(state)
	return book.Thing{Ref: r, State: text}, err
}

func (l *journal) Entry(_ context.Context, id string) (book.Placed, error) {
	for _, s := range l.taken {
		if s.Entry.ID == id {
			return book.Placed{Entry: s.Entry}, nil
		}
	}
	return book.Placed{}, trouble.Data("no-such-entry", id, "there is no such entry", "look again")
}

func (l *journal) Append(_ context.Context, s book.Submission) (book.Receipt, error) {
	l.taken = append(l.taken, s)
	return book.Receipt{Entry: s.Entry}, nil
}

// AppendAll refuses what a person called refused hands in.
func (l *journal) AppendAll(_ context.Context, list []book.Submission, dryRun bool) ([]book.Receipt, []error, error) {
	l.dry = dryRun
	refusals := make([]error, len(list))
	for i, s := range list {
		if s.Caller.Person == "refused" {
			refusals[i] = trouble.Data("not-allowed", "", "not you", "ask another")
		}
	}
	if errors.Join(refusals...) != nil {
		return nil, refusals, nil
	}
	if !dryRun {
		l.taken = append(l.taken, list...)
	}
	return make([]book.Receipt, len(list)), refusals, nil
}

// bench is a mill with one set of three pieces, whose readings are in its book.
type bench struct {
	files
	journal
	demo bool
}

func (b *bench) check(act book.Act) error {
	return evidence.Check(context.Background(), &b.files, &b.journal, act, b.demo)
}

var pieces = []string{"QH-0401", "QH-0402", "QH-0403"}

func newBench(t testing.TB) *bench {
	t.Helper()
	b := &bench{files{map[string][]byte{}}, journal{things: map[book.Ref]any{}}, true}
	b.things[book.Ref{Kind: book.KindSet, ID: "QH-S-0042"}] = book.SetState{Pieces: pieces}
	for i, f := range aSet(t).Faces {
		old := book.Reading{Entry: "E0", What: "top", AtMS: 1000, Blob: b.keep(csv(t, aFace("other", 0, 0, 9))), ExpiredBy: "E9", ExpiredAct: "surface"}
		last := book.Reading{Entry: "E1", What: "top", AtMS: 2000, Blob: b.keep(csv(t, f))}
		b.things[book.Ref{Kind: book.KindPiece, ID: pieces[i]}] = book.PieceState{StoneState: book.StoneState{Readings: []book.Reading{old, last,
			{Entry: "E2", What: "bottom", AtMS: 3000}}}}
	}
	return b
}

// aFace is a face of whole micrometres with a bow, of a piece.
func aFace(piece string, along, across, seed int64) *face.Face {
	top, bottom := 20.1, 20.2
	f := &face.Face{Header: face.Header{Name: piece + ".csv", Piece: piece, SizeX: 914, SizeY: 1473, Side: face.Top, Support: face.Support{Kind: face.SupportBench, Text: "bench"},
		Instrument: "dial 7", U: 0.005, TempTop: &top, TempBottom: &bottom, DrySince: "2026-10-02", Date: "2026-11-20"}}
	for i, at := range [][2]float64{{-380, -520}, {-380, 0}, {-380, 520}, {380, -520}, {380, 0}, {380, 520}, {0, -650}, {0, 650}} {
		f.Thickness = append(f.Thickness, face.Thickness{X: at[0], Y: at[1], T: 25.75 - 0.25*float64(i%2)})
		f.Lined = append(f.Lined, face.Thickness{X: at[0], Y: at[1], T: 44.7 - 0.25*float64(i%2)})
	}
	random := rand.New(rand.NewPCG(uint64(seed), 0))
	read := func(x, y int64, row face.Row) {
		z := along*(457*457-x*x)/(457*457) + across*(736*736-y*y)/(736*736) + random.Int64N(5) - 2
		f.X, f.Y, f.Z, f.Row = append(f.X, float64(x)), append(f.Y, float64(y)), append(f.Z, float64(z)/1000), append(f.Row, row)
	}
	for i := range int64(6) {
		for j := range int64(9) {
			read(-430+172*i, -700+175*j, face.NoRow)
		}
	}
	for j := range int64(9) {
		read(447, -700+175*j, face.JointPlus)
		read(-447, -700+175*j, face.JointMinus)
	}
	return f
}

func csv(t testing.TB, f *face.Face) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := f.WriteCSV(&b); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

const layUp = `# invented data, not a real certificate
# pieces: QH-0401, QH-0402, QH-0403
# support: bench, shimmed as on the card
# instrument: step gauge 3
# u: 0.005 mm
# date: 2026-11-24
joint,y_mm,step_mm
head-centre,-660,-0.006
head-centre,-330,0.002
head-centre,0,0.004
head-centre,330,-0.003
head-centre,660,0.001
centre-foot,660,0.001
centre-foot,330,-0.002
centre-foot,0,0.004
centre-foot,-330,0.007
centre-foot,-660,-0.001
`

// aSet is what the certificate of the set is composed from.
func aSet(t testing.TB) certificate.Input {
	t.Helper()
	l, err := certificate.ReadLayUp("layup.csv", strings.NewReader(layUp))
	if err != nil {
		t.Fatal(err)
	}
	return certificate.Input{Program: "slatewright 0 (test)", Demo: true, Mill: "Quern Hollow", Set: "QH-S-0042", DateCode: "26-329", Issued: "2026-11-25",
		Spec: bed.NineFoot(), Seed: 42, Draws: 50, LayUp: &l, Faces: [3]*face.Face{aFace(pieces[0], 30, 40, 1), aFace(pieces[1], 22, 51, 2), aFace(pieces[2], -8, 44, 3)}}
}

// key makes the key with the number.
func key(t testing.TB, number byte, demo bool) certificate.Key {
	t.Helper()
	k, err := certificate.NewKey(bytes.NewReader(bytes.Repeat([]byte{number}, 32)), demo)
	if err != nil {
		t.Fatal(err)
	}
	return k
}

// composed is the body of a set that was changed before; the usual one is composed once.
func composed(t testing.TB, change func(*certificate.Input)) certificate.Body {
	t.Helper()
	if change == nil {
		usual.Do(func() { usualBody = compose(t, aSet(t)) })
		return usualBody
	}
	in := aSet(t)
	change(&in)
	return compose(t, in)
}

var (
	usual     sync.Once
	usualBody certificate.Body
)

func compose(t testing.TB, in certificate.Input) certificate.Body {
	t.Helper()
	b, err := certificate.Compose(in)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// certified keeps a certificate and returns the act that names it.
func (b *bench) certified(t testing.TB, body certificate.Body, k certificate.Key) *book.Certify {
	t.Helper()
	c, err := certificate.SealBody(body, k)
	if err != nil {
		t.Fatal(err)
	}
	text, err := c.Text()
	if err != nil {
		t.Fatal(err)
	}
	return &book.Certify{Set: "QH-S-0042", Certificate: "QH-C-0042", Digest: c.Seal.Digest, Blob: b.keep(text), Key: c.Seal.KeyID}
}

// refused wants trouble with a code, at a place, with a next step; no code wants none.
func refused(t *testing.T, what string, err error, code, where string) {
	t.Helper()
	if code == "" {
		if err != nil {
			t.Errorf("%s: %v", what, err)
		}
		return
	}
	var said *trouble.Trouble
	if !errors.As(err, &said) || said.Code != code || said.Where != where || said.Next == "" {
		t.Errorf("%s: got %+v, want %s at %s", what, err, code, where)
	}
}
