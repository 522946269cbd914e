package office

import (
	"bytes"
	"crypto/rand"
	"io"
	"net/url"

	"slatewright/certificate"
	"slatewright/cutting/sawing"
	"slatewright/internal/cli/verb"
	"slatewright/internal/paper"
	"slatewright/internal/paper/desk"
	"slatewright/internal/picture/ink"
	"slatewright/internal/tongue"
	"slatewright/judge/ways/costfile"
	"slatewright/sets/marks"
	"slatewright/trouble"
	"slatewright/wholeface"
)

// printed is how pages print: on A4, with a font for what the program's own do not have.
func printed(s *verb.Session, fontFile string) (form paper.Form, err error) {
	form.Size = paper.A4
	if fontFile == "" {
		return form, nil
	}
	data, err := s.Text(fontFile, ink.LargestFont)
	if err != nil {
		return form, err
	}
	form.Font, err = ink.ReadFont(fontFile, data)
	return form, err
}

// in is a form in the language of a reader, and without a font for it in English.
func in(form paper.Form, w tongue.Words) paper.Form {
	own := form
	if own.Words = w; own.Check() != nil {
		own.Words = tongue.Words{}
	}
	return own
}

// certificates prints certificates as the pages give them out; the code leads to the public page where the mill's address is known.
func certificates(form paper.Form, at *url.URL) func(string, certificate.Certificate, tongue.Words) ([]byte, error) {
	return func(number string, c certificate.Certificate, w tongue.Words) ([]byte, error) {
		return desk.Print(c, pageOf(at, number), in(form, w))
	}
}

// sawingOrders prints the sheets that lie at the saw.
func sawingOrders(form paper.Form, mill string, demo bool, version string) func(func(tongue.Words) sawing.Sheet, tongue.Words) ([]byte, error) {
	return func(sheet func(tongue.Words) sawing.Sheet, w tongue.Words) ([]byte, error) {
		own := in(form, w)
		order := paper.SawingOrder{Sheet: sheet(own.Words), Mill: mill, Program: "slatewright " + version}
		if demo || order.Invented {
			order.Mark = (tongue.Words{}).Say("shell.invented")
		}
		var out bytes.Buffer
		err := order.PDF(&out, own)
		return out.Bytes(), err
	}
}

// labels prints the labels of sets.
func labels(form paper.Form, mill string, demo bool, version string) func(marks.Sheet, tongue.Words) ([]byte, error) {
	return func(sheet marks.Sheet, w tongue.Words) ([]byte, error) {
		l := paper.Labels{Sheet: sheet, Mill: mill, Program: "slatewright " + version}
		if demo || sheet.Invented {
			l.Mark = (tongue.Words{}).Say("shell.invented")
		}
		var out bytes.Buffer
		err := l.PDF(&out, in(form, w))
		return out.Bytes(), err
	}
}

// mostKey is the largest key file that is read.
const mostKey = 16 << 10

// signing is the key with which pages certify: the one in a file, or for the invented mill a trial key that lives as long as the
// program. Without one it is nil. A key of the wrong kind is refused at once: it could never sign what this mill reads.
func signing(s *verb.Session, file string, demo bool) (func() (certificate.Key, error), error) {
	var key certificate.Key
	var err error
	switch {
	case file != "":
		key, err = keyIn(s, file)
	case demo:
		key, err = certificate.NewKey(rand.Reader, true)
	default:
		return nil, nil
	}
	if err == nil && key.Public().Demo() != demo {
		err = trouble.Data("wrong-key", file, "a trial key signs invented data only, and a mill's key none of it", "name the key of this mill, or leave --key out for the invented one")
	}
	return func() (certificate.Key, error) { return key, nil }, err
}

func keyIn(s *verb.Session, file string) (certificate.Key, error) {
	in, _, err := s.Open(file)
	if err != nil {
		return certificate.Key{}, err
	}
	defer in.Close()
	text, err := io.ReadAll(io.LimitReader(in, mostKey))
	if err != nil {
		return certificate.Key{}, trouble.IO("unreadable", file, "the key cannot be read: "+verb.Reason(err), "look at the file").Because(err)
	}
	return certificate.ParseKey(file, text)
}

// priorIn is what the mill has learned from its own scans; nil when no file is named.
func priorIn(s *verb.Session, file string) (*wholeface.Prior, error) {
	if file == "" {
		return nil, nil
	}
	text, err := s.Text(file, wholeface.MostPrior)
	if err != nil {
		return nil, err
	}
	return wholeface.ParsePrior(file, bytes.TrimSpace(text))
}

// costsIn reads the mill's own ways out and prices; none where no file is named.
func costsIn(file string) (*costfile.Costs, error) {
	if file == "" {
		return nil, nil
	}
	costs, err := costfile.ReadFile(file)
	if err != nil {
		return nil, err
	}
	return &costs, nil
}
