package shell

import (
	"bytes"
	"embed"
	"errors"
	"fmt"
	"html/template"
	"io/fs"
	"net/url"
	"path"
	"strings"
	"sync"

	"slatewright/internal/picture/look"
	"slatewright/judge"
)

//go:embed parts
var ownParts embed.FS

// parts are the templates of every page, by name; each is the frame, the shared parts, and the page's own main part.
type parts struct {
	mu     sync.RWMutex
	base   *template.Template
	pages  map[string]*template.Template
	faults []error
}

func newParts() *parts {
	p := &parts{pages: map[string]*template.Template{}}
	base, err := template.New("frame").Funcs(functions).ParseFS(ownParts, "parts/layout.html", "parts/parts.html")
	p.base = base
	p.note(err)
	if err == nil {
		for _, own := range []string{"fault", "question", "questions"} {
			p.note(p.add(own, ownParts, "parts/"+own+".html"))
		}
	}
	return p
}

func (p *parts) note(err error) {
	if err != nil {
		p.faults = append(p.faults, err)
	}
}

func (p *parts) err() error { return errors.Join(p.faults...) }

func (p *parts) add(name string, files fs.FS, paths ...string) error {
	t, err := p.base.Clone()
	if err == nil {
		t, err = t.ParseFS(files, paths...)
	}
	if err != nil {
		return fmt.Errorf("shell: page %s: %w", name, err)
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	p.pages[name] = t
	return nil
}

// Pages takes a room's templates: each file X.html in the folder is the page room/X and defines "main"; files that begin with
// an underscore are parts that every page of the room has. A template that cannot be parsed is an error of ours.
func (s *Shell) Pages(room string, files fs.FS, folder string) error {
	entries, err := fs.ReadDir(files, folder)
	if err != nil {
		return err
	}
	var shared, own []string
	for _, e := range entries {
		if strings.HasPrefix(e.Name(), "_") {
			shared = append(shared, path.Join(folder, e.Name()))
		} else if strings.HasSuffix(e.Name(), ".html") {
			own = append(own, e.Name())
		}
	}
	for _, name := range own {
		if err := s.parts.add(room+"/"+strings.TrimSuffix(name, ".html"), files, append(shared, path.Join(folder, name))...); err != nil {
			return err
		}
	}
	return nil
}

func (p *parts) render(name, block string, data any) ([]byte, error) {
	p.mu.RLock()
	t := p.pages[name]
	p.mu.RUnlock()
	if t == nil {
		return nil, fmt.Errorf("shell: there is no page %s", name)
	}
	var b bytes.Buffer
	if err := t.ExecuteTemplate(&b, block, data); err != nil {
		return nil, fmt.Errorf("shell: page %s: %w", name, err)
	}
	return b.Bytes(), nil
}

// functions are what templates may call beside the words of their frame.
var functions = template.FuncMap{
	"mark":    mark,
	"slug":    slug,
	"segment": url.PathEscape,
	"dict":    dict,
	"link":    Link,
	"whole":   whole,
}

// mark draws a verdict's mark. It stands beside the verdict's word, so it is nothing to a reader that speaks.
func mark(verdict string) (template.HTML, error) {
	for _, v := range []judge.Verdict{judge.Conforms, judge.DoesNotConform, judge.CannotTell} {
		if v.String() == verdict {
			var b strings.Builder
			err := look.VerdictSVG(&b, v)
			return template.HTML(untitled(b.String())), err
		}
	}
	return "", nil // not judged yet
}

// untitled takes the name off a picture.
func untitled(svg string) string {
	before, rest, _ := strings.Cut(strings.Replace(svg, `role="img"`, `aria-hidden="true"`, 1), "<title>")
	_, after, _ := strings.Cut(rest, "</title>")
	return before + after
}

// slug is a verdict as it stands in keys and classes.
func slug(words string) string { return strings.ReplaceAll(words, " ", "-") }

// dict makes a map for a part that needs several things.
func dict(pairs ...any) (map[string]any, error) {
	if len(pairs)%2 != 0 {
		return nil, errors.New("dict needs pairs")
	}
	m := map[string]any{}
	for i := 0; i < len(pairs); i += 2 {
		key, ok := pairs[i].(string)
		if !ok {
			return nil, errors.New("dict needs names")
		}
		m[key] = pairs[i+1]
	}
	return m, nil
}
