package problem

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"slatewright/trouble"
)

func TestTroubleBecomesAProblem(t *testing.T) {
	cause := errors.New("disk /dev/sda is on fire")
	for _, c := range []struct {
		err                error
		status             int
		code, where, whole string
	}{
		{trouble.Data("no-such-thing", "piece:A", "there is no piece A", "look it up"), 404, "no-such-thing", "piece:A", "piece:A: there is no piece A; look it up"},
		{trouble.Data("never-heard-of", "body", "no", "yes"), 422, "never-heard-of", "body", "body: no; yes"},
		{trouble.Usage("odd", "x", "no", ""), 400, "odd", "x", "x: no"},
		{trouble.IO("broken-entry", "entry 7", "it was changed", "restore it"), 500, "broken-entry", "entry 7", "entry 7: it was changed; restore it"},
		{trouble.IO("broken-book", "/var/lib/mill", "torn", ""), 500, "broken-book", "", "torn"},
		{trouble.IO("book-busy", "postgres://mill:secret@db", "busy", ""), 503, "book-busy", "", "busy"},
		{trouble.IO("disk-full", "/var/lib/mill", "the disk is full", "make room"), 507, "disk-full", "", "the disk is full; make room"},
		{fmt.Errorf("asking: %w", trouble.Data("not-allowed", "", "a hand may not do this", "")), 403, "not-allowed", "", "a hand may not do this"},
		{trouble.Own("lost", "x", "we lost it", "").Because(cause), 500, "own-fault", "", ""},
		{cause, 500, "own-fault", "", ""},
		{context.Canceled, 503, "busy", "", ""},
		{fmt.Errorf("asking: %w", context.DeadlineExceeded), 503, "busy", "", ""},
		{&http.MaxBytesError{Limit: 10}, 413, "too-large", "body", ""},
		{New("bad-json", "body", "a", "b"), 400, "bad-json", "body", "body: a; b"},
	} {
		p := Of(c.err)
		if p.Status != c.status || p.Code != c.code || p.Where != c.where || p.Title != http.StatusText(c.status) || p.Detail == "" || c.whole != "" && p.Error() != c.whole {
			t.Errorf("%v became %+v", c.err, p)
		}
		if (p.Reference != "") != (c.code == "own-fault") {
			t.Errorf("%v: reference %q", c.err, p.Reference)
		}
		if strings.Contains(p.Error(), "fire") || strings.Contains(p.Error(), "/var") {
			t.Errorf("the client sees %q", p.Error())
		}
	}
}

func TestEveryFaultHasItsOwnReference(t *testing.T) {
	if one, two := Fault(), Fault(); one.Reference == two.Reference {
		t.Error("two faults, one reference")
	}
}

// The form is that of RFC 9457, section 3: its members by name, its media type, and the status of the response.
func TestAProblemIsWritten(t *testing.T) {
	w := httptest.NewRecorder()
	New("no-such-job", "id", "there is no job", "look at the list").Write(w)
	var members map[string]any
	if err := json.Unmarshal(w.Body.Bytes(), &members); err != nil {
		t.Fatal(err)
	}
	want := map[string]any{"type": "about:blank", "title": "Not Found", "status": 404.0, "detail": "there is no job", "code": "no-such-job", "where": "id", "next": "look at the list"}
	if w.Code != 404 || w.Header().Get("Content-Type") != "application/problem+json" || fmt.Sprint(members) != fmt.Sprint(want) {
		t.Errorf("%d %s %v", w.Code, w.Header(), members)
	}
}

// No code stands twice in the table, and each that the book, its store, the gate or the queue no longer makes is taken out of it.
func TestTheTableIsTrue(t *testing.T) {
	made := codesOf(t, "../../book", "../../book/field", "../../gate", "../../jobs", "../../ledger", "../../ledger/blobs", "../../ledger/credentials",
		"../../ledger/sqlite", "../../ledger/postgres", "../../ledger/work", "../../evidence", "..", "../api", "../signin", ".")
	seen := map[string]bool{}
	for _, codes := range byStatus {
		for _, code := range codes {
			if seen[code] {
				t.Errorf("%s stands twice", code)
			}
			seen[code] = true
			if !made[code] {
				t.Errorf("nobody makes %s", code)
			}
		}
	}
}

// notOfActs are codes that the packages below make for something else than an act or a question, with what for.
var notOfActs = map[string]string{
	"half-restored": "restore", "not-empty": "restore", "no-restore": "restore",
	"bad-site": "open", "which-site": "open", "no-book": "open", "not-a-book": "open", "newer-book": "open", "older-book": "open", "book-held": "open",
	"unreadable": "open", "bad-address": "open", "only-to-read": "open", "no-bucket": "open",
	"broken-index": "check", "bad-cursor": "lists", "book-store": "our own fault", "fault": "our own fault", "bad-state": "our own fault", "no-such-condition": "our own fault",
}

// Every code that the book, its evidence or its store makes is one of an act's or the store's, or known not to be: none is left out of the
// description of the acts.
func TestEveryRefusalOfAnActIsListed(t *testing.T) {
	made := codesOf(t, "../../book", "../../book/field", "../../evidence", "../../ledger", "../../ledger/sqlite", "../../ledger/postgres", "../../ledger/blobs")
	listed := map[string]bool{}
	for _, code := range append(OfActs(), OfStore(true)...) {
		if listed[code] {
			t.Errorf("%s is listed twice", code)
		}
		listed[code] = true
		if !made[code] && code != "other-person" { // the web itself
			t.Errorf("%s is listed, and nobody makes it", code)
		}
	}
	for code := range made {
		if other := notOfActs[code] != ""; listed[code] == other {
			t.Errorf("%s: listed %t, known as something else %t", code, listed[code], other)
		}
	}
	for code := range notOfActs {
		if !made[code] {
			t.Errorf("nobody makes %s", code)
		}
	}
}

// codesOf finds the codes that packages make.
func codesOf(t *testing.T, folders ...string) map[string]bool {
	t.Helper()
	form, found := regexp.MustCompile(`(?:(?:Data|IO|Usage|Own|\sNew|problem\.New|refuse|differs)\(|Status\w+: +)"([a-z][a-z-]+)"`), map[string]bool{}
	for _, folder := range folders {
		files, err := filepath.Glob(filepath.Join(folder, "*.go"))
		if err != nil || len(files) == 0 {
			t.Fatalf("%s: %d files, %v", folder, len(files), err)
		}
		for _, file := range files {
			text, err := os.ReadFile(file)
			if err != nil {
				t.Fatal(err)
			}
			for _, code := range form.FindAllSubmatch(text, -1) {
				if !strings.HasSuffix(file, "_test.go") {
					found[string(code[1])] = true
				}
			}
		}
	}
	return found
}

func TestEveryStatusIsOne(t *testing.T) {
	if len(statuses) == 0 || len(kinds) != 4 {
		t.Fatal("the table is not whole")
	}
	for code, status := range statuses {
		if http.StatusText(status) == "" || status < 400 {
			t.Errorf("%s has the status %d", code, status)
		}
	}
}
