package faults_test

import (
	"bufio"
	"context"
	"fmt"
	"os"
	"os/exec"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"slatewright/chance"
	"slatewright/internal/book"
	"slatewright/internal/ledger"
	"slatewright/internal/ledger/pgtest"
)

// writerMain is the program that is killed: it sends each sender's acts one after the other and says which were acknowledged.
func writerMain(where string) {
	l, err := ledger.Open(context.Background(), where, ledger.Options{Site: site, Holder: "faults", Clock: clock})
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
	var all sync.WaitGroup
	for _, s := range strings.Fields(os.Getenv("FAULTS_SENDERS")) {
		name, from, _ := strings.Cut(s, ":")
		sender, _ := strconv.Atoi(name)
		n, _ := strconv.Atoi(from)
		all.Go(func() {
			for ; ; n++ {
				r, err := l.Append(context.Background(), submission(sender, n))
				if err != nil {
					fmt.Fprintln(os.Stderr, err)
					os.Exit(1)
				}
				os.Stdout.WriteString(fmt.Sprintf("%d %d %d\n", sender, n, r.Entry.Seq))
			}
		})
	}
	all.Wait()
}

// program is a writing program that runs.
type program struct {
	cmd  *exec.Cmd
	acks *bufio.Scanner
	errs strings.Builder
}

// begin starts a program that sends the acts of some senders, each from its first unacknowledged one on.
func begin(t *testing.T, where string, done []int, from, to int) *program {
	t.Helper()
	var list []string
	for s := from; s < to; s++ {
		list = append(list, fmt.Sprintf("%d:%d", s, done[s]+1))
	}
	p := &program{cmd: exec.Command(os.Args[0])}
	p.cmd.Env = append(os.Environ(), "FAULTS_WRITER="+where, "FAULTS_SENDERS="+strings.Join(list, " "))
	p.cmd.Stderr = &p.errs
	out, err := p.cmd.StdoutPipe()
	if err == nil {
		err = p.cmd.Start()
	}
	if err != nil {
		t.Fatal(err)
	}
	p.acks = bufio.NewScanner(out)
	return p
}

// end kills the program once some acts were acknowledged and a moment has passed, and notes what was acknowledged.
func (p *program) end(t *testing.T, done []int, seqs map[string]int64, enough int, moment time.Duration) {
	t.Helper()
	for got := 0; p.acks.Scan(); got++ {
		var s, n int
		var seq int64
		if _, err := fmt.Sscan(p.acks.Text(), &s, &n, &seq); err != nil || n != done[s]+1 {
			t.Fatalf("acknowledged out of turn: %q (%v), after %d", p.acks.Text(), err, done[s])
		}
		done[s] = n
		seqs[idOf(s, n)] = seq
		if got == enough {
			time.AfterFunc(moment, func() { p.cmd.Process.Kill() })
		}
	}
	err := p.cmd.Wait()
	if p.errs.Len() > 0 {
		t.Fatalf("the writing program: %v, %s", err, p.errs.String())
	}
}

// Acknowledged acts must be there after any kill, in one chain, applied once.
func TestKilledWhileWriting(t *testing.T) {
	where := t.TempDir()
	found(t, where)
	draw := chance.NewStream(1).Split("kills")
	done, seqs := make([]int, senders), map[string]int64{}
	for range *kills {
		p := begin(t, where, done, 0, senders)
		p.end(t, done, seqs, 1+draw.IntN(60), time.Duration(draw.IntN(40))*time.Millisecond)
	}
	survived(t, where, done, seqs)
}

// Several programs on one PostgreSQL: one of them is killed, the others go on in the same chain.
func TestOneOfManyProgramsKilled(t *testing.T) {
	where := pgtest.Start(t)
	found(t, where)
	draw := chance.NewStream(2).Split("kills")
	done, seqs := make([]int, senders), map[string]int64{}
	const programs = 4
	each := senders / programs
	for range max(1, *kills/programs) {
		var list [programs]*program
		for i := range list {
			list[i] = begin(t, where, done, i*each, (i+1)*each)
		}
		for _, p := range list {
			p.end(t, done, seqs, 1+draw.IntN(20), time.Duration(draw.IntN(40))*time.Millisecond)
		}
	}
	survived(t, where, done, seqs)
}

// survived holds the book to what was acknowledged.
func survived(t *testing.T, where string, done []int, seqs map[string]int64) {
	t.Helper()
	if len(seqs) == 0 {
		t.Fatal("nothing was acknowledged")
	}
	l := open(t, where)
	defer shut(t, l)
	sound(t, l)
	ctx := context.Background()
	for id, seq := range seqs {
		if e, err := l.Entry(ctx, id); err != nil || e.Seq != seq {
			t.Errorf("entry %s was acknowledged as number %d and is number %d (%v)", id, seq, e.Seq, err)
		}
	}
	for s, n := range done {
		weighed := countOf(t, l, s)
		if weighed < n || weighed > n+1 { // one more may have been written and not acknowledged
			t.Errorf("piece %s: %d acts acknowledged, %d in its history", pieceOf(s), n, weighed)
		}
		thing, err := l.Thing(ctx, book.Ref{Kind: book.KindPiece, ID: pieceOf(s)})
		if err != nil {
			t.Fatal(err)
		}
		state, err := book.StateOf(thing)
		if err != nil {
			t.Fatal(err)
		}
		if got := state.(*book.PieceState).MassKg; got != mass(weighed) {
			t.Errorf("piece %s weighs %v kg after %d weighings, want %v", pieceOf(s), got, weighed, mass(weighed))
		}
	}
	t.Logf("%d acts acknowledged over %d kills", len(seqs), *kills)
}

// countOf counts the weighings in a piece's history, each entry once.
func countOf(t *testing.T, l book.Ledger, sender int) int {
	t.Helper()
	seen, cursor := map[string]bool{}, ""
	for {
		page, err := l.History(context.Background(), book.Ref{Kind: book.KindPiece, ID: pieceOf(sender)}, cursor, 500)
		if err != nil {
			t.Fatal(err)
		}
		for _, p := range page.Items {
			if seen[p.ID] {
				t.Errorf("entry %s stands twice in the history", p.ID)
			}
			seen[p.ID] = true
		}
		if cursor = page.Next; cursor == "" {
			return len(seen) - 1 // the taking in
		}
	}
}
