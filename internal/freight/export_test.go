package freight

import (
	"bytes"
	"encoding/json"
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"slatewright/internal/book"
	"slatewright/trouble"
)

func export(t *testing.T, m *mill, b *store) string {
	t.Helper()
	folder := filepath.Join(t.TempDir(), "out")
	report, err := Export(t.Context(), m, b, folder, noon, nil)
	if err != nil {
		t.Fatal(err)
	}
	if report.Entries != int64(len(m.journal)) || len(report.Warnings) > 0 {
		t.Fatalf("report: %+v", report)
	}
	return folder
}

func TestExportAndImport(t *testing.T) {
	for _, n := range []int{0, 1, 1000, 2500} {
		m, blobs := filled(t, n)
		folder := export(t, m, blobs)
		m2, blobs2 := newMill(), newStore()
		report, err := ImportExport(t.Context(), folder, into(m2, blobs2, nil), nil)
		if err != nil || report.Entries != int64(n) || report.Blobs != 3 {
			t.Fatalf("%d entries: %+v, %v", n, report, err)
		}
		sameBook(t, m, m2, blobs, blobs2)
	}
}

// An exported book that was put into an empty place is exported as the same bytes, file for file.
func TestExportIsTheSameAgain(t *testing.T) {
	m, blobs := filled(t, 40)
	first := export(t, m, blobs)
	m2, blobs2 := newMill(), newStore()
	if _, err := ImportExport(t.Context(), first, into(m2, blobs2, nil), nil); err != nil {
		t.Fatal(err)
	}
	second := export(t, m2, blobs2)
	files := 0
	err := filepath.WalkDir(first, func(path string, d os.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		files++
		name, _ := filepath.Rel(first, path)
		a, _ := os.ReadFile(path)
		b, err := os.ReadFile(filepath.Join(second, name))
		if !bytes.Equal(a, b) {
			t.Errorf("%s differs", name)
		}
		return err
	})
	if err != nil || files < 8 {
		t.Errorf("%d files, %v", files, err)
	}
}

// python is the reader that knows nothing of this program.
const python = "/usr/bin/python3"

// An independent reader finds in the lists, cell for cell, what the journal says, follows the chain of hashes with its own
// SHA-256, and finds no cell that a spreadsheet would run.
const independent = `
import csv, hashlib, json, os, re, sys
folder = sys.argv[1]
entries, prev = {}, "0" * 64
with open(os.path.join(folder, "journal.jsonl"), "rb") as f:
    for n, line in enumerate(f, 1):
        e = json.loads(line)
        head, body = re.fullmatch(rb'(.*?),"hash":"[0-9a-f]{64}","body":(.*)}\n', line).groups()
        assert hashlib.sha256(head + b"}\n" + body).hexdigest() == e["hash"], n
        assert e["prev"] == prev and e["seq"] == n, n
        prev, entries[e["seq"]] = e["hash"], e
assert prev == json.load(open(os.path.join(folder, "manifest.json")))["head"]

def plain(cell):
    return cell[1:] if re.match(r"'+\s*[=+\-@\t\r\n＝＋－＠]", cell) else cell

def at(body, name):
    for part in name.split("."):
        body = body.get(part) if isinstance(body, dict) else None
    return body

def same(cell, value):
    if value is None:
        return cell == ""
    if isinstance(value, str):
        return plain(cell) == value and not re.match(r"\s*[=+\-@]", cell)
    return json.loads(cell) == value

seen = cells = 0
for name in os.listdir(os.path.join(folder, "acts")):
    with open(os.path.join(folder, "acts", name), encoding="utf-8-sig", newline="") as f:
        for row in csv.DictReader(f, strict=True):
            e = entries[int(row["seq"])]
            assert e["act"] + ".csv" == name and e["id"] == row["entry"] and e["person"] == row["person"]
            seen += 1
            for title in list(row)[9:]:
                assert same(row[title], at(e["body"], title)), (name, row["seq"], title, row[title])
                cells += 1
assert seen == len(entries)
things = 0
for name in os.listdir(os.path.join(folder, "things")):
    with open(os.path.join(folder, "things", name), encoding="utf-8-sig", newline="") as f:
        things += sum(1 for _ in csv.DictReader(f, strict=True))
print(json.dumps({"entries": seen, "cells": cells, "things": things}))
`

func TestPythonReadsAnExport(t *testing.T) {
	if _, err := exec.LookPath(python); err != nil {
		t.Skip("no python3 here")
	}
	m, blobs := filled(t, 300)
	folder := export(t, m, blobs)
	out, err := exec.Command(python, "-c", independent, folder).Output()
	var failed *exec.ExitError
	if errors.As(err, &failed) {
		t.Fatalf("%s", failed.Stderr)
	}
	if err != nil {
		t.Fatal(err)
	}
	var got struct{ Entries, Cells, Things int }
	if err := json.Unmarshal(out, &got); err != nil || got.Entries != 300 || got.Things != 100 || got.Cells < 900 {
		t.Errorf("%s %v", out, err)
	}
	// and it does find a cell that was changed
	path := filepath.Join(folder, "acts", "weigh.csv")
	text, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(path, bytes.Replace(text, []byte("90.125"), []byte("91.125"), 1), 0o600); err != nil {
		t.Fatal(err)
	}
	if err := exec.Command(python, "-c", independent, folder).Run(); err == nil {
		t.Error("a changed cell was not found")
	}
}

// The list of weighings in an export is a list of weights that can be imported.
func TestExportedWeighingsAreWeights(t *testing.T) {
	m, blobs := filled(t, 30)
	folder := export(t, m, blobs)
	o := options(Weights, filepath.Join(folder, "acts", "weigh.csv"))
	o.Now = noon.Add(24 * time.Hour)
	report, err := Import(t.Context(), m, blobs, o)
	if err != nil || report.Rows != 20 || report.Repeated != 20 || report.New != 0 || len(report.Faults)+len(report.Warnings) > 0 {
		t.Errorf("%+v %v", report, err)
	}
	text, err := os.ReadFile(o.Files[0])
	if err != nil {
		t.Fatal(err)
	}
	// a weighing that was struck is none, in whatever order the columns are by now
	if text = bytes.Replace(text, []byte(",bench,,,,"), []byte(",bench,struck,30,,"), 1); !bytes.Contains(text, []byte("struck")) {
		t.Fatalf("no row to strike:\n%s", text)
	}
	if err := os.WriteFile(o.Files[0], text, 0o600); err != nil {
		t.Fatal(err)
	}
	report, err = Import(t.Context(), newMill(), newStore(), o)
	if err != nil || report.Rows != 20 || report.New != 19 || len(report.Warnings) != 1 || !strings.HasSuffix(report.Warnings[0], "weigh.csv:2 is not taken: its standing is struck") {
		t.Errorf("%+v %v", report, err)
	}
}

// Any other list of an export is told from a list that people keep, and what to do with it is said.
func TestExportedListsAreTold(t *testing.T) {
	m, blobs := filled(t, 30)
	folder := export(t, m, blobs)
	files, err := filepath.Glob(filepath.Join(folder, "*", "*.csv"))
	if err != nil || len(files) < 3 {
		t.Fatalf("%v %v", files, err)
	}
	for _, list := range Lists() {
		for _, file := range files {
			if list == Weights && filepath.Base(file) == "weigh.csv" {
				continue
			}
			report, err := Import(t.Context(), m, blobs, options(list, file))
			if err != nil || len(report.Faults) != 1 || report.Faults[0].Code != "exported-list" || !strings.Contains(report.Faults[0].Next, "slatewright restore") {
				t.Errorf("%s as %s: %+v %v", file, list, report, err)
			}
		}
	}
}

func TestDamagedExports(t *testing.T) {
	m, blobs := filled(t, 12)
	var digest string
	for d, b := range blobs.blobs {
		if len(b) > 0 && len(b) < 100 {
			digest = d
		}
	}
	cases := map[string]struct {
		file string
		edit func(string) string // nil takes the file away
		code string
	}{
		"no manifest":      {manifestName, nil, "unreadable"},
		"no digests":       {sumsName, nil, "unreadable"},
		"no journal":       {journalName, nil, "unreadable"},
		"no blob":          {blobFolder + digest, nil, "unreadable"},
		"a blob changed":   {blobFolder + digest, func(s string) string { return s + " " }, "broken-blob"},
		"an entry changed": {journalName, func(s string) string { return strings.Replace(s, "Q-3", "Q-4", 1) }, "broken-chain"},
		"cut off":          {journalName, func(s string) string { return s[:len(s)-10] }, "bad-line"},
		"an entry less":    {journalName, func(s string) string { return s[:strings.LastIndex(s[:len(s)-1], "\n")+1] }, "cut-off"},
		"goes on":          {journalName, func(s string) string { return s + "\n" }, "bad-line"},
		"a line with CR":   {journalName, func(s string) string { return strings.Replace(s, "\n", "\r\n", 1) }, "bad-line"},
		"fewer blobs":      {sumsName, func(s string) string { return s[strings.Index(s, "\n")+1:] + s[:10] }, "bad-line"},
		"another blob":     {sumsName, func(s string) string { return strings.Replace(s, blobFolder, blobFolder+"x", 1) }, "bad-line"},
		"a newer form":     {manifestName, func(s string) string { return strings.Replace(s, `"version": 1`, `"version": 2`, 1) }, "newer-format"},
		"a long manifest":  {manifestName, func(s string) string { return s + strings.Repeat(" ", maxManifest) }, "too-large"},
	}
	for name, c := range cases {
		folder := export(t, m, blobs)
		path := filepath.Join(folder, c.file)
		text, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		os.Remove(path)
		if c.edit != nil {
			os.WriteFile(path, []byte(c.edit(string(text))), 0o600)
		}
		m2 := newMill()
		_, err = ImportExport(t.Context(), folder, into(m2, newStore(), nil), nil)
		var tr *trouble.Trouble
		if !errors.As(err, &tr) || tr.Code != c.code || tr.Next == "" || !strings.Contains(tr.Where, filepath.Base(folder)) {
			t.Errorf("%s: %s %v", name, code(err), err)
		}
		if len(m2.journal) > 0 {
			t.Errorf("%s: the place was touched", name)
		}
	}
}

func TestExportIntoAFullFolder(t *testing.T) {
	m, blobs := filled(t, 1)
	folder := t.TempDir()
	if err := os.WriteFile(filepath.Join(folder, "mine.txt"), []byte("x"), 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := Export(t.Context(), m, blobs, folder, noon, nil); code(err) != "not-empty" {
		t.Error(err)
	}
}

// What is a line is written as the very same line.
func FuzzLine(f *testing.F) {
	m, _ := filled(f, 12)
	for _, e := range m.journal {
		f.Add(bytes.TrimSuffix(lineOf(nil, e.Entry), []byte("\n")))
	}
	f.Fuzz(func(t *testing.T, line []byte) {
		e, err := readLine(line)
		if err != nil {
			return
		}
		if again := lineOf(nil, e); !bytes.Equal(again, append(bytes.Clone(line), '\n')) {
			t.Fatalf("%s\n%s", line, again)
		}
		(&chain{site: "s"}).next(e)
	})
}

func FuzzManifest(f *testing.F) {
	f.Add([]byte(`{"format":"slatewright backup","version":1,"site":"s","entries":1,"head":"` + book.Digest{}.String() + `"}`))
	f.Fuzz(func(t *testing.T, text []byte) {
		if m, err := readManifest(text); err == nil && (m.Entries < 0 || m.Version != Version) {
			t.Fatalf("%+v", m)
		}
	})
}
