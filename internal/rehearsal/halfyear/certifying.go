package halfyear

import (
	"bytes"
	"time"

	"slatewright/certificate"
	"slatewright/face"
	"slatewright/internal/book"
	"slatewright/internal/rehearsal"
	"slatewright/judge"
)

// judgement is what was found of a set; nil: nothing yet.
type judgement struct{ certificate.Body }

func (j *judgement) conforms() bool { return j != nil && j.Found.Verdict == judge.Conforms.String() }

// mass is that of a piece with its lining, as the certificate computes it.
func (j *judgement) mass(place int) float64 {
	if kg := j.Found.Pieces[place].Mass; kg != nil {
		return kg.Float64()
	}
	return 0
}

// judge has the finished pieces read again, dry, and composes the verdict from these readings alone.
func (m *mill) judge(s *set) error {
	var faces [3]*face.Face
	own := make([]*errand, len(faces))
	for place, p := range s.pieces {
		own[place] = m.errand(s.e.at)
		own[place].over = s.e.over
		own[place].wait(1)
		faces[place] = m.lastReading(s, p, own[place])
	}
	if s.e.join(own); s.e.over {
		return nil
	}
	s.e.wait(1)
	in := m.input(s, faces)
	body, err := certificate.ComposeBest(in)
	if err == nil && body.Found.Verdict == judge.Conforms.String() && s.goal != shipped {
		body, err = m.layUpAgain(s, in, body)
	}
	if err != nil {
		return err
	}
	s.body = &judgement{body}
	text, err := body.Canonical()
	if err != nil {
		return err
	}
	s.e.do(20, book.Bench, &book.Judge{Set: s.number, Verdict: body.Found.Verdict, Next: body.Found.Next.Text, Blob: m.keep(text), Answers: answers()}, inspectors[0])
	return nil
}

// layUpAgain follows the advice of a verdict that is only predicted: the finished set is laid on the bench once more, as it was seated, and
// its steps are read.
func (m *mill) layUpAgain(s *set, in certificate.Input, predicted certificate.Body) (certificate.Body, error) {
	for i, p := range predicted.Found.Pieces {
		s.moves[i] = rehearsal.Move{Turned: s.pieces[i].turned, Height: p.Height.Float64(), TiltX: p.TiltX.Float64(), TiltY: p.TiltY.Float64()}
	}
	text, largest := m.steps(s)
	layUp, err := certificate.ReadLayUp(s.number+"-layup.csv", bytes.NewReader(text))
	if err != nil {
		return certificate.Body{}, err
	}
	s.e.do(45, book.Bench, &book.LayUp{Set: s.number, Pieces: s.numbers(), Bench: setBench, Instruments: []string{stepGauge}, StepsMM: largest,
		Blob: m.keep(text)}, inspectors[0])
	in.LayUp, in.MaxStep = &layUp, predicted.Given.Question.MaxStep.Float64() // the seating that was laid up, not another
	return certificate.Compose(in)
}

// lastReading reads the playing face of a lined and finished piece. That of the set that is only judged was read warm on one piece.
func (m *mill) lastReading(s *set, p *piece, e *errand) *face.Face {
	p.stone.Read, p.stone.Warm = midnight(e.at), s.goal == judged && p == s.pieces[2]
	f := m.truth.ReadingsOn(p.stone, "finished")
	f.DrySince = e.at.AddDate(0, 0, -10).Format(time.DateOnly)
	f.TurnFixed = true
	if p.turned {
		f = turned(f)
	}
	e.do(35, book.Bench, m.faceRead(p.number, f), inspectors...)
	return f
}

// input is what a certificate of the set is composed from. Faces are read back from their files, as a mill's own are.
func (m *mill) input(s *set, faces [3]*face.Face) certificate.Input {
	in := certificate.Input{Program: m.program, Demo: true, Mill: rehearsal.MillName + " (invented)", Set: s.number, Spec: m.spec, Seed: m.seed,
		Issued: s.e.at.Format(time.DateOnly), DateCode: s.e.at.Format("0601")}
	for i, f := range faces {
		var b bytes.Buffer
		err := f.WriteCSV(&b)
		if err == nil {
			in.Faces[i], err = face.ReadCSV(f.Name, &b)
		}
		if err != nil {
			panic("halfyear: readings that cannot be read: " + err.Error())
		}
	}
	return in
}

// certify seals the verdict on the day on which it was found.
func (m *mill) certify(s *set) {
	sealed, err := certificate.SealBody(s.body.Body, m.key)
	if err != nil {
		panic("halfyear: " + err.Error()) // a trial key seals every body that says it is invented
	}
	text, err := sealed.Text()
	if err != nil {
		panic("halfyear: " + err.Error())
	}
	digest, err := s.body.Digest()
	if err != nil {
		panic("halfyear: " + err.Error())
	}
	p := s.e.do(10, book.Bench, &book.Certify{Set: s.number, Certificate: "QH-C" + s.number[len("QH-S"):], Digest: digest, Blob: m.keep(text),
		Key: m.key.Public().ID(), Answers: answers()}, inspectors[1])
	if p != nil {
		p.reaffirmed = true
	}
}
