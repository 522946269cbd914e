package marks

import (
	"regexp"
	"strings"

	"slatewright/bed"
)

// A code is parted by points: the form's name, how long the piece's number is, that number, the set's, place with joint and letter, and two characters that
// hold the rest against slips. A point comes through where a code reader is set to another keyboard than the tablet, as most signs do not; and it presses no
// button that has the focus, as a blank would.
//
//	M1.07.QH-P003.QH-0007.C2B.8V
const form = "M1"

// places are the letters of the places in a code.
const places = "HCF"

// signs are those of which the check is made: none of them can be taken for another.
const signs = "ABCDEFGHJKLMNPQRSTUVWXYZ23456789"

// checkBase is a prime: with it no single wrong character and no two that changed places escape.
const checkBase = 1021

// Code is what stands in the mark's QR code.
func (m Mark) Code() string {
	long := string([]byte{'0' + byte(len(m.Piece)/10%10), '0' + byte(len(m.Piece)%10)})
	text := strings.Join([]string{form, long, m.Piece, m.Set, string(places[m.Place]) + string(rune('0'+m.Joint)) + m.Letter}, ".")
	return text + "." + check(text)
}

// check is made of a code whatever the case of its letters.
func check(text string) string {
	sum := 0
	for _, c := range []byte(strings.ToUpper(text)) {
		sum = (sum*37 + int(c)) % checkBase
	}
	return string(signs[sum/len(signs)]) + string(signs[sum%len(signs)])
}

// Kind is what a text that was scanned or typed is.
type Kind string

// The kinds. A text that may be a number is one only when the book has it.
const (
	IsMark        Kind = "mark"
	IsNumber      Kind = "number"      // it may be the number of a piece, typed by hand
	IsLetter      Kind = "letter"      // the letter of a joint, without its code
	IsCertificate Kind = "certificate" // the code or the address on a certificate
	IsAddress     Kind = "address"     // an address of something else
	IsSpoilt      Kind = "spoilt"      // a mark that came through changed
	IsNewer       Kind = "newer"       // a mark of a form that this program does not know
	IsNothing     Kind = "nothing"     // no code of ours
)

// Text is what was scanned or typed, and what it is.
type Text struct {
	Text string
	Kind Kind
	Mark Mark   // of a mark
	Of   string // the number: typed, or of the certificate
}

var (
	spot   = regexp.MustCompile(`(?i)^(.+)\.(H1|C1|C2|F2)([A-Z])\.(..)$`)
	named  = regexp.MustCompile(`^[A-Za-z0-9](?:[A-Za-z0-9._/-]{0,38}[A-Za-z0-9])?$`)
	letter = regexp.MustCompile(`^(?:[A-Za-z]\s*\|?\s*)?[A-Za-z]$`)
	ours   = regexp.MustCompile(`(?i)^M[0-9]\.[0-9]{2}\.`)
	sealed = regexp.MustCompile(`(?i)^set: ?(\S*)`)          // the first line of a certificate's code …
	digest = regexp.MustCompile(`(?i)^sha256: ?[0-9a-f]{8}`) // … and its second, where a reader sends line by line
)

// longest is how much of a text is looked at.
const longest = 500

// Read tells what a text is. Blanks about it and between its words, and the case of letters, do not matter.
func Read(text string) Text {
	text = text[:min(len(text), longest)]
	whole := strings.TrimSpace(text)
	words := strings.Fields(whole)
	r := Text{Text: strings.Join(words, " "), Kind: IsNothing}
	switch {
	case ours.MatchString(r.Text) && !strings.EqualFold(r.Text[:len(form)], form):
		r.Kind = IsNewer
	case ours.MatchString(r.Text):
		r.Kind = IsSpoilt
		if m, ok := readMark(strings.Join(words, "")); ok {
			r.Kind, r.Mark, r.Of = IsMark, m, m.Piece
		}
	case letter.MatchString(r.Text):
		r.Kind = IsLetter
	case sealed.MatchString(whole):
		r.Kind, r.Of = IsCertificate, sealed.FindStringSubmatch(whole)[1]
	case digest.MatchString(whole):
		r.Kind = IsCertificate
	case strings.Contains(r.Text, "://"):
		r.Kind, r.Of = address(r.Text)
	case named.MatchString(r.Text):
		r.Kind, r.Of = IsNumber, r.Text
	}
	return r
}

// readMark reads a code without blanks, which begins as one of ours.
func readMark(code string) (m Mark, ok bool) {
	at := spot.FindStringSubmatch(code)
	if at == nil || !strings.EqualFold(check(code[:len(code)-3]), at[4]) {
		return m, false
	}
	const begins = len(form) + len(".07.")
	numbers, long := code[begins:len(at[1])], int(10*(code[3]-'0')+code[4]-'0')
	if long+1 >= len(numbers) || numbers[long] != '.' || !named.MatchString(numbers[:long]) || !named.MatchString(numbers[long+1:]) {
		return m, false
	}
	spot := strings.ToUpper(at[2])
	return Mark{numbers[:long], numbers[long+1:], bed.Place(strings.IndexByte(places, spot[0])), Joint(spot[1] - '0'), strings.ToUpper(at[3])}, true
}

// address is an address's kind: a certificate's page leads to it by …/certificate/NUMBER; a piece's page gives its number.
func address(text string) (Kind, string) {
	if end := strings.IndexAny(text, "?#"); end >= 0 {
		text = text[:end]
	}
	parts := strings.Split(strings.TrimRight(text, "/"), "/")
	if len(parts) < 2 {
		return IsAddress, ""
	}
	switch last := parts[len(parts)-1]; {
	case !named.MatchString(last):
	case parts[len(parts)-2] == "certificate":
		return IsCertificate, last
	case parts[len(parts)-2] == "piece":
		return IsNumber, last
	}
	return IsAddress, ""
}

// Split parts codes that came in one go, as a reader sends them that puts no Enter behind a code, or a paste of several lines.
func Split(text string) (texts []string) {
	if sealed.MatchString(text) {
		return []string{text}
	}
	for _, line := range strings.FieldsFunc(text, func(r rune) bool { return r == '\n' || r == '\r' || r == '\t' || r == ';' || r == ',' }) {
		begins := again.FindAllStringIndex(line, -1)
		from := 0
		for _, b := range begins {
			if at := b[0]; at > from && strings.TrimSpace(line[from:at]) != "" {
				texts, from = append(texts, strings.TrimSpace(line[from:at])), at
			}
		}
		if rest := strings.TrimSpace(line[from:]); rest != "" {
			texts = append(texts, rest)
		}
	}
	return texts
}

// again finds where a mark begins within a text.
var again = regexp.MustCompile(`(?i)M1\.[0-9]{2}\.`)

// Numbered tells whether a text can be the number of a piece or set, as the book takes them: up to 40 letters, digits and . _ / - between them.
func Numbered(text string) bool { return named.MatchString(text) }
