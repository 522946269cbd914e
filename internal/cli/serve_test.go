package cli_test

import (
	"bufio"
	"bytes"
	"encoding/json"
	"io"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"slatewright/internal/cli"
	"slatewright/internal/ledger/pgtest"
)

// program runs the built program in a folder and returns its exit status and both outputs.
func program(t *testing.T, dir string, args ...string) (code int, stdout, stderr string) {
	t.Helper()
	var out, errs bytes.Buffer
	cmd := exec.Command(filepath.Join(built, "slatewright"), args...)
	cmd.Dir, cmd.Stdout, cmd.Stderr = dir, &out, &errs
	if err := cmd.Run(); cmd.ProcessState == nil {
		t.Fatal(err)
	}
	return cmd.ProcessState.ExitCode(), out.String(), errs.String()
}

// good runs the program and wants an answer.
func good(t *testing.T, dir string, args ...string) string {
	t.Helper()
	code, out, errs := program(t, dir, args...)
	if code != 0 {
		t.Fatalf("slatewright %s: exit status %d\n%s%s", strings.Join(args, " "), code, out, errs)
	}
	return out
}

// newMill makes a folder with a file of a passphrase, and a book at the place that the arguments name.
func newMill(t *testing.T, place ...string) (dir string) {
	t.Helper()
	dir = t.TempDir()
	if err := os.WriteFile(filepath.Join(dir, "lead.txt"), []byte("a wall of slate\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	good(t, dir, append([]string{"init", "--name", "Low Quarry", "--flatness-state", "free", "--lining-layout", "full", "--surfacing", "after",
		"--supports", "bench", "--lead", "lead-1", "--passphrase-file", "lead.txt"}, place...)...)
	return dir
}

// server is the program while it serves.
type server struct {
	cmd     *exec.Cmd
	Address string
	Book    string
	Others  []string `json:"other_addresses"`
	Root    string   `json:"root_fingerprint"`
	Trust   string
	log     *bytes.Buffer
}

// serve starts the program and waits until it says where it listens.
func serve(t *testing.T, dir string, args ...string) *server {
	t.Helper()
	s := &server{cmd: exec.Command(filepath.Join(built, "slatewright"), append([]string{"serve", "--json", "--listen", "127.0.0.1:0"}, args...)...), log: &bytes.Buffer{}}
	s.cmd.Dir, s.cmd.Stderr = dir, s.log
	out, err := s.cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := s.cmd.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { s.cmd.Process.Kill() })
	line, err := bufio.NewReader(out).ReadBytes('\n')
	if err != nil || json.Unmarshal(line, s) != nil {
		s.cmd.Wait()
		t.Fatalf("said %q, %v; log %s", line, err, s.log)
	}
	return s
}

// stop tells it to stop and wants it to end in peace.
func (s *server) stop(t *testing.T, how os.Signal) {
	t.Helper()
	if err := s.cmd.Process.Signal(how); err != nil {
		t.Fatal(err)
	}
	if err := s.cmd.Wait(); err != nil {
		t.Errorf("ended with %v; log\n%s", err, s.log)
	}
}

// get asks the server and returns the status and the body.
func (s *server) get(t *testing.T, path string) (int, string) {
	t.Helper()
	r, err := http.Get(s.Address + path)
	if err != nil {
		t.Fatal(err)
	}
	defer r.Body.Close()
	text, err := io.ReadAll(r.Body)
	if err != nil {
		t.Fatal(err)
	}
	return r.StatusCode, string(text)
}

// A folder is served by one program; others read beside it and are told who has it when they want to write.
func TestFolderIsServedAndReadBesideIt(t *testing.T) {
	dir := newMill(t, "mill")
	s := serve(t, dir, "mill")
	if status, text := s.get(t, "/api/v1/health"); status != http.StatusOK || !strings.Contains(text, cli.Version) {
		t.Errorf("%d %s", status, text)
	}
	if status, _ := s.get(t, "/api/v1/things"); status != http.StatusUnauthorized {
		t.Errorf("things without a sign-in: %d", status)
	}
	reading := [][]string{{"book", "tail"}, {"book", "show"}, {"trace", "lead-1"}, {"conflicts"}, {"person", "list"}, {"token", "list"}, {"route"},
		{"verify-journal"}, {"rebuild", "--check"}, {"backup", "b1"}, {"export", "out"}}
	for _, args := range reading {
		good(t, dir, args...)
	}
	writing := [][]string{{"person", "reset", "lead-1", "--new-passphrase-file", "lead.txt"}, {"rebuild"}, {"token", "new", "scale-1"},
		{"record", "take-in", "thing=layer:L1", "layer.thickness_mm=9", "--as", "lead-1", "--passphrase-file", "lead.txt"}, {"serve"}}
	for _, args := range writing {
		code, out, errs := program(t, dir, append(args, "--json")...)
		if code != 74 || out != "" || !strings.Contains(errs, `"code":"book-held"`) || !strings.Contains(errs, "slatewright serve at 127.0.0.1:0") {
			t.Errorf("%v: exit status %d, %s%s", args, code, out, errs)
		}
	}
	s.stop(t, syscall.SIGTERM)
	good(t, dir, "token", "new", "scale-1")
}

func TestServeWithoutABook(t *testing.T) {
	dir := t.TempDir()
	for _, args := range [][]string{{"serve"}, {"serve", "elsewhere"}, {"serve", "--demo"}} {
		if code, out, errs := program(t, dir, append(args, "--json")...); code != 74 || out != "" || !strings.Contains(errs, `"code":"no-book"`) {
			t.Errorf("%v: exit status %d, %s%s", args, code, out, errs)
		}
	}
	if code, _, errs := program(t, dir, "serve", "mill", "--database", "postgres://x"); code != 64 {
		t.Errorf("a folder and a database: exit status %d, %s", code, errs)
	}
	if code, _, errs := program(t, dir, "serve", "--database", "mysql://x"); code != 64 || !strings.Contains(errs, "postgres://") {
		t.Errorf("another database: exit status %d, %s", code, errs)
	}
}

func TestAddressInUseIsSaid(t *testing.T) {
	dir := newMill(t, "mill")
	other := newMill(t, "mill")
	s := serve(t, dir, "mill")
	code, _, errs := program(t, other, "serve", "--listen", strings.TrimPrefix(s.Address, "http://"))
	if code != 74 || !strings.Contains(errs, "cannot-listen") {
		t.Errorf("exit status %d, %s", code, errs)
	}
	s.stop(t, os.Interrupt)
}

// A journal that is followed shows what others write.
func TestTailFollows(t *testing.T) {
	dir := newMill(t, "mill")
	cmd := exec.Command(filepath.Join(built, "slatewright"), "book", "tail", "-f", "-n", "1", "--json")
	cmd.Dir = dir
	out, err := cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	defer cmd.Process.Kill()
	lines := bufio.NewScanner(out)
	for i, want := range []string{`"act":"appoint"`, `"act":"take-in"`, `"act":"survey"`} {
		switch i {
		case 1:
			good(t, dir, "record", "take-in", "thing=layer:L1", "layer.thickness_mm=9", "--as", "lead-1", "--passphrase-file", "lead.txt")
		case 2:
			good(t, dir, "record", "survey", "thing=layer:L1", "cracks=2", "--as", "lead-1", "--passphrase-file", "lead.txt")
		}
		if !lines.Scan() || !strings.Contains(lines.Text(), want) {
			t.Fatalf("line %d is %q, want %s", i, lines.Text(), want)
		}
	}
	if err := cmd.Process.Signal(os.Interrupt); err != nil {
		t.Fatal(err)
	}
	if err := cmd.Wait(); err != nil {
		t.Errorf("ended with %v", err)
	}
}

// The same verbs on PostgreSQL, where several programs serve one mill and write beside each other; and the way there from a folder.
func TestVerbsOnPostgreSQL(t *testing.T) {
	url := pgtest.Start(t)
	dir := newMill(t, "mill")
	good(t, dir, "backup", "b1")
	good(t, dir, "restore", "b1", "--database", url, "--blobs", "files")
	if a, b := good(t, dir, "verify-journal"), good(t, dir, "verify-journal", "--book", url); a != b {
		t.Errorf("the journal was %s and is %s", a, b)
	}
	if code, _, errs := program(t, dir, "serve", "--database", url); code != 64 || !strings.Contains(errs, "no-blobs") {
		t.Errorf("without a place for files: exit status %d, %s", code, errs)
	}
	first, second := serve(t, dir, "--database", url, "--blobs", "files"), serve(t, dir, "--database", url, "--blobs", "files")
	for _, s := range []*server{first, second} {
		if status, text := s.get(t, "/api/v1/health"); status != http.StatusOK {
			t.Errorf("%d %s", status, text)
		}
	}
	worker := exec.Command(filepath.Join(built, "slatewright"), "work", "--database", url, "--blobs", "files")
	worker.Dir = dir
	if err := worker.Start(); err != nil {
		t.Fatal(err)
	}
	defer worker.Process.Kill()
	good(t, dir, "record", "take-in", "thing=layer:L1", "layer.thickness_mm=9", "--as", "lead-1", "--passphrase-file", "lead.txt", "--book", url)
	good(t, dir, "rebuild", "--check", "--book", url)
	for _, s := range []*server{first, second} {
		s.stop(t, syscall.SIGTERM)
	}
	if err := worker.Process.Signal(syscall.SIGTERM); err != nil {
		t.Fatal(err)
	}
	if err := worker.Wait(); err != nil {
		t.Errorf("the worker ended with %v", err)
	}
	// A second mill in the same database has a word of its own.
	good(t, dir, "init", "--database", url, "--name", "x", "--flatness-state", "free", "--lining-layout", "full", "--surfacing", "after",
		"--supports", "bench", "--lead", "lead-1", "--passphrase-file", "lead.txt")
	if code, _, errs := program(t, dir, "book", "show", "--book", url); code == 0 || !strings.Contains(errs, "low-quarry") {
		t.Errorf("of two mills one was shown, exit status %d, %s", code, errs)
	}
	if out := good(t, dir, "book", "show", "--book", url, "--site", "x"); !strings.Contains(out, "(site x)") {
		t.Errorf("the other mill is shown as %s", out)
	}
	if code, out, errs := program(t, dir, "init", "--database", url, "--name", "x", "--site", "low-quarry", "--flatness-state", "free", "--lining-layout", "full", "--surfacing", "after",
		"--supports", "bench", "--lead", "lead-1", "--passphrase-file", "lead.txt"); code == 0 {
		t.Errorf("a second mill was made over the first: %s%s", out, errs)
	}
}
