package main

import (
	"os"
	"path/filepath"
	"time"
)

// bedBench promises everything that follows from one bed's pattern file within a second, as a person asks for it from the shell: its check, all drawings, the
// templates of every piece, the programs of every piece with their replay, and a drilled bed against it.
func bedBench(program, dir string) ([]goal, error) {
	const pattern, machine, measured = "docs/examples/bed/nine-foot.yaml", "docs/examples/program/machine.yaml", "docs/examples/holes/bed-31.csv"
	return []goal{{what: "everything for one bed, from the shell", repeats: 5, keeps: within(time.Second),
		ours: side{name: "slatewright bed, holes", do: func() error {
			out, err := os.MkdirTemp(dir, "bed")
			if err != nil {
				return err
			}
			defer os.RemoveAll(out)
			for _, args := range [][]string{
				{"bed", "check", pattern},
				{"bed", "draw", pattern, "--out", filepath.Join(out, "drawings")},
				{"bed", "draw", pattern, "--template", "--out", filepath.Join(out, "templates")},
				{"bed", "program", pattern, machine, "--out", filepath.Join(out, "programs")},
				{"holes", pattern, measured, "--json"},
			} {
				if err := command(program, args...)(); err != nil {
					return err
				}
			}
			return nil
		}}}}, nil
}
