package jobstest

import (
	"os"
	"syscall"
	"testing"

	"slatewright/internal/jobs"
)

// What holds between several programs on one book.

// testShared: two jobs whose first slices wait for each other's process.
func testShared(t *testing.T, b *bench) {
	b.child()
	b.child()
	p := b.open(jobs.Options{})
	k := task{Slices: 3, Log: b.log(), At: 1, What: "meet"}
	one, two := p.submit(k), p.submit(k)
	p.ends(b, one.ID, jobs.Done)
	p.ends(b, two.ID, jobs.Done)
	if got := pids(b.log(), "end"); len(got) != 2 || got[os.Getpid()] {
		t.Errorf("worked on by %v, want two children", got)
	}
}

func testCancelFromAfar(t *testing.T, b *bench) {
	b.child()
	p := b.open(jobs.Options{})
	j := p.submit(task{Slices: 3, Log: b.log(), At: 2, What: "hold", Hold: b.hold()})
	b.began(patience, 2)
	p.cancel(j.ID)
	b.stopped(2)
	p.ends(b, j.ID, jobs.Cancelled)
	other := p.submit(task{Slices: 1, Log: b.dir + "/other"})
	p.ends(b, other.ID, jobs.Done) // its worker is free again
}

// testTakenOver kills one of two programs in the middle of a slice: the other has it within the promised time.
func testTakenOver(t *testing.T, b *bench) {
	long(t)
	one, two := b.child(), b.child()
	p := b.open(jobs.Options{})
	j := p.submit(task{Slices: 4, Log: b.log(), At: 2, What: "hold", Hold: b.hold()})
	killed := b.began(patience, 2)
	for _, c := range []*child{one, two} {
		if c.pid() == killed {
			c.kill()
		}
	}
	next := b.began(Takeover, 2, killed)
	b.release()
	got := b.finished(p.ends(b, j.ID, jobs.Done), 4)
	if got.By[1] != next {
		t.Errorf("slice 2 was done by %d, taken over by %d", got.By[1], next)
	}
}

// testRevived stops a program as a machine that sleeps does. Its slice is taken over; when it wakes up it writes nothing.
func testRevived(t *testing.T, b *bench) {
	long(t)
	asleep := b.child()
	p := b.open(jobs.Options{})
	j := p.submit(task{Slices: 3, Log: b.log(), At: 2, What: "hold", Hold: b.hold()})
	b.began(patience, 2)
	asleep.signal(syscall.SIGSTOP)
	p.run()
	b.began(Takeover, 2, asleep.pid())
	asleep.signal(syscall.SIGCONT)
	b.stopped(2) // it finds its turn gone
	b.release()
	got := b.finished(p.ends(b, j.ID, jobs.Done), 3)
	if got.By[1] != os.Getpid() {
		t.Errorf("slice 2 was kept from %d", got.By[1])
	}
}
