package main

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"github.com/evanw/esbuild/pkg/api"
)

// entries are the scripts that a page may name. The worker stands alone: it must be one file, and it is no module.
var (
	entries = []string{"everywhere", "bench", "drilling", "facemap", "marking", "relief"}
	worker  = "sw"
)

// common is how every script is made: for browsers of 2022 and later, small, and with the notices of whose work is inside.
func common(root string) api.BuildOptions {
	return api.BuildOptions{
		AbsWorkingDir:     root,
		Bundle:            true,
		Write:             true,
		Outdir:            "dist",
		Target:            api.ES2022,
		MinifyWhitespace:  true,
		MinifyIdentifiers: true,
		MinifySyntax:      true,
		LegalComments:     api.LegalCommentsEndOfFile,
		EntryNames:        "[name]-[hash]",
		ChunkNames:        "part-[hash]",
		AssetNames:        "[name]-[hash]",
		Charset:           api.CharsetUTF8,
		PublicPath:        "/static/",
		Loader:            map[string]api.Loader{".css": api.LoaderFile},
		Metafile:          true,
		LogLevel:          api.LogLevelWarning,
	}
}

// bundle empties dist and writes it anew.
func bundle(root string) error {
	root, err := filepath.Abs(root)
	if err != nil {
		return err
	}
	if err := empty(filepath.Join(root, "dist")); err != nil {
		return err
	}
	pages := common(root)
	pages.Format, pages.Splitting = api.FormatESModule, true
	for _, name := range entries {
		pages.EntryPoints = append(pages.EntryPoints, "src/"+name+".ts")
	}
	alone := common(root)
	alone.Format, alone.EntryPoints = api.FormatIIFE, []string{"src/worker/" + worker + ".ts"}
	manifest, inside := map[string]string{}, map[string]bool{}
	made, err := build(pages)
	if err != nil {
		return err
	}
	made.addTo(manifest, inside)
	alone.Define = map[string]string{"BUILD": strconv.Quote(made.digest())}
	if made, err = build(alone); err != nil {
		return err
	}
	made.addTo(manifest, inside)
	if err := writeNotices(root, inside); err != nil {
		return err
	}
	text, err := json.MarshalIndent(manifest, "", "  ")
	if err != nil {
		return err
	}
	return os.WriteFile(filepath.Join(root, "dist", "manifest.json"), append(text, '\n'), 0o644)
}

// bundleTests makes one file for node of each test.
func bundleTests(root, out string) error {
	root, err := filepath.Abs(root)
	if err != nil {
		return err
	}
	tests, err := filepath.Glob(filepath.Join(root, "test", "*.test.ts"))
	if err != nil {
		return err
	}
	if len(tests) == 0 {
		return errors.New("there is no test in test")
	}
	options := common(root)
	options.EntryPoints, options.Outdir, options.EntryNames = tests, out, "[name]"
	options.Platform, options.Format = api.PlatformNode, api.FormatESModule
	options.OutExtension = map[string]string{".js": ".mjs"}
	options.MinifyIdentifiers, options.MinifySyntax, options.MinifyWhitespace = false, false, false
	options.Sourcemap = api.SourceMapInline
	_, err = build(options)
	return err
}

// metafile is what esbuild says of what it made.
type metafile struct {
	Outputs map[string]struct {
		EntryPoint string         `json:"entryPoint"`
		Inputs     map[string]any `json:"inputs"`
	} `json:"outputs"`
}

func build(options api.BuildOptions) (m metafile, err error) {
	result := api.Build(options)
	if len(result.Errors) > 0 {
		return m, fmt.Errorf("%d errors, the first: %s", len(result.Errors), result.Errors[0].Text)
	}
	return m, json.Unmarshal([]byte(result.Metafile), &m)
}

// addTo adds the plain names of the entries to the manifest, and the packages that are inside to the set.
func (m metafile) addTo(manifest map[string]string, inside map[string]bool) {
	for path, out := range m.Outputs {
		for input := range out.Inputs {
			if name := packageOf(input); name != "" {
				inside[name] = true
			}
		}
		if !strings.HasPrefix(out.EntryPoint, "src/") {
			continue // a shared part
		}
		plain := strings.TrimSuffix(filepath.Base(out.EntryPoint), ".ts")
		manifest[plain+".js"] = filepath.Base(path)
	}
}

// digest tells one bundle from another: the names of its files hold their digests.
func (m metafile) digest() string {
	h := sha256.New()
	for _, path := range slices.Sorted(maps.Keys(m.Outputs)) {
		fmt.Fprintln(h, path)
	}
	return hex.EncodeToString(h.Sum(nil)[:6])
}

// packageOf is the npm package that a source belongs to; empty for our own.
func packageOf(input string) string {
	_, rest, found := strings.Cut(input, "node_modules/")
	if !found {
		return ""
	}
	parts := strings.SplitN(rest, "/", 3)
	if strings.HasPrefix(parts[0], "@") && len(parts) > 1 {
		return parts[0] + "/" + parts[1]
	}
	return parts[0]
}

// empty removes what an earlier bundle wrote. What is committed there stays.
func empty(dir string) error {
	old, err := os.ReadDir(dir)
	if err != nil {
		return err
	}
	for _, f := range old {
		if f.Name() == "README.txt" || f.Name() == ".gitignore" {
			continue
		}
		if err := os.RemoveAll(filepath.Join(dir, f.Name())); err != nil {
			return err
		}
	}
	return nil
}
