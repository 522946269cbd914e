package tongue

import (
	"embed"
	"fmt"
	"io/fs"
	"path"
	"regexp"
	"slices"
	"strings"
	"sync"

	"go.yaml.in/yaml/v4"
)

//go:embed en pt it es zh
var files embed.FS

// form is a plural form by the name that the rules of plurals give it.
type form string

// other is the form that every language has.
const other form = "other"

// entry is what a key says: a text without plural forms stands under other alone.
type entry map[form]string

// catalogue is what a language says, by key.
type catalogue map[string]entry

// UnmarshalYAML reads a text in double quotes, or a map of plural forms to such texts.
func (e *entry) UnmarshalYAML(node *yaml.Node) error {
	if node.Kind == yaml.ScalarNode {
		text, err := quoted(node)
		*e = entry{other: text}
		return err
	}
	if node.Kind != yaml.MappingNode {
		return fmt.Errorf("line %d: a key has a text in double quotes, or plural forms", node.Line)
	}
	*e = entry{}
	for i := 0; i < len(node.Content); i += 2 {
		f := form(node.Content[i].Value)
		if _, twice := (*e)[f]; twice || !slices.Contains(forms, f) {
			return fmt.Errorf("line %d: %q is no plural form, or stands twice", node.Content[i].Line, f)
		}
		text, err := quoted(node.Content[i+1])
		if err != nil {
			return err
		}
		(*e)[f] = text
	}
	return nil
}

// quoted insists on double quotes: only they keep YAML from reading a text as a number, a remark or a map.
func quoted(node *yaml.Node) (string, error) {
	if node.Kind != yaml.ScalarNode || node.Style&yaml.DoubleQuotedStyle == 0 {
		return "", fmt.Errorf("line %d: write the text in double quotes", node.Line)
	}
	if node.Value == "" || strings.TrimSpace(node.Value) != node.Value {
		return "", fmt.Errorf("line %d: the text is empty, or begins or ends with a blank", node.Line)
	}
	return node.Value, nil
}

// goodKey is a group and a name. The name may have dots of its own.
var goodKey = regexp.MustCompile(`^[a-z][a-z-]*\.[a-z0-9][a-z0-9._-]*$`)

// read reads one file of a catalogue.
func read(name string) (catalogue, error) {
	text, err := fs.ReadFile(files, name)
	if err != nil {
		return nil, err
	}
	return parse(text)
}

// parse reads the text of one file of a catalogue.
func parse(text []byte) (catalogue, error) {
	c := catalogue{}
	if err := yaml.Unmarshal(text, &c); err != nil {
		return nil, err
	}
	for key, e := range c {
		if !goodKey.MatchString(key) {
			return nil, fmt.Errorf("%q is no key: write group.name in small letters", key)
		}
		if e[other] == "" {
			return nil, fmt.Errorf("%s: a key needs its text, and plural forms need the form other", key)
		}
	}
	return c, nil
}

// group is the part of a key before its first dot.
func group(key string) string {
	g, _, _ := strings.Cut(key, ".")
	return g
}

// load reads all files of a language.
func load(l Language) (catalogue, error) {
	list, err := fs.ReadDir(files, string(l))
	if err != nil {
		return nil, err
	}
	all, home := catalogue{}, map[string]string{}
	for _, f := range list {
		name := path.Join(string(l), f.Name())
		c, err := read(name)
		if err != nil {
			return nil, fmt.Errorf("tongue: %s: %w", name, err)
		}
		for key, e := range c {
			if at := home[group(key)]; at != "" && at != name {
				return nil, fmt.Errorf("tongue: %s: the group of %s stands in %s already", name, key, at)
			}
			home[group(key)] = name
			all[key] = e
		}
	}
	return all, nil
}

// loaded keeps each language once it was asked for.
var loaded = func() map[Language]func() catalogue {
	m := map[Language]func() catalogue{}
	for _, l := range Languages() {
		m[l] = sync.OnceValue(func() catalogue {
			c, err := load(l)
			if err != nil {
				panic(err) // the catalogues are part of the program; the tests read them all
			}
			return c
		})
	}
	return m
}()

// catalogue returns what the language of the words says.
func (w Words) catalogue() catalogue { return loaded[w.Language()]() }
