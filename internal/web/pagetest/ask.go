package pagetest

import (
	"bytes"
	"html"
	"io"
	"mime/multipart"
	"net/http"
	"net/http/httptest"
	"net/url"
	"regexp"
	"strings"
	"testing"
	"time"

	"slatewright/internal/book"
)

// Browser is somebody's browser before a handler: it keeps cookies as a tablet does. A token is shown in their place.
type Browser struct {
	Handler http.Handler
	From    string // the address that it asks from; 192.0.2.1 when empty
	Token   string
	cookies map[string]*http.Cookie
}

// SignIn lets a person in, and returns their browser. Nobody is "".
func (m *Mill) SignIn(t testing.TB, h http.Handler, person string) *Browser {
	t.Helper()
	b := &Browser{Handler: h, cookies: map[string]*http.Cookie{}}
	if person == "" {
		return b
	}
	s, err := m.Gate.SignIn(t.Context(), person, Secret, "the tablet of "+person+", a secret", "192.0.2.7")
	if err != nil {
		t.Fatal(err)
	}
	b.cookies["slatewright_session"] = &http.Cookie{Name: "slatewright_session", Value: s.Token}
	b.cookies["slatewright_tablet"] = &http.Cookie{Name: "slatewright_tablet", Value: "the tablet of " + person + ", a secret"}
	return b
}

// Machine is a machine with a token.
func (m *Mill) Machine(t testing.TB, h http.Handler, name string, role book.Role) *Browser {
	t.Helper()
	token, err := m.Gate.NewToken(t.Context(), name, role, m.Now().Add(24*time.Hour))
	if err != nil {
		t.Fatal(err)
	}
	return &Browser{Handler: h, Token: token, cookies: map[string]*http.Cookie{}}
}

// Keep puts a cookie into the browser; without a value it is forgotten.
func (b *Browser) Keep(name, value string) {
	if delete(b.cookies, name); value != "" {
		b.cookies[name] = &http.Cookie{Name: name, Value: value}
	}
}

// Cookie is the value of a cookie, "" when there is none.
func (b *Browser) Cookie(name string) string {
	if c := b.cookies[name]; c != nil {
		return c.Value
	}
	return ""
}

// Reads makes the browser's person read in a language and units.
func (b *Browser) Reads(person, language, units string) {
	b.Keep("slatewright_reader", person+"~"+language+"~"+units+"~")
}

// Do sends a request; more are headers and their values.
func (b *Browser) Do(t testing.TB, method, path, kind string, body io.Reader, more ...string) *httptest.ResponseRecorder {
	t.Helper()
	q := httptest.NewRequestWithContext(t.Context(), method, path, body)
	if q.RemoteAddr = "192.0.2.1:1234"; b.From != "" {
		q.RemoteAddr = b.From + ":1234"
	}
	if kind != "" {
		q.Header.Set("Content-Type", kind)
	}
	if b.Token != "" {
		q.Header.Set("Authorization", "Bearer "+b.Token)
	}
	for _, c := range b.cookies {
		q.AddCookie(c)
	}
	for i := 0; i+1 < len(more); i += 2 {
		q.Header.Set(more[i], more[i+1])
	}
	w := httptest.NewRecorder()
	b.Handler.ServeHTTP(w, q)
	for _, c := range w.Result().Cookies() {
		if b.Keep(c.Name, c.Value); c.MaxAge < 0 {
			delete(b.cookies, c.Name)
		}
	}
	return w
}

// Get asks for a page.
func (b *Browser) Get(t testing.TB, path string) *httptest.ResponseRecorder {
	t.Helper()
	return b.Do(t, http.MethodGet, path, "", nil)
}

// Send sends a form.
func (b *Browser) Send(t testing.TB, path string, form url.Values) *httptest.ResponseRecorder {
	t.Helper()
	return b.Do(t, http.MethodPost, path, "application/x-www-form-urlencoded", strings.NewReader(form.Encode()))
}

// SendFile sends a form with a file in the field blob.
func (b *Browser) SendFile(t testing.TB, path string, form url.Values, name string, content []byte) *httptest.ResponseRecorder {
	t.Helper()
	kind, body := WithFile(t, form, "blob", name, content)
	return b.Do(t, http.MethodPost, path, kind, body)
}

// WithFile is the body of a form with a file.
func WithFile(t testing.TB, form url.Values, field, name string, content []byte) (kind string, body io.Reader) {
	t.Helper()
	var b bytes.Buffer
	w := multipart.NewWriter(&b)
	for key := range form {
		if err := w.WriteField(key, form.Get(key)); err != nil {
			t.Fatal(err)
		}
	}
	part, err := w.CreateFormFile(field, name)
	if err == nil {
		_, err = part.Write(content)
	}
	if err == nil {
		err = w.Close()
	}
	if err != nil {
		t.Fatal(err)
	}
	return w.FormDataContentType(), &b
}

var tags = regexp.MustCompile(`<[^>]*>`)

// Text is what a page says, without its tags.
func Text(page string) string {
	return strings.Join(strings.Fields(html.UnescapeString(tags.ReplaceAllString(page, " "))), " ")
}
