package main

import (
	"bufio"
	"bytes"
	"context"
	"fmt"
	"net/http"
	"os"
	"slices"
	"strconv"
	"strings"
	"sync"
	"sync/atomic"
	"time"
)

// The load: more tablets than twenty mills have, for as long as it takes that each asks several times.
const (
	tablets        = 200
	tabletAsks     = 8               // pages of each
	tabletRests    = 3 * time.Second // between two pages
	actsComeEvery  = 250 * time.Millisecond
	mostTabletPage = 100 * time.Millisecond // p99
)

// load has tablets that follow the mill and ask for pages while acts come in.
func (s *served) load() (bool, error) {
	if err := s.rests(); err != nil {
		return false, err
	}
	ctx, done := context.WithCancel(context.Background())
	defer done()
	var streams, asking sync.WaitGroup
	var heard atomic.Int64
	fails := make(chan error, 2*tablets+1)
	for range tablets {
		ready := make(chan error, 1)
		streams.Go(func() { s.follows(ctx, ready, &heard) })
		if err := <-ready; err != nil {
			return false, err
		}
	}
	acts := 0
	asking.Go(func() {
		for ; ctx.Err() == nil; acts++ {
			if err := s.weighs(acts); err != nil {
				fails <- err
				return
			}
			select {
			case <-ctx.Done():
			case <-time.After(actsComeEvery):
			}
		}
	})
	began, worked := time.Now(), s.worked()
	took := make([][]time.Duration, tablets)
	var tabletsAsk sync.WaitGroup
	for i := range tablets {
		tabletsAsk.Go(func() {
			time.Sleep(tabletRests * time.Duration(i) / tablets) // they do not all ask at once
			for k := range tabletAsks {
				start := time.Now()
				if _, err := s.asks(http.MethodGet, s.pageOf(i, k), nil); err != nil {
					fails <- err
					return
				}
				took[i] = append(took[i], time.Since(start))
				time.Sleep(max(0, tabletRests-time.Since(start)))
			}
		})
	}
	tabletsAsk.Wait()
	worked, whole := s.worked()-worked, time.Since(began)
	done()
	asking.Wait()
	streams.Wait()
	select {
	case err := <-fails:
		return false, err
	default:
	}
	all := slices.Concat(took...)
	slices.Sort(all)
	p99 := all[len(all)*99/100]
	if heard.Load() < int64(acts)*tablets*9/10 {
		return false, fmt.Errorf("%d acts were told to %d tablets %d times", acts, tablets, heard.Load())
	}
	return promise(fmt.Sprintf("a page for one of %d tablets, p99", tablets), short(p99), fmt.Sprintf("at most 100 ms; median %s, slowest %s of %d, %d acts; the program worked %s in %s", short(all[len(all)/2]),
		short(all[len(all)-1]), len(all), acts, short(worked), short(whole)), p99 < mostTabletPage), nil
}

// pageOf is the page that a tablet asks for next.
func (s *served) pageOf(tablet, turn int) string {
	piece := s.pieces[(tablet*7919+turn*104729)%len(s.pieces)]
	return []string{"/", "/station/surfacing", "/piece/" + piece, "/do/enter-room?piece=" + piece, "/find?q=" + piece, "/station/bench", "/piece/" + piece, "/bench"}[(tablet+turn)%8]
}

// follows keeps a stream of what changes open, and counts what it is told.
func (s *served) follows(ctx context.Context, ready chan<- error, heard *atomic.Int64) {
	r, err := http.NewRequestWithContext(ctx, http.MethodGet, s.at+"/live", nil)
	if err != nil {
		ready <- err
		return
	}
	r.Header.Set("Authorization", "Bearer "+s.token)
	answer, err := (&http.Client{Transport: s.client.Transport}).Do(r)
	if err == nil && answer.StatusCode != http.StatusOK {
		err = fmt.Errorf("/live: %s", answer.Status)
	}
	ready <- err
	if err != nil {
		return
	}
	defer answer.Body.Close()
	for lines := bufio.NewScanner(answer.Body); lines.Scan(); {
		if strings.HasPrefix(lines.Text(), "event: changed") {
			heard.Add(1)
		}
	}
}

// weighs hands in an act of everyday.
func (s *served) weighs(i int) error {
	_, err := s.asks(http.MethodPost, "/api/v1/acts/weigh", map[string]any{"station": "bench", "body": map[string]any{"thing": "piece:" + s.pieces[i%len(s.pieces)], "scale": scale, "mass_kg": 90}})
	return err
}

// rests waits until the program has nothing to do: after the start it checks the whole book, once.
func (s *served) rests() error {
	for began := time.Now(); time.Since(began) < mostRest; {
		before := s.worked()
		time.Sleep(time.Second)
		if s.worked()-before < 50*time.Millisecond {
			return nil
		}
	}
	return fmt.Errorf("the program has not come to rest within %s", mostRest)
}

const mostRest = 3 * time.Minute

// worked is for how long the program had a processor; 0 where the system does not tell.
func (s *served) worked() time.Duration {
	text, err := os.ReadFile(fmt.Sprintf("/proc/%d/stat", s.cmd.Process.Pid))
	if err != nil {
		return 0
	}
	const tick = 10 * time.Millisecond
	fields := strings.Fields(string(text[bytes.LastIndexByte(text, ')')+1:]))
	user, _ := strconv.Atoi(fields[11])
	system, _ := strconv.Atoi(fields[12])
	return time.Duration(user+system) * tick
}

// memory is the most that the program held since it was started.
func (s *served) memory() (bool, error) {
	text, err := os.ReadFile(fmt.Sprintf("/proc/%d/status", s.cmd.Process.Pid))
	if err != nil {
		return false, err
	}
	for line := range strings.Lines(string(text)) {
		if rest, ok := strings.CutPrefix(line, "VmHWM:"); ok {
			kb, err := strconv.Atoi(strings.Fields(rest)[0])
			if err != nil {
				return false, err
			}
			return promise("most memory of the program with them", fmt.Sprintf("%d MB", kb>>10), "at most 400 MB", kb<<10 < mostServing), nil
		}
	}
	return false, fmt.Errorf("the system does not tell the memory of a program")
}
