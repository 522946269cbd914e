package cli_test

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"

	"slatewright/internal/cli"
)

// The scripts run the program as its own process: the test binary, started under the program's name.
func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){"slatewright": func() {
		os.Exit(cli.Run(os.Args[1:], os.Stdin, os.Stdout, os.Stderr))
	}})
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
		Cmds:                map[string]func(*testscript.TestScript, bool, []string){"exits": exits, "json": checkJSON, "secret": secret},
	})
}
