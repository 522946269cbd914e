package office

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"time"

	"slatewright/certificate"
	"slatewright/face"
	"slatewright/internal/book"
	"slatewright/internal/cli/opened"
	"slatewright/internal/cli/verb"
	"slatewright/internal/ledger"
	"slatewright/internal/ledger/blobs"
	"slatewright/trouble"
)

// Evidence is what the book holds for a verdict on a set.
type Evidence struct {
	Answers map[string]string // the mill's own
	Mill    string
	Demo    bool               // the mill is invented
	Faces   [3]*face.Face      // head, centre, foot: the last readings of the playing faces
	LayUp   *certificate.LayUp // nil when no lay-up holds
	Unused  string             // why the last lay-up in the book counts for nothing; empty when it counts, or there is none
}

// MillAnswers are the answers to the mill's own questions, for a verdict that is not on a set of the book.
func MillAnswers(s *verb.Session, p opened.Place) (answers map[string]string, err error) {
	_, err = p.Reading(s, func(ctx context.Context, l book.Keeper) (verb.Report, error) {
		m, err := opened.MillOf(ctx, l)
		if err == nil {
			answers = m.Answers
		}
		return nil, err
	})
	return answers, err
}

// EvidenceOf collects the readings of a set that still hold. What has expired is refused with the act that ended it.
func EvidenceOf(s *verb.Session, p opened.Place, set, blobsAt string) (e *Evidence, err error) {
	_, err = p.Open(s, ledger.Options{ReadOnly: true, Clock: s.Clock}, func(ctx context.Context, l *ledger.Ledger) (verb.Report, error) {
		return opened.WithBlobs(s, l, blobsAt, func(files blobs.Store) (verb.Report, error) {
			e, err = collector{ctx, l, files, s.Clock().Location()}.evidence(set)
			return nil, err
		})
	})
	return e, err
}

// collector reads what a set's pieces left in the book.
type collector struct {
	ctx   context.Context
	l     book.Ledger
	files book.Blobs
	zone  *time.Location
}

func (c collector) evidence(number string) (*Evidence, error) {
	m, err := opened.MillOf(c.ctx, c.l)
	if err != nil {
		return nil, err
	}
	e := &Evidence{Answers: m.Answers, Mill: m.Name, Demo: m.Demo}
	t, err := opened.Find(c.ctx, c.l, "set:"+number)
	if err != nil {
		return nil, err
	}
	set, err := opened.State[book.SetState](t)
	if err != nil {
		return nil, err
	}
	if len(set.Pieces) != len(e.Faces) {
		return nil, trouble.Data("not-three-pieces", t.Ref.String(), fmt.Sprintf("the set has %s, and a bed of three is judged", trouble.Count(len(set.Pieces), "piece", "pieces")),
			"name the readings' files instead")
	}
	for k, id := range set.Pieces {
		if e.Faces[k], err = c.face(id); err != nil {
			return nil, err
		}
	}
	if r := lastOf(set.LayUps, "lay-up"); r != nil {
		if e.Unused = c.unused(r); e.Unused == "" {
			e.LayUp, err = c.layUp(r)
		}
	}
	return e, err
}

// face reads the last reading of a piece's playing face.
func (c collector) face(piece string) (*face.Face, error) {
	t, err := opened.Find(c.ctx, c.l, "piece:"+piece)
	if err != nil {
		return nil, err
	}
	p, err := opened.State[book.PieceState](t)
	if err != nil {
		return nil, err
	}
	r := lastOf(p.Readings, "top")
	switch {
	case r == nil || r.Blob == "":
		return nil, trouble.Data("no-reading", t.Ref.String(), "the book has no readings file of this piece's top face", "read the face and record it (read, what=top, with its file)")
	case r.ExpiredBy != "":
		return nil, trouble.Data("expired-reading", t.Ref.String(),
			fmt.Sprintf("the last reading of its top face (entry %s) no longer holds: %s came after it (entry %s)", r.Entry, r.ExpiredAct, r.ExpiredBy),
			"read the top face of "+piece+" again")
	}
	return inBlob(c, r.Blob, piece+".csv", face.Read)
}

// unused says why a lay-up does not count, and what makes one count.
func (c collector) unused(r *book.Reading) string {
	const pieces = ". The verdict rests on the three pieces alone: "
	at := "the lay-up of " + opened.Minute(time.UnixMilli(r.AtMS), c.zone)
	switch {
	case r.ExpiredBy != "":
		return fmt.Sprintf("%s no longer holds: %s came after it (entry %s)%slay the set up again and record the steps with their file", at, r.ExpiredAct, r.ExpiredBy, pieces)
	case r.Blob == "":
		return at + " counts for nothing here: it was written down without a file, and one number a joint does not say how the steps run along it or how sure they are" +
			pieces + "record it again with the file of its steps (lay-up … --file), or name that file here (--layup)"
	}
	return ""
}

func (c collector) layUp(r *book.Reading) (*certificate.LayUp, error) {
	l, err := inBlob(c, r.Blob, "lay-up of entry "+r.Entry, certificate.ReadLayUp)
	return &l, err
}

// inBlob reads a file that the book keeps.
func inBlob[T any](c collector, digest, name string, from func(string, io.Reader) (T, error)) (T, error) {
	in, _, err := c.files.Open(c.ctx, digest)
	if err != nil {
		var none T
		return none, err
	}
	defer in.Close()
	return from(name, in)
}

// lastOf is the latest reading of a kind, nil when there is none.
func lastOf(list []book.Reading, what string) (last *book.Reading) {
	for i, r := range list {
		if r.What == what && (last == nil || r.AtMS >= last.AtMS) {
			last = &list[i]
		}
	}
	return last
}

// Verdict is what was found of a set, to be written down.
type Verdict struct {
	Set, Words, Next string
	Answers          map[string]string
	Judgement        []byte // the composed body
	Certificate      []byte // sealed; nil when there is none
	Number           string // of the certificate
	Digest, Key      string // of its seal
}

// mostJudgement is the largest certificate there is.
const mostJudgement = certificate.MaxSize

// Record writes a verdict into the book, with the certificate if there is one: both or neither.
func (v Verdict) Record(s *verb.Session, p opened.Place, by opened.By, blobsAt string) error {
	_, err := p.Writing(s, "certify", func(ctx context.Context, l *ledger.Ledger) (verb.Report, error) {
		caller, err := by.Sign(ctx, s, opened.GateOf(s, l))
		if err != nil {
			return nil, err
		}
		return opened.WithBlobs(s, l, blobsAt, func(files blobs.Store) (verb.Report, error) {
			acts, err := v.acts(ctx, files)
			if err != nil {
				return nil, err
			}
			guarded, err := opened.Watched(ctx, l, files)
			if err != nil {
				return nil, err
			}
			return nil, opened.HandIn(s, guarded, caller, book.Bench, acts...)
		})
	})
	return err
}

// acts puts the files among the blobs and names them in the acts.
func (v Verdict) acts(ctx context.Context, files book.Blobs) ([]book.Act, error) {
	judgement, _, err := files.Put(ctx, bytes.NewReader(v.Judgement), mostJudgement)
	if err != nil {
		return nil, err
	}
	acts := []book.Act{&book.Judge{Set: v.Set, Verdict: v.Words, Next: v.Next, Blob: judgement, Answers: v.Answers}}
	if v.Certificate == nil {
		return acts, nil
	}
	sealed, _, err := files.Put(ctx, bytes.NewReader(v.Certificate), mostJudgement)
	return append(acts, &book.Certify{Set: v.Set, Certificate: v.Number, Digest: v.Digest, Blob: sealed, Key: v.Key, Answers: v.Answers}), err
}
