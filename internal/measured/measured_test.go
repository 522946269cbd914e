package measured_test

import (
	"context"
	"errors"
	"io"
	"strings"
	"sync"
	"testing"
	"time"

	"slatewright/internal/cli"
	"slatewright/internal/measured"
	"slatewright/trouble"
)

// waitLong is a patience that no test waits for in vain.
const waitLong = time.Minute

func run(args []string, out, errs io.Writer) int {
	return cli.Run(args, strings.NewReader(""), out, errs)
}

func wantTrouble(t *testing.T, what string, err error, code, where string) *trouble.Trouble {
	t.Helper()
	var told *trouble.Trouble
	if !errors.As(err, &told) || told.Code != code || !strings.HasPrefix(told.Where, where) || told.Next == "" {
		t.Fatalf("%s: %v, want %s at %s", what, err, code, where)
	}
	return told
}

// Whatever is wrong with a file is said wherever its numbers are asked for, with the place in it.
func TestTroubleKeepsItsReasons(t *testing.T) {
	store, ctx := newFiles(), context.Background()
	r := room(t, store, measured.Options{Patience: waitLong})
	put := func(text string) string {
		digest, _, err := store.Put(ctx, strings.NewReader(text), 1<<20)
		if err != nil {
			t.Fatal(err)
		}
		return digest
	}
	bad := put("x,y,z\n0,0,0\n1,0,zero\n")
	good := store.put(t, demoFaces()[0])
	other := store.put(t, demoFaces()[1])
	triple := measured.Triple{Faces: [3]string{good, bad, other}, Names: [3]string{"a.csv", "b.csv", "c.csv"}}
	for what, err := range map[string]error{
		"face":      second(r.Face(ctx, bad)),
		"flat":      second(r.Flat(ctx, bad)),
		"ask flat":  r.AskFlat(bad).Err,
		"profile":   second(r.Profile(ctx, bad, [2]float64{0, 0}, [2]float64{0, 9}, 9)),
		"map":       r.AskMap(bad, 400).Err,
		"draw":      r.AskDraw(bad, measured.Picture{}).Err,
		"thickness": r.AskThickness(good, bad).Err,
	} {
		wantTrouble(t, what, err, "bad-number", "readings:3")
	}
	wantTrouble(t, "bed", second(r.Bed(ctx, triple)), "bad-number", "b.csv:3")
	wantTrouble(t, "ask bed", r.AskBed(triple).Err, "bad-number", "b.csv:3")
	before := store.opened.Load()
	wantTrouble(t, "again", second(r.Flat(ctx, bad)), "bad-number", "readings:3")
	if store.opened.Load() != before {
		t.Error("a file that is wrong was read again")
	}
	wantTrouble(t, "no digest", second(r.Face(ctx, "../../etc/passwd")), "bad-digest", "")
	wantTrouble(t, "one piece twice", second(r.Bed(ctx, measured.Triple{Faces: [3]string{good, good, other}})), "same-piece", "QH-0101")
	few := put("# size: 914 x 1473 mm\nx,y,z\n0,0,0\n1,0,0\n0,1,0\n")
	told := wantTrouble(t, "too few", second(r.Flat(ctx, few)), "too-few-points", "readings")
	if told.What == "" {
		t.Error("no reason")
	}
	triple.Faces[1], triple.Specification = store.put(t, demoFaces()[2]), put("pattern: {")
	wantTrouble(t, "specification", second(r.Bed(ctx, triple)), "bad-spec", "specification")
}

// A file that is not there yet is asked for again.
func TestAFileThatComesLater(t *testing.T) {
	store, other, ctx := newFiles(), newFiles(), context.Background()
	r := room(t, store, measured.Options{})
	f := demoFaces()[0]
	digest := other.put(t, f)
	for range 2 {
		wantTrouble(t, "not there", second(r.Flat(ctx, digest)), "no-such-blob", "")
	}
	store.put(t, f)
	if _, err := r.Flat(ctx, digest); err != nil {
		t.Error(err)
	}
}

// A page does not wait: it is told that it is being computed, and later what was found. Nothing is computed twice.
func TestAPageDoesNotWait(t *testing.T) {
	store := newFiles()
	r := room(t, store, measured.Options{Patience: time.Nanosecond})
	triple, _ := set(t, store, t.TempDir(), 0)
	if a := r.KnownBed(triple); a.State != measured.Computing || a.Done != nil {
		t.Errorf("%+v", a)
	}
	store.gate = make(chan struct{})
	a := r.AskBed(triple)
	if a.State != measured.Computing || a.Value != nil {
		t.Fatalf("%+v", a)
	}
	var all sync.WaitGroup
	for range 8 {
		all.Go(func() {
			if b := r.AskBed(triple); b.State != measured.Computing {
				t.Errorf("%+v", b)
			}
		})
	}
	all.Wait()
	close(store.gate)
	<-a.Done
	a = r.AskBed(triple)
	if a.State != measured.Ready || a.Value.Verdict == 0 || store.opened.Load() != 3 {
		t.Errorf("%v, %v, %d files were opened", a.State, a.Err, store.opened.Load())
	}
	if b := r.KnownBed(triple); b.State != measured.Ready || b.Value != a.Value {
		t.Errorf("%+v", b)
	}
	if b := r.WantBed(triple); b.State != measured.Ready {
		t.Errorf("%+v", b)
	}
	w := r.WantFlat(triple.Faces[1])
	<-w.Done
	if w = r.KnownFlat(triple.Faces[1]); w.State != measured.Ready || w.Value.Piece != "QH-0102" {
		t.Errorf("%+v", w)
	}
	if f := r.KnownFlat(triple.Faces[0]); f.State != measured.Computing {
		t.Errorf("%+v", f)
	}
}

// Many ask many things at once, some go away; each gets the same answer as alone, and the room keeps within its bound.
func TestManyAskAtOnce(t *testing.T) {
	store := newFiles()
	const bound = 600_000
	r := room(t, store, measured.Options{Bytes: bound})
	faces := demoFaces()
	var digests []string
	zones := map[string]float64{}
	for _, f := range faces {
		d := store.put(t, f)
		flat, err := measured.FlatOf(f)
		if err != nil {
			t.Fatal(err)
		}
		digests, zones[d] = append(digests, d), flat.ZoneMM
	}
	var all sync.WaitGroup
	for k := range 24 {
		all.Go(func() {
			for i := range digests {
				d := digests[(i+k)%len(digests)]
				ctx, cancel := context.WithCancel(context.Background())
				if k%4 == 3 {
					go cancel()
				}
				flat, err := r.Flat(ctx, d)
				gone := err != nil && errors.Is(err, context.Canceled) && k%4 == 3
				if !gone && (err != nil || flat.ZoneMM != zones[d]) {
					t.Errorf("%v, want %v: %v", flat.ZoneMM, zones[d], err)
				}
				if k%2 == 0 {
					m, err := r.Map(context.Background(), d, 300+100*(k%3))
					if err != nil || m.ZoneMM != zones[d] {
						t.Errorf("%v, %v", m.ZoneMM, err)
					}
				}
				if p, err := r.Profile(context.Background(), d, [2]float64{0, -600}, [2]float64{0, 600}, 40); err != nil || p.Edge == nil {
					t.Errorf("%+v, %v", p, err)
				}
				if used := r.Used(); used > bound {
					t.Errorf("%d bytes are kept", used)
				}
				cancel()
			}
		})
	}
	all.Wait()
	if r.Used() == 0 {
		t.Error("nothing is kept")
	}
}

func TestCloseEndsWhatIsComputed(t *testing.T) {
	store := newFiles()
	r := measured.New(store, measured.Options{Patience: time.Nanosecond})
	triple, _ := set(t, store, t.TempDir(), 0)
	store.gate = make(chan struct{})
	a := r.AskBed(triple)
	r.Close()
	close(store.gate)
	<-a.Done
	if b := r.KnownBed(triple); b.State == measured.Ready {
		t.Error("it was computed to its end")
	}
}
