package office

import (
	"bytes"
	"errors"
	"html/template"
	"io"
	"net/http"
	"strings"
	"sync"
	"time"

	"slatewright/certificate"
	"slatewright/internal/book"
	"slatewright/internal/measured"
	"slatewright/internal/tongue"
	"slatewright/internal/web/office/checked"
	"slatewright/internal/web/problem"
	"slatewright/internal/web/shell"
	"slatewright/internal/web/signin"
	"slatewright/trouble"
)

// Printer prints the sealed certificate that has a number as PDF, in the words of its reader.
type Printer func(string, certificate.Certificate, tongue.Words) ([]byte, error)

// proofs are what the public pages of certificates rest on.
type proofs struct {
	print   Printer
	clock   func() time.Time
	checked checked.Certificates
	mu      sync.Mutex
	misses  map[string]*missed
}

// missed counts who asked for certificates that are not there.
type missed struct {
	count int
	since time.Time
}

// Who asks for too many numbers that are not there has to wait: numbers cannot be tried out. Common practice, no source.
const (
	mostMisses  = 20
	missesLast  = 10 * time.Minute
	mostSources = 10_000
)

// miss counts a miss and says whether it is one too many.
func (p *proofs) miss(from string) bool {
	p.mu.Lock()
	defer p.mu.Unlock()
	if len(p.misses) >= mostSources {
		clear(p.misses)
	}
	m := p.misses[from]
	if m == nil || p.clock().Sub(m.since) > missesLast {
		m = &missed{since: p.clock()}
		p.misses[from] = m
	}
	m.count++
	return m.count > mostMisses
}

// shut tells whether somebody has to wait.
func (p *proofs) shut(from string) bool {
	p.mu.Lock()
	defer p.mu.Unlock()
	m := p.misses[from]
	return m != nil && m.count > mostMisses && p.clock().Sub(m.since) <= missesLast
}

// paper is the public page of a certificate.
type paper struct {
	Number   string
	Set      string
	Verdict  string
	Mill     string
	Issued   string
	DateCode string
	Basis    string
	Pieces   []string
	Results  []result
	Picture  template.HTML
	Digest   string
	Key      string
	Demo     bool
	State    string // checking, holds, broken
	Report   certificate.Report
	Newer    string // the certificate that the set has now, when it is another
	Changed  string // what was done to the set since, when its verdict does not hold any more
	Print    bool
}

// result is one limit of a certificate.
type result struct {
	Name, Value, U, Limit, Verdict string
	Picture                        template.HTML
}

// sealed reads the certificate that the address names.
func (p *proofs) sealed(v *shell.Visit) (t book.Thing, s *book.CertificateState, text []byte, err error) {
	from := signin.From(v.R)
	if v.Sender.Person == "" && p.shut(from) {
		return t, nil, nil, problem.New("too-many", "", v.Say("office.too-many"), v.Say("office.too-many-next"))
	}
	t, state, err := v.Thing(book.KindCertificate, v.R.PathValue("number"))
	if err != nil {
		if v.Sender.Person == "" {
			p.miss(from)
		}
		return t, nil, nil, err
	}
	s = state.(*book.CertificateState)
	text, err = whole(v, s.Blob)
	if tr := (*trouble.Trouble)(nil); errors.As(err, &tr) && tr.Code == "broken-blob" {
		v.Log.Error("the file of a certificate is not what was sealed", "certificate", t.ID, "cause", err)
		err = problem.New("broken-blob", "", v.Say("office.proof-broken"), v.Say("office.proof-damaged"))
	}
	return t, s, text, err
}

// whole reads the file of a certificate.
func whole(v *shell.Visit, digest string) ([]byte, error) {
	in, _, err := v.Blobs.Open(v.R.Context(), digest)
	if err != nil {
		return nil, err
	}
	defer in.Close()
	return io.ReadAll(io.LimitReader(in, certificate.MaxSize))
}

func (p *proofs) show(v *shell.Visit) error {
	t, s, text, err := p.sealed(v)
	if err != nil {
		return err
	}
	c, err := certificate.Parse(t.ID, text)
	if err != nil {
		return err
	}
	page := paper{Number: t.ID, Set: c.Body.Set, Verdict: c.Body.Found.Verdict, Mill: c.Body.Mill, Issued: c.Body.Issued, DateCode: c.Body.DateCode, Basis: basisOf(v, c.Body.Found.Basis),
		Digest: c.Seal.Digest, Key: c.Seal.KeyID, Demo: c.Body.Demo(), State: "checking"}
	for _, x := range c.Body.Found.Pieces {
		page.Pieces = append(page.Pieces, x.Piece)
	}
	for _, x := range c.Body.Found.Results {
		page.Results = append(page.Results, resultOf(v, x))
	}
	page.Print = p.print != nil
	page.Newer, page.Changed = since(v, t.ID, s)
	if page.Picture, err = pictureOf(v, c.Body); err != nil {
		return err
	}
	check := p.checked.Of(s.Blob, text)
	select {
	case <-check.Done():
		if page.Report, err = check.Report(); err != nil {
			return err
		}
		if page.State = "broken"; page.Report.OK() {
			page.State = "holds"
		}
	default:
		v.W.Header().Set("Refresh", "2")
	}
	return v.Show(shell.Page{Name: "office/certificate", Title: v.Say("office.certificate-of", "set", page.Set), Data: page})
}

// since tells what the book has of a certificate's set that came later: the certificate says what was true on its day.
func since(v *shell.Visit, number string, c *book.CertificateState) (newer, changed string) {
	_, state, err := v.Thing(book.KindSet, c.Set)
	if err != nil {
		return "", "" // it was taken back; the certificate stands for itself
	}
	set := state.(*book.SetState)
	if set.Certificate != "" && set.Certificate != number {
		newer = set.Certificate
	}
	if set.Stale != "" {
		changed = set.Stale
	}
	return newer, changed
}

func resultOf(v *shell.Visit, x certificate.Result) result {
	r := result{Name: v.Say("stone.limit-" + x.Name), Verdict: x.Verdict}
	value, u, limit := x.Value.Float64(), x.U.Float64(), x.Limit.Float64()
	r.Value, r.Limit = v.Both(value), v.Both(limit)
	r.U = v.Say("office.give-or-take", "u_mm", 2*u)
	if x.Name != "thickness" {
		r.Picture = shell.Interval{Value: value, Low: max(0, value-2*u), High: value + 2*u, Limit: limit}.Picture(v.Words)
	} else {
		r.Limit = v.Say("stone.at-least", "limit", v.BothSizes(limit))
	}
	return r
}

// basisOf says what the verdict rests on.
func basisOf(v *shell.Visit, basis string) string {
	switch basis {
	case certificate.BasisPredicted:
		return v.Say("paper.predicted")
	case certificate.BasisLaidUp:
		return v.Say("paper.laid-up-and-measured")
	}
	return basis
}

func pictureOf(v *shell.Visit, b certificate.Body) (template.HTML, error) {
	m, err := measured.BedPicture(b)
	if err != nil {
		return "", err
	}
	m.Words, m.Title = v.Words, v.Say("map.set", "set", b.Set)
	var svg bytes.Buffer
	err = m.SVG(&svg)
	return template.HTML(svg.String()), err //nolint:gosec // drawn here, words escaped
}

// json gives the certificate as it was sealed.
func (p *proofs) json(v *shell.Visit) error {
	t, _, text, err := p.sealed(v)
	if err != nil {
		return err
	}
	v.W.Header().Set("Content-Type", "application/json")
	v.W.Header().Set("Content-Disposition", `attachment; filename="`+fileName(t.ID)+`.json"`)
	http.ServeContent(v.W, v.R, "", time.Time{}, bytes.NewReader(text))
	return nil
}

// pdf gives its print.
func (p *proofs) pdf(v *shell.Visit) error {
	t, _, text, err := p.sealed(v)
	if err != nil {
		return err
	}
	c, err := certificate.Parse(t.ID, text)
	if err != nil {
		return err
	}
	if p.print == nil {
		return problem.New("no-such-path", "", v.Say("shell.no-such-page"), v.Say("shell.no-such-page-next"))
	}
	print, err := p.print(t.ID, c, v.Words)
	if err != nil {
		return err
	}
	v.W.Header().Set("Content-Type", "application/pdf")
	v.W.Header().Set("Content-Disposition", `attachment; filename="`+fileName(t.ID)+`.pdf"`)
	http.ServeContent(v.W, v.R, "", time.Time{}, bytes.NewReader(print))
	return nil
}

// fileName keeps what every system takes in the name of a file.
func fileName(number string) string { return strings.ReplaceAll(number, "/", "-") }
