package blobs

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"testing/iotest"
	"time"

	"slatewright/internal/book"
	"slatewright/trouble"
)

// place is an empty store, and a way past it to what it keeps.
type place struct {
	Store
	write  func(name string, content []byte) // puts something there as the disk or a stranger would
	exists func(name string) bool
	names  func() []string // all that is kept, in order
}

// stores are the two kinds, each with the one exercise.
var stores = map[string]func(t *testing.T) *place{"folder": aFolder, "object store": aBucket}

func aFolder(t *testing.T) *place {
	t.Helper()
	dir := t.TempDir()
	s, err := Open(t.Context(), dir, Access{})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { s.Close() })
	return &place{s,
		func(name string, content []byte) {
			path := filepath.Join(dir, name)
			must(t, os.MkdirAll(filepath.Dir(path), 0o750), os.WriteFile(path, content, 0o640))
		},
		func(name string) bool { _, err := os.Stat(filepath.Join(dir, name)); return err == nil },
		func() (names []string) {
			must(t, filepath.WalkDir(dir, func(path string, d os.DirEntry, err error) error {
				if err == nil && !d.IsDir() {
					name, _ := filepath.Rel(dir, path)
					names = append(names, filepath.ToSlash(name))
				}
				return err
			}))
			return names
		}}
}

func must(t *testing.T, errs ...error) {
	t.Helper()
	for _, err := range errs {
		if err != nil {
			t.Fatal(err)
		}
	}
}

// each runs a part of the exercise on both.
func each(t *testing.T, run func(t *testing.T, p *place)) {
	for name, open := range stores {
		t.Run(name, func(t *testing.T) { run(t, open(t)) })
	}
}

// filled returns n bytes that are the same each time.
func filled(n int) []byte {
	b := make([]byte, n)
	rand.NewChaCha8([32]byte{byte(n)}).Read(b)
	return b
}

func sum(b []byte) string {
	s := sha256.Sum256(b)
	return hex.EncodeToString(s[:])
}

func (p *place) put(t *testing.T, content []byte) (digest string) {
	t.Helper()
	digest, size, err := p.Put(t.Context(), bytes.NewReader(content), 1<<30)
	if err != nil || size != int64(len(content)) || digest != sum(content) {
		t.Fatalf("put %d bytes: %s, %d, %v", len(content), digest, size, err)
	}
	return digest
}

// get opens a blob and reads it, or returns the code of the trouble.
func (p *place) get(t *testing.T, digest string) (content []byte, code string) {
	t.Helper()
	r, size, err := p.Open(t.Context(), digest)
	if err != nil {
		return nil, codeOf(t, err)
	}
	content, err = io.ReadAll(r)
	must(t, err, r.Close())
	if size != int64(len(content)) {
		t.Errorf("%d bytes are promised and %d given", size, len(content))
	}
	return content, ""
}

func codeOf(t *testing.T, err error) string {
	t.Helper()
	var said *trouble.Trouble
	if err != nil && (!errors.As(err, &said) || said.Next == "") {
		t.Fatalf("no trouble with a next step: %v", err)
	}
	if err == nil {
		return ""
	}
	return said.Code
}

func TestWhatIsPutComesBack(t *testing.T) {
	each(t, func(t *testing.T, p *place) {
		var want []string
		for _, n := range []int{0, 1, 1000, 3 << 20} {
			content := filled(n)
			digest := p.put(t, content)
			if again := p.put(t, content); again != digest {
				t.Errorf("%d bytes: %s, then %s", n, digest, again)
			}
			if got, code := p.get(t, digest); !bytes.Equal(got, content) || code != "" {
				t.Errorf("%d bytes: got %d, %s", n, len(got), code)
			}
			want = append(want, digest[:2]+"/"+digest)
		}
		if slices.Sort(want); !slices.Equal(p.names(), want) {
			t.Errorf("kept are %q, want %q", p.names(), want)
		}
	})
}

func TestList(t *testing.T) {
	each(t, func(t *testing.T, p *place) {
		began, want := time.Now().Add(-time.Minute), map[string]int64{}
		for n := range 40 {
			want[p.put(t, filled(n))] = int64(n)
		}
		p.write("notes.txt", nil)
		p.write("ab/notes.txt", nil)
		p.write("ab/"+strings.Repeat("c", 64), nil) // not in its folder
		var last string
		got := map[string]int64{}
		must(t, p.List(t.Context(), func(digest string, size int64, at time.Time) error {
			if digest <= last || at.Before(began) {
				t.Errorf("%s after %s, of %v", digest, last, at)
			}
			got[digest], last = size, digest
			return nil
		}))
		if fmt.Sprint(got) != fmt.Sprint(want) {
			t.Errorf("got %v, want %v", got, want)
		}
		stop, calls := errors.New("enough"), 0
		err := p.List(t.Context(), func(string, int64, time.Time) error { calls++; return stop })
		if !errors.Is(err, stop) || calls != 1 {
			t.Errorf("stopped with %v after %d", err, calls)
		}
	})
}

func TestTheLimit(t *testing.T) {
	each(t, func(t *testing.T, p *place) {
		content := filled(1000)
		_, _, err := p.Put(t.Context(), bytes.NewReader(content), 999)
		if code := codeOf(t, err); code != "too-large" {
			t.Errorf("a byte too many: %v", err)
		}
		counter := &counted{Reader: endless{}}
		if _, _, err = p.Put(t.Context(), counter, 1000); codeOf(t, err) != "too-large" || counter.n > 1<<20 {
			t.Errorf("without end: %v after %d bytes", err, counter.n)
		}
		if names := p.names(); len(names) > 0 {
			t.Errorf("kept are %q", names)
		}
		for _, limit := range []int64{1000, math.MaxInt64} {
			if _, _, err := p.Put(t.Context(), bytes.NewReader(content), limit); err != nil {
				t.Errorf("limit %d: %v", limit, err)
			}
		}
	})
}

type endless struct{}

func (endless) Read(p []byte) (int, error) { return len(p), nil }

type counted struct {
	io.Reader
	n int
}

func (c *counted) Read(p []byte) (int, error) {
	n, err := c.Reader.Read(p)
	c.n += n
	return n, err
}

// A sender who breaks off leaves nothing behind, and the error is the sender's own.
func TestASenderBreaksOff(t *testing.T) {
	each(t, func(t *testing.T, p *place) {
		broke := errors.New("the connection broke")
		_, _, err := p.Put(t.Context(), io.MultiReader(bytes.NewReader(filled(100_000)), iotest.ErrReader(broke)), 1<<20)
		if !errors.Is(err, broke) {
			t.Errorf("got %v", err)
		}
		ctx, stop := context.WithCancel(t.Context())
		stopping := io.MultiReader(bytes.NewReader(filled(100_000)), readerFunc(func(p []byte) (int, error) { stop(); return len(p), nil }))
		if _, _, err = p.Put(ctx, stopping, 1<<30); !errors.Is(err, context.Canceled) {
			t.Errorf("given up: %v", err)
		}
		if names := p.names(); len(names) > 0 {
			t.Errorf("kept are %q", names)
		}
	})
}

type readerFunc func([]byte) (int, error)

func (f readerFunc) Read(p []byte) (int, error) { return f(p) }

func TestBlobsThatAreNotThere(t *testing.T) {
	each(t, func(t *testing.T, p *place) {
		digest := p.put(t, filled(10))
		p.write("secret", []byte("not a blob"))
		for _, name := range []string{sum(filled(11)), "", "..", "../secret", digest[:63], digest + "0", strings.ToUpper(digest), digest[:2] + "/" + digest, digest[:60] + "/../", "\x00",
			strings.Repeat("../", 22)[:64]} {
			if _, code := p.get(t, name); code != "no-such-blob" {
				t.Errorf("%q: %q", name, code)
			}
		}
	})
}

// A blob that is not what it was is never given out. It is named, and storing the same file once more mends it.
func TestBrokenBlobs(t *testing.T) {
	each(t, func(t *testing.T, p *place) {
		content, other := filled(5000), filled(6000)
		digest, whole := p.put(t, content), p.put(t, other)
		flipped := bytes.Clone(content)
		flipped[2500] ^= 1
		for name, now := range map[string][]byte{"a flipped bit": flipped, "cut short": content[:4096], "empty": {}, "longer": append(bytes.Clone(content), 0), "another blob": other} {
			p.write(nameOf(digest), now)
			r, _, err := p.Open(t.Context(), digest)
			if codeOf(t, err) != "broken-blob" || r != nil || !strings.Contains(err.Error(), digest) {
				t.Errorf("%s: %v", name, err)
			}
			faults := p.check(t, 2)
			if len(faults) != 1 || !strings.Contains(faults[0].Where, digest) || faults[0].What == "" || faults[0].Next == "" {
				t.Errorf("%s: the check finds %+v", name, faults)
			}
			if got, code := p.get(t, whole); !bytes.Equal(got, other) {
				t.Errorf("%s: the other blob: %s", name, code)
			}
			p.put(t, content)
			if got, code := p.get(t, digest); !bytes.Equal(got, content) {
				t.Errorf("%s: after storing it again: %s", name, code)
			}
			if faults := p.check(t, 2); len(faults) > 0 {
				t.Errorf("%s: after storing it again the check finds %+v", name, faults)
			}
		}
	})
}

// check runs the check and looks at its progress.
func (p *place) check(t *testing.T, total int64) []book.Fault {
	t.Helper()
	var told []int64
	faults, err := p.Check(t.Context(), func(done, of int64) {
		if told = append(told, done); of != total {
			t.Errorf("%d of %d, want of %d", done, of, total)
		}
	})
	must(t, err)
	if int64(len(told)) != total || !slices.IsSorted(told) || total > 0 && told[total-1] != total {
		t.Errorf("progress %v, want to %d", told, total)
	}
	return faults
}

func TestTheCheckNamesWhatIsNoBlob(t *testing.T) {
	each(t, func(t *testing.T, p *place) {
		p.put(t, filled(1))
		strays := []string{"notes.txt", "ab/notes.txt", "ab/" + strings.Repeat("c", 64)}
		for _, name := range strays {
			p.write(name, []byte("x"))
		}
		faults := p.check(t, 1)
		for _, name := range strays {
			if !slices.ContainsFunc(faults, func(f book.Fault) bool { return strings.Contains(filepath.ToSlash(f.Where), name) && f.Next != "" }) {
				t.Errorf("%s is not named in %+v", name, faults)
			}
			if !p.exists(name) {
				t.Errorf("%s is gone", name)
			}
		}
		if len(faults) != len(strays) {
			t.Errorf("%d faults", len(faults))
		}
		if faults, err := p.Check(t.Context(), nil); err != nil || len(faults) != len(strays) {
			t.Errorf("without progress: %d faults, %v", len(faults), err)
		}
		ctx, stop := context.WithCancel(t.Context())
		stop()
		if _, err := p.Check(ctx, nil); !errors.Is(err, context.Canceled) {
			t.Errorf("given up: %v", err)
		}
	})
}

// Many at once store the same and other blobs, and read them.
func TestManyAtOnce(t *testing.T) {
	each(t, func(t *testing.T, p *place) {
		var group sync.WaitGroup
		for i := range 8 {
			group.Go(func() {
				for j := range 6 {
					content := filled(20_000 + (i+j)%7)
					digest, _, err := p.Put(t.Context(), bytes.NewReader(content), 1<<20)
					if err != nil || digest != sum(content) {
						t.Error(digest, err)
						return
					}
					if got, code := p.get(t, digest); !bytes.Equal(got, content) {
						t.Error(code)
					}
				}
			})
		}
		group.Wait()
		if names := p.names(); len(names) != 7 {
			t.Errorf("kept are %q", names)
		}
	})
}
