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

// manifestName is the file that maps the plain name of a script to its file, which carries a digest of its content.
const manifestName = "manifest.json"

// files and notices are read once: what is embedded does not change.
var (
	files   = manifest(Files())
	notices = readNotices(Files())
)

// manifest reads which file belongs to which name; nil when there is no bundle.
func manifest(from fs.FS) (m map[string]string) {
	readMade(from, manifestName, &m)
	return m
}

// readMade reads a file that the bundler made, if it is there.
func readMade(from fs.FS, name string, into any) {
	text, err := fs.ReadFile(from, name)
	if err != nil {
		return // built without the bundle
	}
	if err := json.Unmarshal(text, into); err != nil {
		panic("script: " + name + " was not written by bundle: " + err.Error())
	}
}

// Notice is one third party's part in the scripts.
type Notice struct {
	Name    string `json:"name"`
	Version string `json:"version"`
	Licence string `json:"licence"`
	Text    string `json:"text"` // as its owner wrote it
}

func readNotices(from fs.FS) (list []Notice) {
	readMade(from, "notices.json", &list)
	return list
}

// Notices lists whose work is in the scripts, in order of name; none without the bundle.
func Notices() []Notice { return notices }

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

// Path returns the address of a script by its plain name, such as everywhere; empty when there is none. A script brings its style
// along.
func Path(name string) string {
	if file := files[name+".js"]; file != "" {
		return Prefix + file
	}
	return ""
}

// Bundle is the package as a value, for the shell.
type Bundle struct{}

// Path is [Path].
func (Bundle) Path(name string) string { return Path(name) }

// Files is [Files].
func (Bundle) Files() fs.FS { return Files() }
