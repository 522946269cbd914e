package certificate

import (
	"encoding/json"
	"os"
	"os/exec"
	"path/filepath"
	"reflect"
	"regexp"
	"strings"
	"testing"
)

const page = "../docs/certificate.md"

func readPage(t *testing.T) string {
	t.Helper()
	text, err := os.ReadFile(page)
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

// A stranger checks digest, key, signature and readings with the commands of the page, and finds what Seal says.
func TestPageChecksByHand(t *testing.T) {
	if testing.Short() {
		t.Skip("runs other programs, which does not depend on the processor")
	}
	blocks := regexp.MustCompile("(?s)```sh\n(.*?)```").FindAllStringSubmatch(readPage(t), -1)
	in := invented()
	in.Set = `"QH" \ 42 − x` // what must be escaped
	c := sealedBy(t, composed(t, in), testKey(t, true))
	wants := []string{c.Seal.Digest, strings.ReplaceAll(strings.TrimPrefix(c.Seal.KeyID, "demo"), "-", ""), "Signature Verified Successfully",
		c.Body.Given.Readings[0].Digest}
	if len(blocks) != len(wants) {
		t.Fatalf("the page has %d blocks of commands, and %d are checked here", len(blocks), len(wants))
	}
	dir := t.TempDir()
	for _, lineEnd := range []string{"\n", "\r\n"} {
		text := strings.ReplaceAll(written(t, c), "\n", lineEnd)
		if err := os.WriteFile(filepath.Join(dir, "certificate.json"), []byte(text), 0o666); err != nil {
			t.Fatal(err)
		}
		script := "set -e\n"
		for i, block := range blocks {
			script += block[1]
			if tool := missing(block[1]); tool != "" {
				t.Logf("%s is not here: block %d was not run", tool, i+1)
				script = strings.TrimSuffix(script, block[1])
				continue
			}
			cmd := exec.Command("sh", "-c", script)
			cmd.Dir = dir
			out, err := cmd.CombinedOutput()
			if err != nil || !strings.Contains(string(out), wants[i]) {
				t.Errorf("block %d, line ends %q: %v, want %q\n%s", i+1, lineEnd, err, wants[i], out)
			}
		}
		// And what was changed does not pass.
		changed := strings.Replace(text, `"verdict":"`, `"verdict":"n`, 1)
		if err := os.WriteFile(filepath.Join(dir, "certificate.json"), []byte(changed), 0o666); err != nil {
			t.Fatal(err)
		}
		cmd := exec.Command("sh", "-c", script)
		cmd.Dir = dir
		if out, err := cmd.CombinedOutput(); missing(script) == "" && strings.Contains(script, "openssl") && (err == nil || strings.Contains(string(out), wants[0])) {
			t.Errorf("changed, it passes: %v\n%s", err, out)
		}
	}
}

// missing is the first program of a script that is not installed.
func missing(script string) string {
	for _, tool := range []string{"sha256sum", "base64", "openssl", "jq"} {
		if _, err := exec.LookPath(tool); err != nil && strings.Contains(script, tool) {
			return tool
		}
	}
	return ""
}

// The page names every field of the body, what was found, what was given, and the seal; and no other.
func TestPageNamesEveryField(t *testing.T) {
	text := readPage(t)
	for _, part := range []struct {
		name string
		kind any
	}{{"body", Body{}}, {"found", Found{}}, {"given", Given{}}, {"seal", Seal{}}} {
		_, table, ok := strings.Cut(text, "| in `"+part.name+"` | meaning |\n|---|---|\n")
		if !ok {
			t.Fatalf("the page has no table of %s", part.name)
		}
		table, _, _ = strings.Cut(table, "\n\n")
		var told []string
		for line := range strings.SplitSeq(table, "\n") {
			cell, _, _ := strings.Cut(strings.TrimPrefix(line, "| "), " | ")
			for _, name := range regexp.MustCompile("`([a-z0-9_]+)`").FindAllStringSubmatch(cell, -1) {
				told = append(told, name[1])
			}
		}
		if want := fieldNames(t, part.kind); !reflect.DeepEqual(told, want) {
			t.Errorf("%s: the page tells %q, and the fields are %q", part.name, told, want)
		}
	}
}

// fieldNames lists the fields of v in the order in which they are written.
func fieldNames(t *testing.T, v any) (names []string) {
	t.Helper()
	text, err := encode(v)
	if err != nil {
		t.Fatal(err)
	}
	d := json.NewDecoder(strings.NewReader(string(text)))
	if _, err := d.Token(); err != nil {
		t.Fatal(err)
	}
	for d.More() {
		name, err := d.Token()
		if err != nil {
			t.Fatal(err)
		}
		names = append(names, name.(string))
		var skipped json.RawMessage
		if err := d.Decode(&skipped); err != nil {
			t.Fatal(err)
		}
	}
	return names
}
