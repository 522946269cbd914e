package stockfile

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"strings"

	"slatewright/trouble"
)

// mostPlan is the longest plan that is read, bytes.
const mostPlan = 16 << 20

// ReadBefore reads the sets of a plan that was answered before (match --json): head, centre and foot of each. Errors are *trouble.Trouble with file and line.
func ReadBefore(name string, in io.Reader) ([][3]string, error) {
	text, err := io.ReadAll(io.LimitReader(in, mostPlan+1))
	if err != nil {
		return nil, trouble.IO("unreadable", name, "the file cannot be read: "+err.Error(), "check the file and its medium").Because(err)
	}
	bad := func(offset int64, what string) error {
		line := 1 + bytes.Count(text[:max(0, min(int(offset), len(text)))], []byte("\n"))
		return trouble.Data("bad-plan", fmt.Sprintf("%s:%d", name, line), what, "give what slatewright match --json answered")
	}
	if len(text) > mostPlan {
		return nil, bad(0, "the plan is longer than 16 MB")
	}
	var plan struct {
		Sets *[]struct{ Head, Centre, Foot string }
	}
	d := json.NewDecoder(bytes.NewReader(text))
	if err := d.Decode(&plan); err != nil {
		at := d.InputOffset()
		if wrong := new(json.SyntaxError); errors.As(err, &wrong) {
			at = wrong.Offset
		}
		if kind := new(json.UnmarshalTypeError); errors.As(err, &kind) {
			at = kind.Offset
		}
		return nil, bad(at, "this is no plan: "+err.Error())
	}
	if plan.Sets == nil {
		return nil, bad(0, "the plan has no sets")
	}
	var out [][3]string
	seen := map[string]int{}
	for i, s := range *plan.Sets {
		ids := [3]string{s.Head, s.Centre, s.Foot}
		for _, id := range ids {
			switch first := seen[id]; {
			case strings.TrimSpace(id) == "":
				return nil, bad(0, fmt.Sprintf("set %d of the plan has not three pieces", i+1))
			case first > 0:
				return nil, bad(0, fmt.Sprintf("the piece %s is in sets %d and %d of the plan", id, first, i+1))
			}
			seen[id] = i + 1
		}
		out = append(out, ids)
	}
	return out, nil
}
