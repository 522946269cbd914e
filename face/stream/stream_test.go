package stream

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"runtime"
	"slices"
	"strings"
	"testing"
	"testing/iotest"

	"pgregory.net/rapid"

	"slatewright/trouble"
)

// numbered is n lines, each with its number.
func numbered(n int) string {
	var b strings.Builder
	for i := range n {
		fmt.Fprintf(&b, "%d\n", i)
	}
	return b.String()
}

// split reads the lines of r in blocks and puts them together again.
func split(r io.Reader, cut Cutter) (lines []string, rest []byte, torn bool, err error) {
	rest, err = InOrder(r, true, cut, func(b *Block[[]string]) {
		b.Fruit = strings.SplitAfter(strings.TrimSuffix(string(b.Text), "\n"), "\n")
	}, func(b *Block[[]string]) error {
		if len(b.Text) > 0 {
			lines = append(lines, b.Fruit...)
			lines[len(lines)-1] += "\n"
		}
		torn = torn || b.Torn
		return nil
	})
	return lines, rest, torn, err
}

func TestBlocksComeInOrder(t *testing.T) {
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(0))
	const n = 500_000 // about 3.4 MiB, four blocks
	text := numbered(n)
	for _, cores := range []int{1, 2, 7} {
		runtime.GOMAXPROCS(cores)
		for name, r := range map[string]io.Reader{
			"whole": strings.NewReader(text), "halves": iotest.HalfReader(strings.NewReader(text)),
			"end with the data": iotest.DataErrReader(strings.NewReader(text)), "torn": strings.NewReader(text[:len(text)-1]),
		} {
			lines, rest, torn, err := split(r, WholeLines)
			if err != nil || len(rest) != 0 || strings.Join(lines, "") != text || torn != (name == "torn") {
				t.Errorf("%d cores, %s: %d lines, %d bytes left, torn %v, %v", cores, name, len(lines), len(rest), torn, err)
			}
		}
	}
}

// Short inputs of any kind, cut after some lines: what was not used comes back.
func TestWhatIsNotUsedComesBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.StringMatching(`([a-z]{0,3}\n){0,20}[a-z]{0,3}`).Draw(t, "text")
		wanted := rapid.IntRange(0, 25).Draw(t, "lines")
		left := wanted
		lines, rest, _, err := split(strings.NewReader(text), func(text []byte) (int, bool) {
			end := 0
			for ; left > 0 && end < len(text); left-- {
				end += bytes.IndexByte(text[end:], '\n') + 1
			}
			return end, left == 0
		})
		whole := text
		if whole != "" && !strings.HasSuffix(whole, "\n") {
			whole += "\n"
		}
		all := strings.SplitAfter(whole, "\n")
		all = all[:len(all)-1]
		n := min(wanted, len(all))
		if err != nil || strings.Join(lines, "") != strings.Join(all[:n], "") || string(rest) != strings.Join(all[n:], "") {
			t.Fatalf("%d lines of %q: %q and %q left, %v", wanted, text, lines, rest, err)
		}
	})
}

func TestALineLongerThanABlock(t *testing.T) {
	_, _, _, err := split(strings.NewReader("short\n"+strings.Repeat("x", blockSize+1)), WholeLines)
	var tr *trouble.Trouble
	if err = Stopped(err, "a:2"); !errors.As(err, &tr) || tr.Kind != trouble.KindData || tr.Code != "line-too-long" || tr.Where != "a:2" {
		t.Errorf("%v", err)
	}
}

// The first error in the order of the input is the one that is told: of merge before one of the input, of an early block
// before one of a later.
func TestTheFirstErrorIsTold(t *testing.T) {
	text := numbered(500_000)
	cut := errors.New("the cable is out")
	for bad, want := range map[int]string{0: "block 0", 2: "block 2", 99: "the cable is out"} {
		r := NewSource("a", io.MultiReader(strings.NewReader(text), iotest.ErrReader(cut)))
		n := -1
		_, err := InOrder(r, true, WholeLines, func(b *Block[int]) {}, func(b *Block[int]) error {
			if n++; n >= bad {
				return fmt.Errorf("block %d", n)
			}
			return nil
		})
		if err == nil || err.Error() != want {
			t.Errorf("bad from block %d: %v, want %s", bad, err, want)
		}
	}
}

// A panic of a worker is raised where the caller can turn it into words, once no worker is at work any more.
func TestPanicReachesTheCaller(t *testing.T) {
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(4))
	merged := 0
	defer func() {
		if got := recover(); got != "broken" || merged > 1 {
			t.Errorf("recovered %v after %d blocks", got, merged)
		}
	}()
	_, err := InOrder(strings.NewReader(numbered(500_000)), true, WholeLines, func(b *Block[bool]) {
		if !bytes.HasPrefix(b.Text, []byte("0\n")) {
			panic("broken")
		}
	}, func(*Block[bool]) error { merged++; return nil })
	t.Errorf("no panic, %v", err)
}

func TestLines(t *testing.T) {
	s := NewSource("a", strings.NewReader("one\r\n\ntwo\nlast"))
	var got []string
	for {
		line, err := s.Line()
		if err == io.EOF {
			break
		}
		if err != nil {
			t.Fatal(err)
		}
		got = append(got, fmt.Sprint(s.Lines, string(line), s.Torn))
	}
	if want := []string{"1onefalse", "2false", "3twofalse", "4lasttrue"}; !slices.Equal(got, want) {
		t.Errorf("got %q, want %q", got, want)
	}
	var tr *trouble.Trouble
	_, err := NewSource("a", strings.NewReader(strings.Repeat("x", lineLimit+1))).Line()
	if !errors.As(err, &tr) || tr.Code != "line-too-long" || tr.Where != "a:1" {
		t.Errorf("a long line: %v", err)
	}
}

// An input that has failed stays failed, though nobody looked at the first error, and though it would go on.
func TestAFailureIsNotForgotten(t *testing.T) {
	cut := errors.New("the cable is out")
	s := NewSource("a", io.MultiReader(strings.NewReader("ab"), iotest.ErrReader(cut), strings.NewReader("c\n")))
	if start, _ := s.Peek(4); string(start) != "ab" {
		t.Fatalf("peeked %q", start)
	}
	for range 2 {
		_, err := s.Line()
		var tr *trouble.Trouble
		if !errors.As(err, &tr) || tr.Kind != trouble.KindIO || tr.Err != cut || tr.Where != "a:1" || tr.Next == "" {
			t.Errorf("%v", err)
		}
	}
}

func TestSizeIsAHint(t *testing.T) {
	for _, c := range []struct {
		r    io.Reader
		want int64
	}{{strings.NewReader("four"), 4}, {bytes.NewReader(nil), 0}, {io.MultiReader(strings.NewReader("four")), 0}} {
		if got := NewSource("a", c.r).Size; got != c.want {
			t.Errorf("%T: %d bytes, want %d", c.r, got, c.want)
		}
	}
}
