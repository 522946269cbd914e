package web

import (
	"bytes"
	"encoding/json"
	"net/http"
	"strings"

	"slatewright/internal/tongue"
	"slatewright/internal/web/api"
	"slatewright/internal/web/problem"
)

// speaking has the API say what went wrong in the language that is asked for, where the sentence is known in it. The code stays as it is.
func speaking(h http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		words := tongue.In(tongue.Choose("", r.Header.Get("Accept-Language")), tongue.Metric)
		if words.Language() == tongue.English || !strings.HasPrefix(r.URL.Path, api.Base) {
			h.ServeHTTP(w, r)
			return
		}
		in := &interpreter{ResponseWriter: w, words: words}
		h.ServeHTTP(in, r)
		in.say()
	})
}

// interpreter holds a problem back until it is whole; anything else passes.
type interpreter struct {
	http.ResponseWriter
	words tongue.Words
	code  int // of a problem that is held back; 0: none
	held  bytes.Buffer
}

func (i *interpreter) WriteHeader(code int) {
	if strings.HasPrefix(i.Header().Get("Content-Type"), problem.ContentType) {
		i.code = code
		return
	}
	i.ResponseWriter.WriteHeader(code)
}

func (i *interpreter) Write(b []byte) (int, error) {
	if i.code == 0 {
		return i.ResponseWriter.Write(b)
	}
	return i.held.Write(b)
}

// Unwrap lets http.ResponseController reach the connection.
func (i *interpreter) Unwrap() http.ResponseWriter { return i.ResponseWriter }

// say sends the problem.
func (i *interpreter) say() {
	if i.code == 0 {
		return
	}
	text := i.held.Bytes()
	var p problem.Problem
	if json.Unmarshal(text, &p) == nil && p.Detail != "" {
		p.Detail, p.Next = i.words.InWords(p.Detail), i.words.InWords(p.Next)
		if said, err := json.Marshal(p); err == nil {
			text = said
			i.Header().Set("Content-Language", i.words.Language().Tag())
		}
	}
	i.Header().Del("Content-Length")
	i.ResponseWriter.WriteHeader(i.code)
	_, _ = i.ResponseWriter.Write(text) // whoever has gone cannot be told so
}
