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

// Worker is the name of the script that must be served at the address /sw.js, for it to look after all pages.
const Worker = "sw.js"

// manifestName is the file that maps the name of a script to the name of its file, which carries a digest of its content.
const manifestName = "manifest.json"

// paths is read once: what is embedded does not change.
var paths = func() map[string]string {
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

// Files are the bundled files under their names with digests; they never change under one name. Without the bundle a short
// text stands alone in it.
func Files() fs.FS {
	sub, err := fs.Sub(dist, "dist")
	if err != nil {
		panic("script: the embedded folder is gone: " + err.Error())
	}
	return sub
}

// Have says whether the program was built with the bundle.
func Have() bool { return len(paths) > 0 }

// Path returns the file within Files of a script or style by its plain name, such as everywhere.js; empty when there is none.
func Path(name string) string { return paths[name] }
