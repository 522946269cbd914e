package cli

import (
	"fmt"
	"io"
	"runtime"
	"runtime/debug"

	"slatewright/internal/cli/verb"
)

// Version is the version of the program, as CHANGELOG.md names it. Certificates carry it.
const Version = "0.1.0"

// versionVerb tells which build this is.
type versionVerb struct{}

func (versionVerb) About() verb.About {
	return verb.About{
		Text: `Tells the version that certificates carry, the revision of the source if the build recorded one, and the Go
			release and machine that the program was built for. Give this with every report of a fault.`,
		Examples: []verb.Example{{"slatewright version", "one line for people"}, {"slatewright version --json", "the same for programs"}},
	}
}

// build is what is known about this build. It holds no time: two builds of one source on one machine say the same.
type build struct {
	Version  string `json:"version"`
	Module   string `json:"module"`
	Revision string `json:"revision"` // of the source; empty when the build did not record it
	Modified bool   `json:"modified"` // the source differed from the revision
	Go       string `json:"go"`
	System   string `json:"system"`
	Machine  string `json:"machine"`
	Level    string `json:"level"` // the machine's level, such as v1 or v3 on amd64; empty when the build did not say
}

// Run tells the build.
func (versionVerb) Run(*verb.Session) (verb.Report, error) {
	b := build{Version: Version, Module: "slatewright", Go: runtime.Version(), System: runtime.GOOS, Machine: runtime.GOARCH}
	info, ok := debug.ReadBuildInfo()
	if !ok {
		return b, nil
	}
	for _, s := range info.Settings {
		switch s.Key {
		case "vcs.revision":
			b.Revision = s.Value
		case "vcs.modified":
			b.Modified = s.Value == "true"
		case "GOAMD64", "GOARM64":
			b.Level = s.Value
		}
	}
	return b, nil
}

func (build) Outcome() verb.Outcome { return verb.Done }

func (b build) Print(w io.Writer) {
	fmt.Fprintf(w, "slatewright %s", b.Version)
	if b.Revision != "" {
		fmt.Fprintf(w, ", source %.12s", b.Revision)
		if b.Modified {
			io.WriteString(w, " with changes")
		}
	}
	fmt.Fprintf(w, ", built with %s for %s/%s", b.Go, b.System, b.Machine)
	if b.Level != "" {
		fmt.Fprintf(w, " (%s)", b.Level)
	}
	fmt.Fprintln(w)
}
