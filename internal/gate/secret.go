package gate

import (
	"cmp"
	"context"
	"fmt"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/unicode/norm"

	"slatewright/trouble"
)

const (
	// shortestPassphrase is what NIST SP 800-63B-4 §3.1.1.2 asks of a passphrase that is the only factor, in characters.
	shortestPassphrase = 15
	// longestPassphrase bounds what is hashed, in bytes; the same section asks for at least 64 characters.
	longestPassphrase = 1024
	// fewestLetters is how many different characters there must be: common practice, no source.
	fewestLetters = 5
	// shortestPIN and longestPIN are in digits: common practice, no source. What protects a PIN is how seldom it may be tried.
	shortestPIN = 4
	longestPIN  = 8
)

// typed is a passphrase as it is hashed: the same words, on whatever keyboard they were typed. Accents are joined with their letters, and a
// wide or unbreakable space is a space: RFC 8265 §4.2.2, mapping and normalization of an OpaqueString.
func typed(passphrase string) string {
	return norm.NFC.String(strings.Map(func(r rune) rune {
		if unicode.Is(unicode.Zs, r) {
			return ' '
		}
		return r
	}, passphrase))
}

// CheckPassphrase says whether a person may have this passphrase, in a mill of these names. What it says never repeats it.
func CheckPassphrase(person, passphrase string, names ...string) error {
	if err := checkPerson(person); err != nil {
		return err
	}
	sound := utf8.ValidString(passphrase)
	passphrase = typed(passphrase)
	switch {
	case !sound || strings.ContainsFunc(passphrase, unicode.IsControl):
		return weak("it holds characters that cannot be typed everywhere", "use letters, digits, signs and spaces")
	case utf8.RuneCountInString(passphrase) < shortestPassphrase:
		return weak("it is too short", fmt.Sprintf("use %d characters or more: four or five words that nobody would guess", shortestPassphrase))
	case len(passphrase) > longestPassphrase:
		return weak("it is too long", fmt.Sprintf("use %d bytes or fewer", longestPassphrase))
	case different(strings.ToLower(passphrase)) < fewestLetters:
		return weak("it is the same few characters again and again", "use four or five words that nobody would guess")
	case littleMore(passphrase, append(slices.Clip(names), person, "slatewright")):
		return weak("it is little more than the name of the person, the mill or the program", "use four or five words that nobody would guess")
	}
	return nil
}

func weak(what, next string) error {
	return trouble.Data("weak-passphrase", "passphrase", "this passphrase cannot be taken: "+what, next)
}

// shortestName is how long a name must be to be looked for: common practice, no source.
const shortestName = 3

// littleMore reports whether little is left of a passphrase without the names in it, however those are written.
func littleMore(passphrase string, names []string) bool {
	all := bare(passphrase)
	rest := all
	slices.SortFunc(names, func(a, b string) int { return cmp.Compare(len(b), len(a)) }) // a name may be part of another
	for _, name := range names {
		if name = bare(name); len(name) >= shortestName {
			rest = strings.ReplaceAll(rest, name, "")
		}
	}
	return rest != all && utf8.RuneCountInString(rest) < shortestPassphrase/2
}

// bare keeps the letters and digits, all of them small.
func bare(s string) string {
	return strings.Map(func(r rune) rune {
		if !unicode.IsLetter(r) && !unicode.IsDigit(r) {
			return -1
		}
		return unicode.ToLower(r)
	}, typed(s))
}

// different counts the different characters.
func different(s string) int {
	seen := map[rune]bool{}
	for _, r := range s {
		seen[r] = true
	}
	return len(seen)
}

// SetPassphrase sets a person's passphrase. Whoever was signed in by the old one is signed out, and no tablet takes the person's PIN
// until they sign in there again.
func (g *Gate) SetPassphrase(ctx context.Context, person, passphrase string) error {
	if err := CheckPassphrase(person, passphrase, g.store.Site()); err != nil {
		return err
	}
	if err := g.MayBePerson(ctx, person); err != nil {
		return err
	}
	hash, err := g.hasher.make(ctx, typed(passphrase))
	if err != nil {
		return err
	}
	if err := g.store.SetPassphrase(ctx, person, hash); err != nil {
		return err
	}
	return g.clear(ctx, "person:"+digest(person))
}

// CheckPIN says whether this can be a PIN.
func CheckPIN(pin string) error {
	const next = "use 4 to 8 digits that are not all the same and do not count up or down"
	if len(pin) < shortestPIN || len(pin) > longestPIN || strings.Trim(pin, "0123456789") != "" {
		return trouble.Data("bad-pin", "pin", "a PIN has 4 to 8 digits", next)
	}
	step := int(pin[1]) - int(pin[0])
	even := step >= -1 && step <= 1
	for i := 1; i < len(pin); i++ {
		even = even && int(pin[i])-int(pin[i-1]) == step
	}
	if even {
		return trouble.Data("bad-pin", "pin", "this PIN is the first that anybody would try", next)
	}
	return nil
}

// SetPIN sets the PIN with which a person takes over a tablet where they have signed in with the passphrase.
func (g *Gate) SetPIN(ctx context.Context, person, pin string) error {
	if err := checkPerson(person); err != nil {
		return err
	}
	if err := CheckPIN(pin); err != nil {
		return err
	}
	hash, err := g.hasher.make(ctx, pin)
	if err != nil {
		return err
	}
	return g.store.SetPIN(ctx, person, hash)
}
