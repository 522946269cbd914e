package browser_test

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// people are those of a new mill, by what they may do.
var people = map[string]string{"saw-1": "hand", "bench-1": "inspector", "bench-2": "inspector"}

// newPractice makes a mill as a newcomer does, with the command line: its answers, its people, its key, and a route that lets a lining
// cure in no time. Then it is served, and what it works with is taken in.
func newPractice(t *testing.T) *mill {
	t.Helper()
	dir := t.TempDir()
	m := &mill{t: t, folder: filepath.Join(dir, "mill"), args: []string{"--key", filepath.Join(dir, "mill.key")}}
	secret := filepath.Join(dir, "passphrase")
	if err := os.WriteFile(secret, []byte(passphrase+"\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	m.says("init", m.folder, "--name", "Slow Lane", "--site", "slow-lane", "--flatness-state", "laid", "--lining-layout", "full", "--surfacing", "before",
		"--supports", "bench", "--lead", "lead", "--practice", "--passphrase-file", secret)
	for person, role := range people {
		m.says("person", "add", person, "--role", role, "--new-passphrase-file", secret, "--book", m.folder)
	}
	m.says("keygen", "--demo", m.args[1])
	route := m.says("route", "--book", m.folder)
	quick := regexp.MustCompile(`(needs: lining-cured\n\s+amount:) \d+`)
	if !quick.MatchString(route) {
		t.Fatalf("the route knows no curing:\n%s", route)
	}
	file := filepath.Join(dir, "route.yaml")
	if err := os.WriteFile(file, []byte(quick.ReplaceAllString(route, "$1 0.0001")), 0o600); err != nil {
		t.Fatal(err)
	}
	m.says("route", file, "--as", "lead", "--passphrase-file", secret, "--note", "for practice", "--book", m.folder)
	m.start("127.0.0.1:0")
	t.Cleanup(func() { m.stop(os.Interrupt) })
	m.equip()
	return m
}

// says runs a verb of the command line and returns what it says.
func (m *mill) says(args ...string) string {
	m.t.Helper()
	out, err := exec.Command(program, args...).Output()
	if err != nil {
		var told []byte
		if exit, ok := err.(*exec.ExitError); ok {
			told = exit.Stderr
		}
		m.t.Fatalf("slatewright %s: %v\n%s%s", strings.Join(args, " "), err, out, told)
	}
	return string(out)
}

// equip takes in what the mill works with, through the API.
func (m *mill) equip() {
	m.t.Helper()
	c := m.caller("lead")
	instrument := func(sort string) map[string]any {
		return map[string]any{"instrument": map[string]any{"sort": sort, "u_mm": 0.005, "interval_days": 365, "calibrated_at": "2026-01-05T00:00:00Z"}}
	}
	for thing, facts := range map[string]map[string]any{
		"instrument:DIAL-1": instrument("dial"), "instrument:CALIPER-1": instrument("caliper"), "bench:BENCH-1": instrument("bench"),
		"room:ROOM-1": {"room": map[string]any{"places": 30}}, "board-batch:BOARD-1": {"batch": map[string]any{"sort": "MDF moisture resistant"}},
		"glue-batch:GLUE-1": {"batch": map[string]any{"sort": "PUR"}},
	} {
		facts["thing"] = thing
		c.posts("/acts/take-in", map[string]any{"station": "office", "body": facts})
	}
	for _, thing := range []string{"instrument:DIAL-1", "instrument:CALIPER-1", "bench:BENCH-1"} {
		c.posts("/acts/calibrate", map[string]any{"station": "bench", "body": map[string]any{"thing": thing, "good": true, "due": "2099-01-01T00:00:00Z"}})
	}
}

// caller is another program that uses the mill.
type caller struct {
	m     *mill
	token string
}

func (m *mill) caller(person string) caller {
	m.t.Helper()
	c := caller{m: m}
	c.token, _ = c.posts("/session", map[string]any{"person": person, "passphrase": passphrase, "token": true})["token"].(string)
	return c
}

func (c caller) posts(path string, body any) (answer map[string]any) {
	c.m.t.Helper()
	text, err := json.Marshal(body)
	if err != nil {
		c.m.t.Fatal(err)
	}
	r, err := http.NewRequest(http.MethodPost, c.m.at+"/api/v1"+path, bytes.NewReader(text))
	if err != nil {
		c.m.t.Fatal(err)
	}
	r.Header.Set("Content-Type", "application/json")
	if c.token != "" {
		r.Header.Set("Authorization", "Bearer "+c.token)
	}
	got, err := http.DefaultClient.Do(r)
	if err != nil {
		c.m.t.Fatal(err)
	}
	defer got.Body.Close()
	if text, err = io.ReadAll(got.Body); err == nil {
		err = json.Unmarshal(text, &answer)
	}
	if err != nil || got.StatusCode >= 300 {
		c.m.t.Fatalf("%s %v: %s %s %v", path, body, got.Status, text, err)
	}
	return answer
}

// entry is one entry of the journal.
type entry struct {
	ID     string          `json:"id"`
	Person string          `json:"person"`
	Act    string          `json:"act"`
	Body   json.RawMessage `json:"body"`
}

// book is the whole journal as the command line shows it beside the running program, or of one act only.
func (m *mill) book(act string) (list []entry) {
	m.t.Helper()
	text := m.says("book", "tail", "--after", "0", "-n", "1000000", "--book", m.folder, "--json")
	var all struct {
		Entries []entry `json:"entries"`
	}
	if err := json.Unmarshal([]byte(text), &all); err != nil || len(all.Entries) == 0 {
		m.t.Fatalf("the journal is not as expected: %v: %.300s", err, text)
	}
	seen := map[string]bool{}
	for _, e := range all.Entries {
		if seen[e.ID] {
			m.t.Errorf("entry %s is there twice", e.ID)
		}
		seen[e.ID] = true
		if act == "" || e.Act == act {
			list = append(list, e)
		}
	}
	return list
}

// named are the entries whose body holds a text.
func named(list []entry, text string) (found []entry) {
	for _, e := range list {
		if bytes.Contains(e.Body, []byte(text)) {
			found = append(found, e)
		}
	}
	return found
}

// digests are the files that entries name.
func digests(m *mill, list []entry) (names []string) {
	for _, e := range list {
		var body struct{ Blob string }
		if err := json.Unmarshal(e.Body, &body); err != nil || body.Blob == "" {
			m.t.Fatalf("%s names no file: %v", e.Body, err)
		}
		names = append(names, body.Blob)
	}
	return names
}

// file is a kept file.
func (c caller) file(digest string) string {
	c.m.t.Helper()
	r, err := http.NewRequest(http.MethodGet, c.m.at+"/api/v1/blobs/"+digest, nil)
	if err != nil {
		c.m.t.Fatal(err)
	}
	r.Header.Set("Authorization", "Bearer "+c.token)
	got, err := http.DefaultClient.Do(r)
	if err != nil {
		c.m.t.Fatal(err)
	}
	defer got.Body.Close()
	text, err := io.ReadAll(got.Body)
	if err != nil || got.StatusCode != http.StatusOK {
		c.m.t.Fatal(fmt.Sprint(got.Status, err))
	}
	return string(text)
}
