package problem

import "strings"

// ATime says how a time is written.
const ATime = "expected a time, as 2026-11-25T14:30:00Z"

// plainly are the framework's words that are not everybody's, by their beginning.
var plainly = []struct{ theirs, ours string }{
	{"invalid integer", "expected a whole number"}, {"invalid float", "expected a number"}, {"invalid boolean", "expected true or false"},
	{"invalid date/time", ATime}, {"expected string to be RFC 3339 date-time", ATime}, {"expected string to be RFC", "expected another form"},
	{"unexpected property", "there is no such field"}, {"request body is required", "the body is missing"}, {"expected string", "expected text"},
	{"expected array length >= ", "expected a list of at least "}, {"expected array length <= ", "expected a list of at most "},
	{"expected length >= ", "expected a length of at least "}, {"expected length <= ", "expected a length of at most "},
	{"expected array items to be unique", "expected each only once"}, {"expected array", "expected a list"}, {"expected object", "expected an object"},
	{"expected integer", "expected a whole number"}, {"expected boolean", "expected true or false"}, {"expected number >= ", "expected a number of at least "},
	{"expected number <= ", "expected a number of at most "}, {"expected number > ", "expected a number above "}, {"expected number < ", "expected a number below "},
	{"expected number", "expected a number"}, {"expected value to be one of ", "expected one of "},
}

// whole are those of plainly whose end says nothing more.
var whole = map[string]bool{ATime: true, "expected another form": true, "expected a number": true, "expected a whole number": true}

// InPlain is a field that does not fit, in plain words for those of the framework.
func InPlain(where, said string) Field {
	if name, missing := strings.CutPrefix(said, "expected required property "); missing {
		name = strings.TrimSuffix(name, " to be present")
		return Field{Where: strings.TrimPrefix(where+"."+name, "."), Detail: "this must be there"}
	}
	for _, word := range plainly {
		if rest, ok := strings.CutPrefix(said, word.theirs); ok {
			if whole[word.ours] {
				rest = ""
			}
			return Field{Where: where, Detail: word.ours + rest}
		}
	}
	return Field{Where: where, Detail: said}
}
