// Command bundle checks nothing and fetches nothing: it takes the sources of the pages' scripts and the libraries that npm has put
// beside them, and writes one file for each script into dist, under names that carry a digest, with a manifest and the licence texts
// of what is inside. It is run at build time only and is no part of the program.
package main

import (
	"flag"
	"fmt"
	"os"
)

func main() {
	root := flag.String("root", ".", "folder of package script")
	tests := flag.String("tests", "", "bundle the tests into this folder, for node, instead of the scripts")
	flag.Parse()
	if err := run(*root, *tests); err != nil {
		fmt.Fprintln(os.Stderr, "bundle:", err)
		os.Exit(1)
	}
}

func run(root, tests string) error {
	if tests != "" {
		return bundleTests(root, tests)
	}
	return bundle(root)
}
