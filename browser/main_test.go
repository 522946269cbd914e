package browser_test

import (
	"bufio"
	"context"
	"flag"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
)

// pictures is a folder that pictures of all pages go to, for looking at them.
var pictures = flag.String("pictures", "", "folder for a picture of every page in every state")

// What is made once for all tests: the program, the invented mill's folder, and a running browser.
var (
	program  string
	demo     string
	chromium context.Context
)

func TestMain(m *testing.M) {
	flag.Parse()
	os.Exit(run(m))
}

func run(m *testing.M) int {
	dir, err := os.MkdirTemp("", "browser")
	if err == nil {
		defer os.RemoveAll(dir)
		program, demo = filepath.Join(dir, "slatewright"), filepath.Join(dir, "out")
		err = build(dir)
	}
	if err == nil {
		err = choose()
	}
	if err != nil {
		fmt.Fprintln(os.Stderr, "browser:", err)
		return 1
	}
	allocated, stop := chromedp.NewExecAllocator(context.Background(), options()...)
	defer stop()
	ctx, quit := chromedp.NewContext(allocated)
	defer quit()
	if err := chromedp.Do(ctx); err != nil {
		fmt.Fprintln(os.Stderr, "browser: Chromium does not start (make test installs it):", err)
		return 1
	}
	chromium = ctx
	return m.Run()
}

// options are how every browser here is started.
func options() []chromedp.ExecAllocatorOption {
	list := []chromedp.ExecAllocatorOption{chromedp.NoSandbox, chromedp.Headless, chromedp.DisableGPU, chromedp.NoFirstRun, chromedp.NoDefaultBrowserCheck,
		chromedp.Flag("disable-quic", true), chromedp.Flag("disable-background-networking", true), chromedp.Flag("disable-component-update", true),
		chromedp.Flag("disable-sync", true), chromedp.Flag("hide-scrollbars", true), chromedp.Flag("force-color-profile", "srgb")}
	path := os.Getenv("CHROMIUM")
	if path == "" { // the one without windows takes half the time for the same pages
		path, _ = exec.LookPath("chromium-headless-shell")
	}
	if path != "" {
		list = append(list, chromedp.ExecPath(path))
	}
	return list
}

// build makes the program as it stands, and the invented mill with it.
func build(dir string) error {
	for _, args := range [][]string{{"go", "build", "-o", program, "slatewright/cmd/slatewright"}, {program, "demo", "--out", demo}} {
		cmd := exec.Command(args[0], args[1:]...)
		if out, err := cmd.CombinedOutput(); err != nil {
			return fmt.Errorf("%s: %w\n%s", strings.Join(args, " "), err, out)
		}
	}
	return nil
}

// mill is a mill, served by the program.
type mill struct {
	t      *testing.T
	folder string
	args   []string // of serve, besides the folder and the address
	at     string   // address
	cmd    *exec.Cmd
	log    *tail
}

// newMill serves a copy of the invented mill; more are arguments of serve.
func newMill(t *testing.T, more ...string) *mill {
	t.Helper()
	m := &mill{t: t, folder: filepath.Join(t.TempDir(), "mill"), args: append([]string{"--demo"}, more...)}
	if err := os.CopyFS(m.folder, os.DirFS(filepath.Join(demo, "mill"))); err != nil {
		t.Fatal(err)
	}
	m.start("127.0.0.1:0")
	t.Cleanup(func() { m.stop(os.Interrupt) })
	return m
}

var served = regexp.MustCompile(`open at (http\S+)`)

// start starts the program and waits until it serves.
func (m *mill) start(listen string) {
	m.t.Helper()
	m.cmd = exec.Command(program, append([]string{"serve", m.folder, "--listen", listen}, m.args...)...)
	m.log = &tail{}
	m.cmd.Stderr = m.log
	out, err := m.cmd.StdoutPipe()
	if err == nil {
		err = m.cmd.Start()
	}
	if err != nil {
		m.t.Fatal(err)
	}
	for lines := bufio.NewScanner(out); lines.Scan(); {
		if found := served.FindStringSubmatch(lines.Text()); found != nil {
			m.at = found[1]
			go io.Copy(io.Discard, out) //nolint:errcheck // until the program ends
			return
		}
	}
	m.t.Fatalf("the program does not serve: %s", m.log)
}

// stop ends the program.
func (m *mill) stop(how os.Signal) {
	if m.cmd == nil {
		return
	}
	_ = m.cmd.Process.Signal(how) // it may have ended
	_ = m.cmd.Wait()
	m.cmd = nil
	if strings.Contains(m.log.String(), "panic") {
		m.t.Errorf("the program panicked: %s", m.log)
	}
}

// tail keeps what the program says.
type tail struct {
	mu   sync.Mutex
	text strings.Builder
}

func (l *tail) Write(p []byte) (int, error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.text.Write(p)
}

func (l *tail) String() string {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.text.String()
}

// patience is how long anything on a page may take here; a slow machine is not a fault.
const patience = 60 * time.Second
