package evidence

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"slices"

	"slatewright/certificate"
	"slatewright/internal/book"
	"slatewright/judge"
	"slatewright/trouble"
)

// stepSlip is how far a step in the act may be from the same step in the file, mm: half of a micrometre's last digit, as typed.
const stepSlip = 0.0005

// layUp holds a lay-up against its file: the pieces, and the largest step of each joint.
func (c checking) layUp(a *book.LayUp) error {
	if a.Blob == "" {
		return nil
	}
	r, err := c.open(a.Blob, mostReadings)
	if err != nil {
		return err
	}
	defer r.Close()
	file, err := certificate.ReadLayUp(field, r)
	if err != nil {
		return err
	}
	if len(a.Pieces) != len(file.Pieces) {
		return differs("two-pieces", "pieces", "the act lays up %s, and a lay-up file is of %d", "leave the file out, and give the steps in the act",
			trouble.Count(len(a.Pieces), "piece", "pieces"), len(file.Pieces))
	}
	for i, mark := range file.Pieces {
		if number := numberOf(mark); number != "" && number != a.Pieces[i] {
			return differs("two-pieces", fmt.Sprintf("pieces[%d]", i), "the file says %.80q and the act says %s", "name the pieces from head to foot, the same in both", number, a.Pieces[i])
		}
	}
	for j, joint := range file.Joints {
		if largest := largestOf(joint); j >= len(a.StepsMM) || math.Abs(math.Abs(a.StepsMM[j])-largest) > stepSlip {
			return differs("two-steps", fmt.Sprintf("steps_mm[%d]", j), "the largest step in the file is %.4f mm, and the act says another", "give the largest step of each joint as it was read", largest)
		}
	}
	return nil
}

// largestOf is the largest step of a joint, whichever side stands proud.
func largestOf(joint certificate.List[certificate.Position]) (largest float64) {
	for _, station := range joint {
		largest = max(largest, math.Abs(station[1].Float64()))
	}
	return largest
}

// judge holds a verdict against the full judgement: the body of a certificate, sealed or not yet.
func (c checking) judge(a *book.Judge) error {
	if a.Blob == "" {
		return nil
	}
	text, err := c.text(a.Blob)
	if err != nil {
		return err
	}
	body, err := judgement(text)
	switch {
	case err != nil:
		return err
	case body.Set != a.Set:
		return differs("two-sets", "set", "the judgement is of set %.80q and the act says %s", "name the set that was judged", body.Set, a.Set)
	case body.Found.Verdict != a.Verdict:
		return differs("two-verdicts", "verdict", "the judgement says %.80q and the act says %s", "give the verdict that was found", body.Found.Verdict, a.Verdict)
	}
	return nil
}

// judgement reads the canonical bytes of a body, or a certificate.
func judgement(text []byte) (certificate.Body, error) {
	if c, err := certificate.Parse(field, text); err == nil {
		return c.Body, nil
	}
	var body certificate.Body
	if err := json.Unmarshal(text, &body); err != nil {
		return body, noJudgement().Because(err)
	}
	again, err := body.Canonical()
	if err != nil || !bytes.Equal(again, text) {
		return body, noJudgement().Because(err)
	}
	return body, nil
}

func noJudgement() *trouble.Trouble {
	return trouble.Data("no-judgement", field, "the file is no judgement as the program writes them", "store what 'slatewright certify' composed, or leave the file out")
}

// certify holds a certificate against the book. What is cheap comes first: to compute it anew may take seconds.
func (c checking) certify(a *book.Certify) error {
	text, err := c.text(a.Blob)
	if err != nil {
		return err
	}
	sealed, err := certificate.Parse(field, text)
	if err != nil {
		return err
	}
	if err := c.stated(a, sealed); err != nil {
		return err
	}
	if err := c.rightKey(sealed); err != nil {
		return err
	}
	if err := c.readings(a.Set, sealed.Body); err != nil {
		return err
	}
	r, err := certificate.Check{}.Verify(field, text)
	if err == nil && !r.OK() {
		err = unsound(r)
	}
	return err
}

// stated compares what the act says of the certificate.
func (c checking) stated(a *book.Certify, sealed certificate.Certificate) error {
	const next = "record what 'slatewright certify' made, as it made it"
	switch body := sealed.Body; {
	case body.Set != a.Set:
		return differs("two-sets", "set", "the certificate is of set %.80q and the act says %s", next, body.Set, a.Set)
	case body.Found.Verdict != judge.Conforms.String():
		return differs("not-conforming", field, "the certificate says that the set %s", "only a set that conforms is certified; do what the verdict says first", body.Found.Verdict)
	case sealed.Seal.Digest != a.Digest:
		return differs("two-digests", "digest", "the certificate's seal signs the digest %.64s", next, sealed.Seal.Digest)
	case sealed.Seal.KeyID != a.Key:
		return differs("two-keys", "key", "the certificate says that the key %.80q signed it", next, sealed.Seal.KeyID)
	}
	return nil
}

// rightKey keeps the keys of the demo and of mills apart. That the seal's kind of key is true is found when the signature is verified.
func (c checking) rightKey(sealed certificate.Certificate) error {
	trial := sealed.Body.Demo() || sealed.Seal.KeyKind != keyOfMill
	switch {
	case trial && !c.demo:
		return differs("demo-key", "key", "a demo key signed it, or it says that its data are invented", "seal it with the mill's own key (keygen, without --demo)")
	case !trial && c.demo:
		return differs("mill-key", "key", "this mill's data are invented, and a mill's key signed it", "seal it with a demo key (keygen --demo)")
	}
	return nil
}

// keyOfMill is the word in a seal for a key that is not of the demo.
const keyOfMill = "mill"

// unsound says why a certificate does not hold.
func unsound(r certificate.Report) error {
	why := "it does not hold"
	if len(r.Differences) > 0 {
		d := r.Differences[0]
		why = fmt.Sprintf("%s is %.80q and should be %.80q", d.Field, d.Sealed, d.Recomputed)
	}
	switch {
	case !r.DigestOK || !r.SignatureOK:
		return differs("bad-seal", field, "the certificate was changed after it was sealed, or another key signed it: %s", "take the file as 'slatewright certify' wrote it", why)
	default:
		return differs("not-recomputed", field, "the readings in the certificate do not lead to what it says: %s", "make the certificate anew", why)
	}
}

// readings compares the pieces of the certificate and the readings it seals with those that the book has.
func (c checking) readings(set string, body certificate.Body) error {
	pieces, err := c.piecesOf(set)
	if err != nil {
		return err
	}
	if len(body.Found.Pieces) != len(pieces) {
		return differs("two-pieces", field, "the certificate is of %s and the set has %d", "certify the set as it was laid up",
			trouble.Count(len(body.Found.Pieces), "piece", "pieces"), len(pieces))
	}
	for i, p := range body.Found.Pieces {
		if numberOf(p.Piece) != pieces[i] {
			return differs("two-pieces", field, "the certificate has the piece %.80q as %s, and the set has %s there", "certify the set as it was laid up, from head to foot", p.Piece, p.Place, pieces[i])
		}
		if p.Reading < 0 || p.Reading >= len(body.Given.Readings) {
			return differs("bad-certificate", field, "the certificate names reading %d and has no such", "take the file as 'slatewright certify' wrote it", p.Reading)
		}
		if err := c.sameReading(pieces[i], body.Given.Readings[p.Reading]); err != nil {
			return err
		}
	}
	return nil
}

// sameReading compares a sealed reading with the last of the piece's playing face, line by line in the form that is sealed.
func (c checking) sameReading(piece string, sealed certificate.Reading) error {
	digest, err := c.lastTop(piece)
	if err != nil {
		return err
	}
	f, err := c.face(digest)
	if err != nil {
		return err
	}
	var text bytes.Buffer
	if err := f.WriteCSV(&text); err != nil {
		return err
	}
	lines := bytes.Split(bytes.TrimSuffix(text.Bytes(), []byte("\n")), []byte("\n"))
	if !slices.EqualFunc(lines, sealed.CSV, func(a []byte, b string) bool { return string(a) == b }) {
		return differs("other-readings", field, "the readings of piece %s in the certificate are not the last that the book has of its top face",
			"make the certificate from the book (certify --book), or record the readings it was made from", piece)
	}
	return nil
}
