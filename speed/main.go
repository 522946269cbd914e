// Command speed holds the program to its promised speeds, each side by side in one run with what it is measured against.
//
//	go run ./speed bin/slatewright
//	go run ./speed bin/slatewright pages    only what is promised of the pages
//	go run ./speed bin/slatewright plates   only what is promised of bending, beside an independent program
//	go run ./speed bin/slatewright cuts     only what is promised of cutting a slab, beside a general integer programme
//	go run ./speed bin/slatewright sets     only what is promised of matching, beside a general integer programme
//	go run ./speed calibration              whether what is said of the face between the readings is so often true as it says
//	go run ./speed toolmarks                how often the right cause is found of marks that invented machines leave
//
// Every figure is the median of several repetitions that alternate between the two sides, so that a disturbance of the
// machine meets both. It prints one line a goal and ends with status 1 when a goal is missed. It checks speed, not results;
// where two sides compute the same number it stops if they do not agree.
package main

import (
	"fmt"
	"os"
	"runtime"
	"slices"
	"time"
)

// side is one way of doing a piece of work.
type side struct {
	name string
	do   func() error
}

// goal is a promise about two sides: the ratio of their median times.
type goal struct {
	what    string
	ours    side
	against side
	repeats int
	// keeps tells from the two medians whether the promise is kept, and how far.
	keeps func(ours, against time.Duration) (verdict string, kept bool)
}

// bench is a group of goals that share their input, made when their turn comes and let go afterwards.
type bench func(program, dir string) ([]goal, error)

func main() {
	if len(os.Args) == 3 && os.Args[1] == asBookArgument {
		if err := bookMain(os.Args[2]); err != nil {
			fmt.Fprintln(os.Stderr, "speed: book:", err)
			os.Exit(1)
		}
		return
	}
	trials := map[string]func() error{calibrationArgument: runCalibration, toolmarksArgument: runToolmarks}
	if len(os.Args) == 2 && trials[os.Args[1]] != nil {
		if err := trials[os.Args[1]](); err != nil {
			fmt.Fprintln(os.Stderr, "speed:", err)
			os.Exit(1)
		}
		return
	}
	run := runAll
	switch {
	case len(os.Args) == 3 && os.Args[2] == pagesArgument:
		run = runPages
	case len(os.Args) == 3 && os.Args[2] == platesArgument:
		run = runPlates
	case len(os.Args) == 3 && os.Args[2] == "cuts":
		run = runCuts
	case len(os.Args) == 3 && os.Args[2] == setsArgument:
		run = runSets
	case len(os.Args) != 2:
		fmt.Fprintln(os.Stderr, "usage: speed PROGRAM [pages|plates|cuts|sets] (the built slatewright), or speed calibration or toolmarks")
		os.Exit(2)
	}
	dir, err := os.MkdirTemp("", "speed")
	if err == nil {
		var missed int
		missed, err = run(os.Args[1], dir)
		os.RemoveAll(dir)
		if err == nil && missed > 0 {
			err = fmt.Errorf("%d missed", missed)
		}
	}
	if err != nil {
		fmt.Fprintln(os.Stderr, "speed:", err)
		os.Exit(1)
	}
}

// runAll measures every goal, prints it and counts the missed ones.
func runAll(program, dir string) (missed int, err error) {
	fmt.Printf("%s, %d cores\n", runtime.Version(), runtime.GOMAXPROCS(0))
	total := 0
	for _, b := range []bench{zoneBench(1e6), zoneBench(1e7), hullBench, wholeBench, readBench, shellBench, seatBench, frameBench, seasonBench, cleanupBench, discBench, cutBench, layerBench, holesBench, programBench, drawingBench, bedBench, matchBench} {
		goals, err := b(program, dir)
		if err != nil {
			return 0, err
		}
		more, err := measureAll(goals)
		total, missed = total+len(goals), missed+more
		if err != nil {
			return missed, err
		}
		runtime.GC()
	}
	for _, part := range []func() (int, int, error){func() (int, int, error) { return platesSpeed(dir) }, func() (int, int, error) { return pagesSpeed(program, dir) }, func() (int, int, error) { return bookSpeed(dir) }} {
		more, missedMore, err := part()
		total, missed = total+more, missed+missedMore
		if err != nil {
			return missed, err
		}
	}
	fmt.Printf("%d kept, %d missed\n", total-missed, missed)
	return missed, nil
}

// runPlates measures only what is promised of bending.
func runPlates(_, dir string) (missed int, err error) {
	total, missed, err := platesSpeed(dir)
	fmt.Printf("%d kept, %d missed\n", total-missed, missed)
	return missed, err
}

// runPages measures only what is promised of the pages.
func runPages(program, dir string) (missed int, err error) {
	total, missed, err := pagesSpeed(program, dir)
	fmt.Printf("%d kept, %d missed\n", total-missed, missed)
	return missed, err
}

// measureAll runs goals and counts the missed ones.
func measureAll(goals []goal) (missed int, err error) {
	for _, g := range goals {
		kept, err := measure(g)
		if err != nil {
			return missed, fmt.Errorf("%s: %w", g.what, err)
		}
		if !kept {
			missed++
		}
	}
	return missed, nil
}

// measure runs one goal and prints its line.
func measure(g goal) (bool, error) {
	ours, against, err := alternate(g)
	if err != nil {
		return false, err
	}
	verdict, kept := g.keeps(ours, against)
	word := "kept"
	if !kept {
		word = "MISSED"
	}
	fmt.Printf("%-6s  %-44s %8s", word, g.what, short(ours))
	if g.against.do != nil {
		fmt.Printf("; %s %s", g.against.name, short(against))
	}
	fmt.Printf("; %s\n", verdict)
	return kept, nil
}

// alternate runs both sides in turn, once unmeasured and then repeats times, and returns the medians.
func alternate(g goal) (ours, against time.Duration, err error) {
	var took [2][]time.Duration
	for i := range g.repeats + 1 {
		for k, s := range []side{g.ours, g.against} {
			if s.do == nil {
				continue
			}
			start := time.Now()
			if err := s.do(); err != nil {
				return 0, 0, fmt.Errorf("%s: %w", s.name, err)
			}
			if i > 0 {
				took[k] = append(took[k], time.Since(start))
			}
		}
	}
	return median(took[0]), median(took[1]), nil
}

func median(d []time.Duration) time.Duration {
	if len(d) == 0 {
		return 0
	}
	slices.Sort(d)
	return d[len(d)/2]
}

func short(d time.Duration) string {
	switch {
	case d < 10*time.Millisecond:
		return d.Round(10 * time.Microsecond).String()
	case d < time.Second:
		return d.Round(100 * time.Microsecond).String()
	}
	return d.Round(10 * time.Millisecond).String()
}

// atMost promises that ours takes at most limit times as long as the other side.
func atMost(limit float64) func(a, b time.Duration) (string, bool) {
	return func(ours, against time.Duration) (string, bool) {
		ratio := float64(ours) / float64(against)
		return fmt.Sprintf("ratio %.2f, at most %g", ratio, limit), ratio <= limit
	}
}

// faster promises that ours is at least limit times faster than the other side.
func faster(limit float64) func(a, b time.Duration) (string, bool) {
	return func(ours, against time.Duration) (string, bool) {
		ratio := float64(against) / float64(ours)
		return fmt.Sprintf("%.0f times faster, at least %g", ratio, limit), ratio >= limit
	}
}

// within promises that ours takes at most limit.
func within(limit time.Duration) func(a, b time.Duration) (string, bool) {
	return func(ours, _ time.Duration) (string, bool) {
		return fmt.Sprintf("at most %s", limit), ours <= limit
	}
}

// rate promises that ours handles at least limit megabytes (10⁶ bytes) of size bytes in a second.
func rate(size int, limit float64) func(a, b time.Duration) (string, bool) {
	return func(ours, _ time.Duration) (string, bool) {
		got := float64(size) / 1e6 / ours.Seconds()
		return fmt.Sprintf("%.0f MB/s, at least %g", got, limit), got >= limit
	}
}
