package blobs

import (
	"bytes"
	"os"
	"syscall"
	"testing"
)

// A disk of 256 KiB fills up: that is said, nothing half stays, what was there is whole, and there is room again.
func TestAFullDisk(t *testing.T) {
	if os.Getuid() != 0 {
		t.Skip("only root can make a small disk")
	}
	dir := t.TempDir()
	if err := syscall.Mount("tmpfs", dir, "tmpfs", 0, "size=256k"); err != nil {
		t.Skip("no small disk can be made here: ", err)
	}
	defer syscall.Unmount(dir, syscall.MNT_DETACH)
	s, err := Open(t.Context(), dir, Access{})
	must(t, err)
	defer s.Close()
	p := &place{Store: s}
	small := filled(100_000)
	digest := p.put(t, small)
	for range 3 {
		_, _, err := s.Put(t.Context(), bytes.NewReader(filled(200_000)), 1<<20)
		if codeOf(t, err) != "disk-full" {
			t.Fatalf("got %v", err)
		}
	}
	if got, code := p.get(t, digest); !bytes.Equal(got, small) {
		t.Errorf("what was there: %s", code)
	}
	p.put(t, filled(100_001))
	must(t, syscall.Mount("", dir, "", syscall.MS_REMOUNT|syscall.MS_RDONLY, ""))
	if _, _, err := s.Put(t.Context(), bytes.NewReader(small), 1<<20); codeOf(t, err) != "read-only" {
		t.Errorf("a disk that takes nothing: %v", err)
	}
	if got, code := p.get(t, digest); !bytes.Equal(got, small) {
		t.Errorf("reading from it: %s", code)
	}
	again, err := Open(t.Context(), dir, Access{})
	if err != nil {
		t.Fatalf("opening it: %v", err)
	}
	must(t, again.Close())
}
