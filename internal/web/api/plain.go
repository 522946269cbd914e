package api

import (
	"encoding/json"
	"errors"
	"fmt"
	"strings"

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
