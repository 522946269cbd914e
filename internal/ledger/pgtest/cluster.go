package pgtest

import (
	"fmt"
	"io"
	"os"
	"os/exec"
	"os/user"
	"path/filepath"
	"slices"
	"strconv"
	"syscall"
	"testing"
)

// A cluster is a running PostgreSQL with its data, its socket and its log in one folder.
type cluster struct {
	folder string
	as     *syscall.Credential // who runs it; nil for ourselves
	leash  io.Closer           // closing it ends the watcher's wait
	gone   chan error          // the watcher's end
}

// program finds one of PostgreSQL's programs on the path or where Debian keeps them, newest first.
func program(name string) (string, error) {
	if path, err := exec.LookPath(name); err == nil {
		return path, nil
	}
	found, _ := filepath.Glob("/usr/lib/postgresql/*/bin/" + name)
	if len(found) == 0 {
		return "", fmt.Errorf("%s is not installed", name)
	}
	return slices.Max(found), nil
}

func need(t testing.TB) {
	t.Helper()
	if _, err := program("initdb"); err == nil {
		return
	}
	if os.Getenv("CI") != "" {
		t.Fatal("PostgreSQL is not installed (no initdb)")
	}
	t.Skip("PostgreSQL is not installed (no initdb): install it to test the book on it")
}

func newCluster() (*cluster, error) {
	// A socket's path may have 107 bytes, so a long TMPDIR cannot be used.
	folder, err := os.MkdirTemp("/tmp", "pgtest")
	if err != nil {
		return nil, err
	}
	c := &cluster{folder: folder, gone: make(chan error, 1)}
	if err := c.prepare(); err != nil {
		os.RemoveAll(folder)
		return nil, err
	}
	if err := c.watch(); err != nil {
		os.RemoveAll(folder)
		return nil, err
	}
	if err := c.start(); err != nil {
		c.remove()
		return nil, err
	}
	return c, nil
}

// prepare makes the data folder; the server refuses to be run by root, so root hands it to the user postgres.
func (c *cluster) prepare() error {
	if os.Geteuid() == 0 {
		owner, err := user.Lookup("postgres")
		if err != nil {
			return err
		}
		uid, _ := strconv.Atoi(owner.Uid)
		gid, _ := strconv.Atoi(owner.Gid)
		c.as = &syscall.Credential{Uid: uint32(uid), Gid: uint32(gid)}
		if err := os.Chown(c.folder, uid, gid); err != nil {
			return err
		}
	}
	return c.run("initdb", "-D", c.data(), "-U", "postgres", "-A", "trust", "-E", "UTF8", "--locale=C.UTF-8", "--no-sync")
}

func (c *cluster) data() string { return filepath.Join(c.folder, "data") }

func (c *cluster) start() error {
	options := "-k " + c.folder + " -c listen_addresses= -c fsync=off -c full_page_writes=off -c max_connections=200"
	return c.run("pg_ctl", "-D", c.data(), "-l", filepath.Join(c.folder, "log"), "-w", "-o", options, "start")
}

func (c *cluster) stop() error {
	return c.run("pg_ctl", "-D", c.data(), "-w", "-m", "immediate", "stop")
}

func (c *cluster) run(name string, args ...string) error {
	path, err := program(name)
	if err != nil {
		return err
	}
	// The output goes to a file: a pipe would stay open as long as the server lives.
	said, err := os.CreateTemp("", "pgtest-said")
	if err != nil {
		return err
	}
	defer os.Remove(said.Name())
	defer said.Close()
	cmd := exec.Command(path, args...)
	cmd.Dir, cmd.Stdout, cmd.Stderr = "/", said, said
	cmd.SysProcAttr = &syscall.SysProcAttr{Credential: c.as}
	if err := cmd.Run(); err != nil {
		text, _ := os.ReadFile(said.Name())
		return fmt.Errorf("%s: %w\n%s", name, err, text)
	}
	return nil
}

// watch starts the watcher: it waits for the end of its input, stops the server and removes the folder.
func (c *cluster) watch() error {
	path, err := program("pg_ctl")
	if err != nil {
		return err
	}
	cmd := exec.Command("/bin/sh", "-c", `cat >/dev/null; "$1" -D "$2/data" -m immediate stop >/dev/null 2>&1; rm -rf "$2"`,
		"sh", path, c.folder)
	cmd.Dir = "/"
	// A group of its own: an interrupt from the keyboard must not end the watcher before its work.
	cmd.SysProcAttr = &syscall.SysProcAttr{Credential: c.as, Setpgid: true}
	if c.leash, err = cmd.StdinPipe(); err != nil {
		return err
	}
	if err := cmd.Start(); err != nil {
		return err
	}
	go func() { c.gone <- cmd.Wait() }()
	return nil
}

// remove stops the server and removes the folder, by letting the watcher go.
func (c *cluster) remove() {
	c.leash.Close()
	<-c.gone
}
