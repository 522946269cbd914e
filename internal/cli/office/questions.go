package office

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"strings"

	"go.yaml.in/yaml/v4"

	"slatewright/internal/cli/opened"
	"slatewright/internal/cli/verb"
	"slatewright/trouble"
)

// answers is what a new book is told. Its fields are the keys of a file of answers.
type answers struct {
	Name      string `yaml:"name"`
	Site      string `yaml:"site"`
	State     string `yaml:"flatness-state"`
	Lining    string `yaml:"lining-layout"`
	Surfacing string `yaml:"surfacing"`
	Supports  string `yaml:"supports"`
	Lead      string `yaml:"lead"`
	Called    string `yaml:"called"`
}

// keys are all there is to answer, in the order in which it is asked.
var keys = []string{"name", "site", "flatness-state", "lining-layout", "surfacing", "supports", "lead", "called"}

// field is the answer's place by its key.
func (a *answers) field(key string) *string {
	return map[string]*string{"name": &a.Name, "site": &a.Site, "flatness-state": &a.State, "lining-layout": &a.Lining, "surfacing": &a.Surfacing,
		"supports": &a.Supports, "lead": &a.Lead, "called": &a.Called}[key]
}

// settled is what is written down of them.
func (a *answers) settled() map[string]string {
	m := map[string]string{}
	for _, q := range opened.Questions {
		m[q.Key] = *a.field(q.Key)
	}
	return m
}

// mostAnswers is the largest file of answers that is read.
const mostAnswers = 1 << 16

// readAnswers reads a file of answers, YAML: one key and its answer on each line.
func readAnswers(name string, in io.Reader) (a answers, err error) {
	text, err := io.ReadAll(io.LimitReader(in, mostAnswers))
	if err != nil {
		return a, verb.Unreadable(name, err)
	}
	dec := yaml.NewDecoder(bytes.NewReader(text))
	dec.KnownFields(true)
	if err := dec.Decode(&a); err != nil && !errors.Is(err, io.EOF) {
		return a, trouble.Data("bad-answers", name, "the file of answers cannot be understood: "+strings.ReplaceAll(err.Error(), "\n", " "),
			"write one key and its answer on each line: "+strings.Join(keys, ", ")).Because(err)
	}
	return a, nil
}

// over lays the answers given by flags over those of a file.
func (a *answers) over(flags answers) {
	for _, key := range keys {
		if v := *flags.field(key); v != "" {
			*a.field(key) = v
		}
	}
}

// ask asks the person at the terminal for what is not answered yet.
func (a *answers) ask(s *verb.Session) error {
	if err := asked(s, &a.Name, "What is the mill called?", ""); err != nil {
		return err
	}
	if err := asked(s, &a.Site, "Short word for this site, a-z, 0-9 and -", slug(a.Name)); err != nil {
		return err
	}
	for _, q := range opened.Questions {
		if err := askFor(s, q, a.field(q.Key)); err != nil {
			return err
		}
	}
	return asked(s, &a.Lead, "Short name for the lead, who may do everything", "lead-1")
}

// asked asks once; an empty answer is the usual one.
func asked(s *verb.Session, into *string, text, usual string) (err error) {
	if *into != "" {
		return nil
	}
	if usual != "" {
		text += " [" + usual + "]"
	}
	if !strings.HasSuffix(text, "?") {
		text += ":"
	}
	if *into, err = s.Ask(text); err == nil && *into == "" {
		*into = usual
	}
	return err
}

// askFor asks until the answer is one of the words.
func askFor(s *verb.Session, q opened.Question, into *string) error {
	if *into != "" {
		return nil
	}
	fmt.Fprintf(s.Stderr, "%s\n%s", q.Asks, verb.Wrap(q.Help, "  ", "  ", verb.Width))
	for {
		if err := asked(s, into, "  "+strings.Join(q.Words, " | "), q.Words[0]); err != nil {
			return err
		}
		if complete(q, into) {
			return nil
		}
		fmt.Fprintf(s.Stderr, "  %q is none of them.\n", *into)
		*into = ""
	}
}

// complete makes an answer one of the words, of which it may be the beginning.
func complete(q opened.Question, answer *string) bool {
	for _, word := range q.Words {
		if *answer != "" && strings.HasPrefix(word, strings.ToLower(*answer)) {
			*answer = word
			return true
		}
	}
	return false
}

// check wants every answer there, and each one of its words.
func (a *answers) check() error {
	var missing []string
	for _, key := range keys {
		if *a.field(key) == "" && key != "called" {
			missing = append(missing, "--"+key)
		}
	}
	if len(missing) > 0 {
		return trouble.Usage("no-answer", "slatewright init", "the mill's own questions are not answered: "+strings.Join(missing, " "),
			"give these flags, a file by --answers, or run init at a terminal: it asks")
	}
	for _, q := range opened.Questions {
		if v := a.field(q.Key); !complete(q, v) {
			return trouble.Usage("bad-answer", "slatewright init", fmt.Sprintf("%q is no answer to: %s", *v, q.Asks), "answer one of: "+strings.Join(q.Words, ", "))
		}
	}
	return nil
}

// slug is a name as a short word.
func slug(name string) string {
	word := strings.Map(func(r rune) rune {
		switch {
		case r >= 'a' && r <= 'z', r >= '0' && r <= '9':
			return r
		}
		return '-'
	}, strings.ToLower(name))
	return strings.Join(strings.FieldsFunc(word, func(r rune) bool { return r == '-' }), "-")
}
