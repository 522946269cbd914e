package verb

import (
	"bytes"
	"fmt"
	"io"
	"os"
	"strings"

	"golang.org/x/term"

	"slatewright/trouble"
)

// Terminal tells whether a person can be asked: standard input is a terminal and the answer does not go to a program.
func (s *Session) Terminal() bool {
	f, ok := s.Stdin.(*os.File)
	return ok && !s.JSON && term.IsTerminal(int(f.Fd()))
}

// Ask asks a person at the terminal for one line.
func (s *Session) Ask(question string) (string, error) {
	fmt.Fprintf(s.Stderr, "%s ", question)
	line, err := s.line("standard input")
	return strings.TrimSpace(line), err
}

// mostSecret is the longest line that is read as a passphrase or an answer.
const mostSecret = 4096

// line reads up to the end of a line, byte by byte, since what comes after it may be read by another.
func (s *Session) line(shown string) (string, error) {
	var b bytes.Buffer
	one := make([]byte, 1)
	for b.Len() < mostSecret {
		n, err := s.Stdin.Read(one)
		if n == 1 && one[0] == '\n' || err == io.EOF && b.Len() > 0 {
			break
		}
		if err != nil {
			return "", trouble.IO("no-answer", shown, "the input ended before the answer", "type an answer and the enter key, or give it by a flag").Because(err)
		}
		b.Write(one[:n])
	}
	return strings.TrimSuffix(b.String(), "\r"), nil
}

// Passphrase reads the first line of a file, or of standard input when the name is "-"; without a name a person at the terminal
// is asked, and what is typed is not shown. A passphrase never comes from the command line, where others can see it.
func (s *Session) Passphrase(file, question string) (string, error) {
	if file == "-" {
		return s.line("standard input")
	}
	if file != "" {
		text, err := s.Text(file, mostSecret)
		first, _, _ := strings.Cut(string(text), "\n")
		return strings.TrimSuffix(first, "\r"), err
	}
	if !s.Terminal() {
		return "", trouble.Usage("no-passphrase", "slatewright", "a passphrase is needed, and there is no terminal to ask for it",
			"give it by --passphrase-file FILE, or - for standard input")
	}
	fmt.Fprintf(s.Stderr, "%s ", question)
	text, err := term.ReadPassword(int(s.Stdin.(*os.File).Fd()))
	fmt.Fprintln(s.Stderr)
	if err != nil {
		return "", trouble.IO("no-answer", "standard input", "the passphrase could not be read: "+Reason(err), "type it, or give it by --passphrase-file").Because(err)
	}
	return string(text), nil
}

// NewPassphrase is Passphrase for one that is set: at a terminal it is asked for twice.
func (s *Session) NewPassphrase(file, question string) (string, error) {
	first, err := s.Passphrase(file, question)
	if err != nil || file != "" {
		return first, err
	}
	second, err := s.Passphrase("", "The same once more:")
	if err == nil && first != second {
		err = trouble.Data("not-the-same", "standard input", "the two passphrases differ", "type the same one twice")
	}
	return first, err
}
