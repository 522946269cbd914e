// Command gather writes the licence texts of all modules that are linked into slatewright, and of Go itself, into one file
// that the program embeds. It runs at build time (see Makefile) and needs the go command; it fetches nothing by itself.
package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"sort"
	"strings"

	"slatewright/internal/notices"
)

const program = "slatewright/cmd/slatewright"

func main() {
	if len(os.Args) != 2 {
		fail(errors.New("usage: gather FILE"))
	}
	g, err := gather()
	if err != nil {
		fail(err)
	}
	data, err := json.MarshalIndent(g, "", " ")
	if err != nil {
		fail(err)
	}
	if err := os.WriteFile(os.Args[1], append(data, '\n'), 0o666); err != nil {
		fail(err)
	}
}

func fail(err error) {
	fmt.Fprintln(os.Stderr, "gather:", err)
	os.Exit(1)
}

// gather collects the texts of the program's modules, and of Go.
func gather() (notices.Gathered, error) {
	g := notices.Gathered{}
	env, err := goCommand("env", "GOROOT", "GOVERSION")
	if err != nil {
		return nil, err
	}
	root, version, _ := strings.Cut(strings.TrimSpace(string(env)), "\n")
	if g[notices.GoName+"@"+version], err = texts(root); err != nil {
		return nil, err
	}
	dirs, err := folders()
	if err != nil {
		return nil, err
	}
	for module, folders := range dirs {
		var all []Text
		for _, dir := range folders {
			found, err := texts(dir)
			if err != nil {
				return nil, err
			}
			all = append(all, found...)
		}
		if len(all) == 0 {
			return nil, fmt.Errorf("no licence text in %s", module)
		}
		g[module] = all
	}
	return g, nil
}

// Text is a licence or notice file.
type Text = notices.Text

// folders returns, for each module linked in (as path@version), the folders that can hold a licence for what is linked: the
// module's root and every folder between it and a linked package.
func folders() (map[string][]string, error) {
	out, err := goCommand("list", "-deps", "-json=Dir,Module", program)
	if err != nil {
		return nil, err
	}
	seen, dirs := map[string]bool{}, map[string][]string{}
	for dec := json.NewDecoder(bytes.NewReader(out)); ; {
		var p struct {
			Dir    string
			Module *struct {
				Path, Version, Dir string
				Main               bool
			}
		}
		if err := dec.Decode(&p); err == io.EOF {
			break
		} else if err != nil {
			return nil, err
		}
		if p.Module == nil || p.Module.Main {
			continue
		}
		name := p.Module.Path + "@" + p.Module.Version
		for dir := p.Dir; strings.HasPrefix(dir, p.Module.Dir); dir = filepath.Dir(dir) {
			if !seen[dir] {
				seen[dir] = true
				dirs[name] = append(dirs[name], dir)
			}
		}
	}
	for _, list := range dirs {
		sort.Strings(list)
	}
	return dirs, nil
}

// texts reads the files in dir whose names say that they are a licence or a notice.
func texts(dir string) ([]Text, error) {
	entries, err := os.ReadDir(dir)
	if err != nil {
		return nil, err
	}
	var found []Text
	for _, e := range entries {
		if e.IsDir() || !isNotice(e.Name()) {
			continue
		}
		data, err := os.ReadFile(filepath.Join(dir, e.Name()))
		if err != nil {
			return nil, err
		}
		found = append(found, Text{File: e.Name(), Text: string(data)})
	}
	return found, nil
}

func isNotice(file string) bool {
	upper := strings.ToUpper(file)
	if strings.HasSuffix(upper, ".GO") {
		return false
	}
	for _, start := range []string{"LICENSE", "LICENCE", "COPYING", "NOTICE", "PATENTS"} {
		if strings.HasPrefix(upper, start) {
			return true
		}
	}
	return false
}

func goCommand(args ...string) ([]byte, error) {
	cmd := exec.Command("go", args...)
	cmd.Stderr = os.Stderr
	out, err := cmd.Output()
	if err != nil {
		return nil, fmt.Errorf("go %s: %w", strings.Join(args, " "), err)
	}
	return out, nil
}
