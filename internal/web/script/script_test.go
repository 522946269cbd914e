package script

import (
	"bytes"
	"compress/gzip"
	"encoding/json"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"slatewright/face"
)

// promised is the most that all scripts but the relief may weigh as they are sent: 150 kB (issue of the pages, under speed).
const promised = 150_000

// bundled is the bundle as it lies on the disk. A machine without npm has none and tests nothing of it; one with npm must have made it.
func bundled(t *testing.T) map[string]string {
	t.Helper()
	text, err := os.ReadFile("dist/manifest.json")
	if err != nil {
		if _, err := exec.LookPath("npm"); err != nil {
			t.Skip("npm is not here: there is no bundle")
		}
		t.Fatal("there is no bundle: run 'make pages'")
	}
	var m map[string]string
	if err := json.Unmarshal(text, &m); err != nil {
		t.Fatal(err)
	}
	return m
}

// reached lists a script and all that it loads, at once or later.
func reached(t *testing.T, file string, seen map[string]bool) {
	t.Helper()
	if seen[file] {
		return
	}
	seen[file] = true
	text, err := os.ReadFile("dist/" + file)
	if err != nil {
		t.Fatal(err)
	}
	for _, m := range part.FindAllStringSubmatch(string(text), -1) {
		reached(t, m[1], seen)
	}
}

// part is how a script names another file of the bundle.
var part = regexp.MustCompile(`"/static/([\w.-]+\.(?:js|css))"`)

// weight is how many bytes a file has on its way.
func weight(t *testing.T, file string) int {
	t.Helper()
	text, err := os.ReadFile("dist/" + file)
	if err != nil {
		t.Fatal(err)
	}
	var b bytes.Buffer
	w := gzip.NewWriter(&b)
	if _, err := w.Write(text); err != nil {
		t.Fatal(err)
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	return b.Len()
}

func TestAllButTheReliefIsSmall(t *testing.T) {
	m := bundled(t)
	seen := map[string]bool{}
	for name, file := range m {
		if name != "relief.js" {
			reached(t, file, seen)
		}
	}
	if len(seen) < 8 {
		t.Fatalf("only %d files were reached: %v", len(seen), seen)
	}
	total := 0
	for file := range seen {
		total += weight(t, file)
	}
	t.Logf("%d files, %d bytes compressed", len(seen), total)
	if total > promised {
		t.Errorf("all scripts but the relief weigh %d bytes compressed, more than %d", total, promised)
	}
}

func TestTheReliefStandsAlone(t *testing.T) {
	m := bundled(t)
	for name, file := range m {
		seen := map[string]bool{}
		reached(t, file, seen)
		found := false
		for f := range seen {
			text, err := os.ReadFile("dist/" + f)
			if err != nil {
				t.Fatal(err)
			}
			found = found || bytes.Contains(text, []byte("WebGLRenderer"))
		}
		if found != (name == "relief.js") {
			t.Errorf("%s: the library of the relief is inside: %v", name, found)
		}
	}
}

// Every file is reached from a script that a page can name, and every file that is named is there.
func TestManifestAndFilesAgree(t *testing.T) {
	m := bundled(t)
	for _, name := range []string{"everywhere.js", "bench.js", "drilling.js", "facemap.js", "relief.js", "sw.js"} {
		if m[name] == "" {
			t.Errorf("the manifest has no %s", name)
		}
	}
	seen := map[string]bool{"README.txt": true, ".gitignore": true, "manifest.json": true, "notices.json": true}
	for _, file := range m {
		reached(t, file, seen)
	}
	files, err := os.ReadDir("dist")
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range files {
		if !seen[f.Name()] {
			t.Errorf("nothing names %s", f.Name())
		}
	}
	worker := map[string]bool{}
	if reached(t, m["sw.js"], worker); len(worker) != 1 {
		t.Errorf("the worker must be one file: %v", worker)
	}
}

// A strict policy lets nothing run that is made of text. htmx has a way to do it, which closed.ts shuts; no other file may.
func TestNoTextRunsAsAProgram(t *testing.T) {
	m := bundled(t)
	runs := regexp.MustCompile(`\beval\(|new Function\(|setAttribute\("style"|\bon(click|load|error)="`)
	for _, planted := range []string{"x=eval(y)", "new Function(y)", `e.setAttribute("style",y)`, `<i onclick="y">`} {
		if !runs.MatchString(planted) {
			t.Errorf("%s would not be seen", planted)
		}
	}
	looked := 0
	for _, file := range m {
		seen := map[string]bool{}
		reached(t, file, seen)
		for f := range seen {
			text, err := os.ReadFile("dist/" + f)
			if err != nil {
				t.Fatal(err)
			}
			looked++
			if at := runs.FindIndex(text); at != nil {
				t.Errorf("%s: %s", f, text[max(0, at[0]-60):min(len(text), at[1]+60)])
			}
		}
	}
	if looked == 0 {
		t.Fatal("no file was looked at")
	}
}

// inside are the libraries that may be in the scripts, each with why.
var inside = map[string]string{
	"htmx.org":   "puts pieces of pages in place of others with focus and scroll kept",
	"uplot":      "draws profiles, small and fast",
	"d3-contour": "finds the contours of a map",
	"d3-array":   "used by d3-contour",
	"three":      "draws the relief, on its own page",
}

func TestEveryLibraryInsideHasItsNotice(t *testing.T) {
	bundled(t)
	text, err := os.ReadFile("dist/notices.json")
	if err != nil {
		t.Fatal(err)
	}
	var list []Notice
	if err := json.Unmarshal(text, &list); err != nil {
		t.Fatal(err)
	}
	seen := map[string]bool{}
	for _, n := range list {
		seen[n.Name] = true
		if inside[n.Name] == "" {
			t.Errorf("%s came in, and is not on the list", n.Name)
		}
		if n.Licence == "" || n.Version == "" || len(n.Text) < 100 {
			t.Errorf("%s %s has no licence: %q", n.Name, n.Version, n.Licence)
		}
	}
	for name := range inside {
		if !seen[name] {
			t.Errorf("the list has %s, and it is not inside", name)
		}
	}
}

// Without a bundle nothing is promised that is not there.
func TestWithoutABundle(t *testing.T) {
	if got := manifest(os.DirFS(t.TempDir())); got != nil {
		t.Errorf("scripts out of nothing: %v", got)
	}
	dir := t.TempDir()
	if err := os.WriteFile(filepath.Join(dir, manifestName), []byte(`{"everywhere.js": "everywhere-X.js"}`), 0o600); err != nil {
		t.Fatal(err)
	}
	if got := manifest(os.DirFS(dir))["everywhere.js"]; got != "everywhere-X.js" {
		t.Errorf("the manifest was read as %q", got)
	}
	if Path("nothing of that name") != "" {
		t.Error("a script that is not there has an address")
	}
	if Have() {
		for _, name := range []string{"everywhere", "bench", "drilling", "facemap", "relief", "sw"} {
			file, below := strings.CutPrefix(Bundle{}.Path(name), Prefix)
			if _, err := fs.Stat(Files(), file); err != nil || !below {
				t.Errorf("%s: %v", name, err)
			}
		}
		if len(Notices()) == 0 {
			t.Error("the bundle has no notices")
		}
	}
}

// The file that the bench makes is one that the mill reads. The scripts' own tests hold them to the same file.
func TestReadingsOfTheBenchAreRead(t *testing.T) {
	f, err := face.ReadFile("testdata/readings.csv")
	if err != nil {
		t.Fatal(err)
	}
	if f.Len() != 3 || f.SizeX != 914 || f.SizeY != 1473 || f.Side != face.Top || f.Support.Kind != face.SupportLines || f.Z[1] != -0.0125 {
		t.Errorf("it was read as %d readings of %g x %g, side %v, support %v, %v", f.Len(), f.SizeX, f.SizeY, f.Side, f.Support, f.Z)
	}
}

// The scripts' own tests run in node, bundled as the scripts are.
func TestScriptsOwnTests(t *testing.T) {
	bundled(t)
	node, err := exec.LookPath("node")
	if err != nil {
		t.Skip("node is not here")
	}
	dir := t.TempDir()
	if out, err := exec.Command("go", "run", "./bundle", "-tests", dir).CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	cmd := exec.Command(node, "--test", "--test-reporter=tap", dir)
	cmd.Env = append(os.Environ(), "SCRIPT_ROOT=.")
	out, err := cmd.CombinedOutput()
	if err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	passed := regexp.MustCompile(`(?m)^# pass (\d+)$`).FindSubmatch(out)
	if passed == nil || len(passed[1]) < 2 { // ten at least
		t.Errorf("few or no tests ran:\n%s", out)
	}
}

// Every word that a script says is in the catalogue, and the catalogue has no word that none says.
func TestWordsOfTheScripts(t *testing.T) {
	said := map[string]bool{}
	key := regexp.MustCompile(`"(script\.[a-z-]+)"`)
	err := filepath.WalkDir("src", func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		text, err := os.ReadFile(path)
		for _, m := range key.FindAllSubmatch(text, -1) {
			said[string(m[1])] = true
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	text, err := os.ReadFile("../../tongue/en/script.yaml")
	if err != nil {
		t.Fatal(err)
	}
	known := map[string]bool{}
	for _, m := range regexp.MustCompile(`(?m)^(script\.[a-z-]+): `).FindAllSubmatch(text, -1) {
		known[string(m[1])] = true
	}
	if len(said) == 0 || len(known) == 0 {
		t.Fatalf("%d words are said, %d are known", len(said), len(known))
	}
	for k := range said {
		if !known[k] {
			t.Errorf("a script says %s, and the catalogue does not have it", k)
		}
	}
	for k := range known {
		if !said[k] {
			t.Errorf("the catalogue has %s, and no script says it", k)
		}
	}
}

// What is fetched is exactly what was looked at, from wherever the machine gets its packages.
func TestLockIsExactAndNamesNoHost(t *testing.T) {
	text, err := os.ReadFile("package-lock.json")
	if err != nil {
		t.Fatal(err)
	}
	if bytes.Contains(text, []byte("://")) && regexp.MustCompile(`"resolved"`).Match(text) {
		t.Error("the lock file names a host")
	}
	var lock struct {
		Packages map[string]struct{ Version, Integrity string }
	}
	if err := json.Unmarshal(text, &lock); err != nil {
		t.Fatal(err)
	}
	if len(lock.Packages) < 5 {
		t.Fatalf("the lock file has %d packages", len(lock.Packages))
	}
	for name, p := range lock.Packages {
		if name != "" && (p.Integrity == "" || p.Version == "") {
			t.Errorf("%s has no digest", name)
		}
	}
	var about struct{ Dependencies, DevDependencies map[string]string }
	text, err = os.ReadFile("package.json")
	if err == nil {
		err = json.Unmarshal(text, &about)
	}
	if err != nil {
		t.Fatal(err)
	}
	exact := regexp.MustCompile(`^\d+\.\d+\.\d+$`)
	for _, deps := range []map[string]string{about.Dependencies, about.DevDependencies} {
		if len(deps) == 0 {
			t.Error("package.json names no library")
		}
		for name, version := range deps {
			if !exact.MatchString(version) {
				t.Errorf("%s: %s is not one version", name, version)
			}
		}
	}
}
