package jobstest

import (
	"context"
	"encoding/json"
	"fmt"
	"os"
	"strings"
	"time"

	"slatewright/internal/jobs"
	"slatewright/trouble"
)

// task is what a tally is asked: to count its slices, and what shall happen at one of them.
type task struct {
	Slices int    `json:"slices"`
	Log    string `json:"log"`            // a file that every slice writes to when it begins and when it ends
	At     int    `json:"at,omitempty"`   // the slice, from 1, at which something happens
	What   string `json:"what,omitempty"` // hold, meet, fail, break, away, gone, swell
	Hold   string `json:"hold,omitempty"` // hold and away last as long as this file is there
}

// tally is a worker that counts its slices and remembers who did which.
type tally struct{}

// counted is its checkpoint and its result.
type counted struct {
	By []int `json:"by"` // process of each finished slice
}

func (tally) Kind() string { return "tally" }

func (tally) Check(input json.RawMessage) error {
	var k task
	if err := json.Unmarshal(input, &k); err != nil || k.Slices < 1 {
		return trouble.Data("bad-tally", "slices", "there is nothing to count", "give at least one slice")
	}
	return nil
}

func (tally) Work(ctx context.Context, j jobs.Job) (jobs.Slice, error) {
	var k task
	var c counted
	if err := json.Unmarshal(j.Input, &k); err != nil {
		return jobs.Slice{}, err
	}
	if j.Checkpoint != nil {
		if err := json.Unmarshal(j.Checkpoint, &c); err != nil {
			return jobs.Slice{}, err
		}
	}
	n := len(c.By) + 1
	if err := k.note("begin", n); err != nil {
		return jobs.Slice{}, err
	}
	if n == k.At {
		if err := k.happen(ctx); err != nil {
			k.note("stop", n)
			return jobs.Slice{}, err
		}
	}
	if err := k.note("end", n); err != nil {
		return jobs.Slice{}, err
	}
	c.By = append(c.By, os.Getpid())
	return k.slice(c)
}

func (k task) slice(c counted) (jobs.Slice, error) {
	text, err := json.Marshal(c)
	n := len(c.By)
	s := jobs.Slice{Checkpoint: text, Progress: float64(n) / float64(k.Slices), Said: fmt.Sprintf("counted to %d", n), Done: n == k.Slices}
	if s.Done {
		s.Result = text
	}
	if n == k.At && k.What == "swell" {
		s.Result = json.RawMessage(`"` + strings.Repeat("x", jobs.MostResult) + `"`)
	}
	return s, err
}

var unreadable = trouble.IO("unreadable", "scan.ply", "the scan cannot be read now", "look at the disk")

// happen does what was asked for.
func (k task) happen(ctx context.Context) error {
	switch k.What {
	case "hold":
		return until(ctx, func() bool { return !there(k.Hold) })
	case "meet":
		return until(ctx, func() bool { return len(pids(k.Log, "begin")) > 1 })
	case "fail":
		return trouble.Data("bad-stone", "QH-0101", "the stone is not as it was said\x00\xff", "read it again")
	case "break":
		panic("a slip in the worker")
	case "away":
		if there(k.Hold) {
			os.Remove(k.Hold)
			return unreadable
		}
	case "gone":
		return unreadable
	}
	return nil
}

// until waits for something, or for the slice to be stopped.
func until(ctx context.Context, true func() bool) error {
	for !true() {
		select {
		case <-ctx.Done():
			return ctx.Err()
		case <-time.After(10 * time.Millisecond):
		}
	}
	return nil
}

func there(path string) bool {
	_, err := os.Stat(path)
	return err == nil
}

// note writes one line to the log, whole even when several processes write.
func (k task) note(what string, n int) error {
	f, err := os.OpenFile(k.Log, os.O_APPEND|os.O_CREATE|os.O_WRONLY, 0o666)
	if err != nil {
		return err
	}
	_, err = fmt.Fprintf(f, "%s %d %d\n", what, n, os.Getpid())
	if e := f.Close(); err == nil {
		err = e
	}
	return err
}

// line is one line of the log.
type line struct {
	What   string
	N, PID int
}

// lines reads a log; one that is not there yet is empty.
func lines(path string) (list []line) {
	text, _ := os.ReadFile(path)
	for s := range strings.Lines(string(text)) {
		var l line
		if _, err := fmt.Sscanf(s, "%s %d %d\n", &l.What, &l.N, &l.PID); err == nil {
			list = append(list, l)
		}
	}
	return list
}

// pids are the processes that wrote such lines.
func pids(path, what string) map[int]bool {
	found := map[int]bool{}
	for _, l := range lines(path) {
		if l.What == what {
			found[l.PID] = true
		}
	}
	return found
}
