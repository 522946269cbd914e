package main_test

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"testing"

	"slatewright/internal/web/script"
)

// program is the path of the program as 'go build' makes it.
var program string

func TestMain(m *testing.M) {
	dir, err := os.MkdirTemp("", "slatewright")
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
	program = filepath.Join(dir, "slatewright")
	if out, err := exec.Command("go", "build", "-o", program, ".").CombinedOutput(); err != nil {
		fmt.Fprintf(os.Stderr, "go build: %v\n%s", err, out)
		os.Exit(1)
	}
	code := m.Run()
	os.RemoveAll(dir)
	os.Exit(code)
}

// status runs cmd and returns its exit status and what it wrote to standard error.
func status(t *testing.T, cmd *exec.Cmd) (int, string) {
	t.Helper()
	var errs bytes.Buffer
	cmd.Stderr = &errs
	err := cmd.Run()
	var exit *exec.ExitError
	if err != nil && !errors.As(err, &exit) {
		t.Fatal(err)
	}
	return cmd.ProcessState.ExitCode(), errs.String()
}

func TestReaderThatHasGoneIsAnOutputError(t *testing.T) {
	r, w, err := os.Pipe()
	if err != nil {
		t.Fatal(err)
	}
	r.Close()
	defer w.Close()
	cmd := exec.Command(program, "version")
	cmd.Stdout = w
	if code, errs := status(t, cmd); code != 74 || !strings.Contains(errs, "unwritable-output") {
		t.Errorf("exit status %d, want 74; stderr %q", code, errs)
	}
}

func TestFullDeviceIsAnOutputError(t *testing.T) {
	if runtime.GOOS != "linux" {
		t.Skip("only Linux has a device that is always full")
	}
	full, err := os.OpenFile("/dev/full", os.O_WRONLY, 0)
	if err != nil {
		t.Fatal(err)
	}
	defer full.Close()
	cmd := exec.Command(program, "version", "--json")
	cmd.Stdout = full
	if code, errs := status(t, cmd); code != 74 || !strings.Contains(errs, `"exit":74`) {
		t.Errorf("exit status %d, want 74; stderr %q", code, errs)
	}
}

func TestNoticesNameEveryModuleInside(t *testing.T) {
	out, err := exec.Command(program, "notices", "--json").Output()
	if err != nil {
		t.Fatal(err)
	}
	var told struct {
		Notices []struct{ Name, Version, Licence, Use string }
	}
	if err := json.Unmarshal(out, &told); err != nil {
		t.Fatal(err)
	}
	inside, err := exec.Command("go", "version", "-m", program).Output()
	if err != nil {
		t.Fatal(err)
	}
	want := map[string]string{}
	for _, line := range strings.Split(string(inside), "\n") {
		if f := strings.Fields(line); len(f) >= 3 && f[0] == "dep" {
			want[f[1]] = f[2]
		}
	}
	if len(want) == 0 {
		t.Fatal("go version -m names no module inside the program")
	}
	for _, n := range script.Notices() { // inside as text, not as modules; none without the bundle
		want[n.Name] = n.Version
	}
	for _, n := range told.Notices {
		if n.Name == "Go" {
			continue
		}
		if want[n.Name] != n.Version {
			t.Errorf("%s %s is told but not inside", n.Name, n.Version)
		}
		if n.Licence == "not recorded" || n.Use == "" {
			t.Errorf("%s is inside but not in the table of internal/notices", n.Name)
		}
		delete(want, n.Name)
	}
	for name := range want {
		t.Errorf("%s is inside but not told", name)
	}
}
