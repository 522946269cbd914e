package main

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"time"

	"slatewright/face"
)

// shellBench measures the whole program on a small file, as a person or a script starts it.
func shellBench(program, _ string) ([]goal, error) {
	const readings = "docs/examples/head.csv"
	ours := side{"slatewright flatness", command(program, "flatness", "--json", readings)}
	return []goal{{"flatness on a hand-read face, from the shell", ours, side{"an empty program", command("/bin/true")}, 31,
		within(30 * time.Millisecond)}}, nil
}

// seatBench measures the whole program on three scans.
func seatBench(program, dir string) ([]goal, error) {
	args := []string{"seat", "--json", "--max-step", "0.127mm"}
	for i, place := range []string{"head", "centre", "foot"} {
		f := rounded(scan(3e5, uint64(10+i)))
		f.SizeX, f.SizeY = 914, 1473
		name := filepath.Join(dir, place+".ply")
		file, err := os.Create(name)
		if err != nil {
			return nil, err
		}
		if err := f.WritePLY(file, face.BinaryLittleEndian); err != nil {
			return nil, err
		}
		if err := file.Close(); err != nil {
			return nil, err
		}
		args = append(args, name)
	}
	return []goal{{"seat on three scans of 3e+05 points", side{"slatewright seat", command(program, args...)}, side{}, 5,
		within(500 * time.Millisecond)}}, nil
}

// command runs a program; an answer of "does not conform" or "cannot tell" is as good as any here.
func command(program string, args ...string) func() error {
	return func() error {
		out, err := exec.Command(program, args...).CombinedOutput()
		if exit, ok := err.(*exec.ExitError); ok && (exit.ExitCode() == 1 || exit.ExitCode() == 2) {
			return nil
		}
		if err != nil {
			return fmt.Errorf("%w: %s", err, out)
		}
		return nil
	}
}
