// Package script holds the scripts of the mill's pages as they were bundled at build time. It serves nothing and makes no page: the
// shell does. A program built without the bundle has no scripts, and every page works without them.
package script

import (
	"embed"
	"encoding/json"
	"io/fs"
)

//go:embed dist
var dist embed.FS

// How says how to get the scripts, for a program that was built without them.
const How = "make pages"

// Prefix is the address below which the files are served.
const Prefix = "/static/"

// manifestName is the file that maps the plain name of a script or style to its file, which carries a digest of its content.
const manifestName = "manifest.json"

// files is read once: what is embedded does not change.
var files = func() map[string]string {
	text, err := dist.ReadFile("dist/" + manifestName)
	if err != nil {
		return nil // built without the bundle
	}
	var m map[string]string
	if err := json.Unmarshal(text, &m); err != nil {
		panic("script: " + manifestName + " was not written by bundle: " + err.Error())
	}
	return m
}()

// Files are the bundled files under their names with digests; a file never changes under its name. Without the bundle a short
// text stands alone in it.
func Files() fs.FS {
	sub, err := fs.Sub(dist, "dist")
	if err != nil {
		panic("script: the embedded folder is gone: " + err.Error())
	}
	return sub
}

// Have says whether the program was built with the bundle.
func Have() bool { return len(files) > 0 }

// Path returns the address of a script by its plain name, such as everywhere; empty when there is none.
func Path(name string) string { return address(name + ".js") }

// Style returns the address of the style that belongs to a script; empty when there is none.
func Style(name string) string { return address(name + ".css") }

func address(name string) string {
	if file := files[name]; file != "" {
		return Prefix + file
	}
	return ""
}

// Bundle is the package as a value, for the shell.
type Bundle struct{}

// Path is [Path].
func (Bundle) Path(name string) string { return Path(name) }

// Style is [Style].
func (Bundle) Style(name string) string { return Style(name) }

// Files is [Files].
func (Bundle) Files() fs.FS { return Files() }
