// Package problem says to a web client what went wrong: RFC 9457 problem details with our code, the place and the next step,
// and the one table from codes to HTTP statuses. It does not log, and it never shows what a person outside the mill must not
// see: the cause behind a fault of the program stays with whoever logs it.
package problem

import (
	"context"
	"crypto/rand"
	"encoding/json"
	"errors"
	"net/http"
	"strings"

	"slatewright/trouble"
)

// ContentType is the media type of a problem.
const ContentType = "application/problem+json"

// Problem is the answer to a request that was not done. Programs branch on Code, which is never changed once published.
type Problem struct {
	Type      string  `json:"type" doc:"Always about:blank: the code says which problem it is" example:"about:blank"`
	Title     string  `json:"title" doc:"The words of the HTTP status" example:"Not Found"`
	Status    int     `json:"status" doc:"The HTTP status" example:"404"`
	Code      string  `json:"code" doc:"Short word for programs; never changed once published" example:"no-such-thing"`
	Detail    string  `json:"detail" doc:"What is wrong, in one sentence" example:"there is no piece QH-0101"`
	Where     string  `json:"where,omitempty" doc:"Field or parameter, or what it is about" example:"thing"`
	Next      string  `json:"next,omitempty" doc:"What to do about it" example:"look it up with GET /api/v1/things"`
	Reference string  `json:"reference,omitempty" doc:"Under which a fault of the program stands in its log"`
	Errors    []Field `json:"errors,omitempty" doc:"Each field that is not valid, when there are several"`
}

// Field is one field that is not valid.
type Field struct {
	Where  string `json:"where" example:"body.depth_mm"`
	Detail string `json:"detail" example:"expected number"`
}

// New makes a problem with the status of its code.
func New(code, where, detail, next string) *Problem {
	return with(StatusOf(code), code, where, detail, next)
}

func with(status int, code, where, detail, next string) *Problem {
	return &Problem{Type: "about:blank", Title: http.StatusText(status), Status: status, Code: code, Detail: detail, Where: where, Next: next}
}

// Of says what an error means to the client. What is nobody's trouble but our own becomes a fault: the caller logs the error
// under the fault's Reference.
func Of(err error) *Problem {
	var p *Problem
	var t *trouble.Trouble
	var large *http.MaxBytesError
	switch {
	case errors.As(err, &p):
		return p
	case errors.As(err, &t):
		return ofTrouble(t)
	case errors.As(err, &large):
		return TooLarge(large.Limit)
	case errors.Is(err, context.Canceled), errors.Is(err, context.DeadlineExceeded):
		return New("busy", "", "the answer took too long, or nobody waited for it", "try again in a moment; the same entry id may be sent again")
	default:
		return Fault()
	}
}

func ofTrouble(t *trouble.Trouble) *Problem {
	status, known := statuses[t.Code]
	if !known {
		status = kinds[t.Kind]
	}
	switch t.Kind {
	case trouble.KindOwn:
		return Fault()
	case trouble.KindIO:
		return with(status, t.Code, shownPlace(t), t.What, t.Next)
	default:
		return with(status, t.Code, t.Where, t.What, t.Next)
	}
}

// shownPlace is where a trouble of the store is, unless that is a path or an address of the server.
func shownPlace(t *trouble.Trouble) string {
	if strings.HasPrefix(t.Code, "broken-") && !strings.ContainsAny(t.Where, `/\`) {
		return t.Where
	}
	return ""
}

// Fault makes a fault of the program, with a new reference under which its cause belongs in the log.
func Fault() *Problem {
	p := New("own-fault", "", "the program made a mistake", "tell whoever looks after the program the reference; its log says more")
	p.Reference = rand.Text()
	return p
}

// Error returns "where: detail; next", leaving out what is empty.
func (p *Problem) Error() string {
	return (&trouble.Trouble{What: p.Detail, Where: p.Where, Next: p.Next}).Error()
}

// GetStatus returns the HTTP status.
func (p *Problem) GetStatus() int { return p.Status }

// ContentType returns the media type of a problem, whatever was asked for.
func (p *Problem) ContentType(string) string { return ContentType }

// Write answers a request with the problem.
func (p *Problem) Write(w http.ResponseWriter) {
	w.Header().Set("Content-Type", ContentType)
	w.WriteHeader(p.Status)
	_ = json.NewEncoder(w).Encode(p) // a client that has gone cannot be told so
}
