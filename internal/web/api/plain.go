package api

import (
	"encoding/json"
	"errors"
	"fmt"
	"strings"

	"slatewright/internal/web/problem"
	"slatewright/trouble"
)

// read reads JSON, and says in plain words what does not fit and where. It never repeats what came in: that may be a passphrase.
func read(text []byte, into any) error {
	err := json.Unmarshal(text, into)
	var ours *trouble.Trouble
	var form *json.SyntaxError
	var kind *json.UnmarshalTypeError
	switch {
	case err == nil || errors.As(err, &ours):
		return err
	case errors.As(err, &form) && form.Error() == "unexpected end of JSON input":
		return errors.New("the JSON breaks off before its end")
	case errors.As(err, &form):
		line := 1 + strings.Count(string(text[:form.Offset]), "\n")
		return fmt.Errorf("this is no JSON: look at character %d, in line %d", form.Offset, line)
	case errors.As(err, &kind) && strings.HasPrefix(kind.Value, "number "):
		return errors.New("a number is larger or smaller than can be kept")
	case errors.As(err, &kind):
		return fmt.Errorf("%s is expected, and here is %s", expected(kind), withArticle(kind.Value))
	}
	return errors.New("this cannot be read")
}

func expected(e *json.UnmarshalTypeError) string {
	switch e.Type.Kind().String() {
	case "string":
		return "text"
	case "bool":
		return "true or false"
	case "slice", "array":
		return "a list"
	case "struct", "map":
		return "an object"
	}
	return "a number"
}

func withArticle(value string) string {
	switch value {
	case "string":
		return "text"
	case "array":
		return "a list"
	case "object":
		return "an object"
	case "bool":
		return "true or false"
	}
	return "a " + value
}

// notValid is the problem of a value that is not as it must be.
func notValid(where, what string) error {
	return trouble.Data("not-valid", where, what, "see the route in /api/v1/openapi.json")
}

const aTime = "expected a time, as 2026-11-25T14:30:00Z"

// plainly are the framework's words that are not everybody's, by their beginning.
var plainly = []struct{ theirs, ours string }{
	{"invalid integer", "expected a whole number"}, {"invalid float", "expected a number"}, {"invalid boolean", "expected true or false"},
	{"invalid date/time", aTime}, {"expected string to be RFC 3339 date-time", aTime}, {"expected string to be RFC", "expected another form"},
	{"unexpected property", "there is no such field"}, {"request body is required", "the body is missing"}, {"expected string", "expected text"},
	{"expected array length >= ", "expected a list of at least "}, {"expected array length <= ", "expected a list of at most "},
	{"expected length >= ", "expected a length of at least "}, {"expected length <= ", "expected a length of at most "},
	{"expected array items to be unique", "expected each only once"}, {"expected array", "expected a list"}, {"expected object", "expected an object"},
	{"expected integer", "expected a whole number"}, {"expected boolean", "expected true or false"}, {"expected number >= ", "expected a number of at least "},
	{"expected number <= ", "expected a number of at most "}, {"expected number > ", "expected a number above "}, {"expected number < ", "expected a number below "},
	{"expected number", "expected a number"}, {"expected value to be one of ", "expected one of "},
}

// whole are those of plainly whose end says nothing more.
var whole = map[string]bool{aTime: true, "expected another form": true, "expected a number": true, "expected a whole number": true}

// inPlain is a field that does not fit, in plain words.
func inPlain(where, said string) problem.Field {
	if name, missing := strings.CutPrefix(said, "expected required property "); missing {
		name = strings.TrimSuffix(name, " to be present")
		return problem.Field{Where: strings.TrimPrefix(where+"."+name, "."), Detail: "this must be there"}
	}
	for _, word := range plainly {
		if rest, ok := strings.CutPrefix(said, word.theirs); ok {
			if whole[word.ours] {
				rest = ""
			}
			return problem.Field{Where: where, Detail: word.ours + rest}
		}
	}
	return problem.Field{Where: where, Detail: said}
}
