package cli_test

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"
)

// built is the folder that holds the program as 'go build' makes it. The scripts run that and nothing else.
var built string

func TestMain(m *testing.M) {
	var err error
	if built, err = os.MkdirTemp("", "slatewright"); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
	out, err := exec.Command("go", "build", "-o", filepath.Join(built, "slatewright"), "slatewright/cmd/slatewright").CombinedOutput()
	if err != nil {
		fmt.Fprintf(os.Stderr, "go build: %v\n%s", err, out)
		os.Exit(1)
	}
	code := m.Run()
	os.RemoveAll(built)
	os.Exit(code)
}

func TestScripts(t *testing.T) {
	const dir = "testdata/script"
	files, err := filepath.Glob(filepath.Join(dir, "*.txtar"))
	if err != nil || len(files) == 0 {
		t.Fatalf("no scripts in %s (%v)", dir, err)
	}
	testscript.Run(t, testscript.Params{
		Dir:                 dir,
		RequireExplicitExec: true,
		RequireUniqueNames:  true,
		Setup: func(e *testscript.Env) error {
			e.Setenv("PATH", built+string(os.PathListSeparator)+e.Getenv("PATH"))
			return nil
		},
		Cmds: map[string]func(*testscript.TestScript, bool, []string){"exits": exits, "json": checkJSON, "secret": secret},
	})
}
