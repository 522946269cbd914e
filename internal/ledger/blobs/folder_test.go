package blobs

import (
	"bytes"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"
)

// A folder of blobs that leads elsewhere is not followed, in neither direction.
func TestNothingLeadsOutOfTheFolder(t *testing.T) {
	dir, outside := t.TempDir(), t.TempDir()
	content := filled(100)
	digest := sum(content)
	must(t, os.Symlink(outside, filepath.Join(dir, digest[:2])), os.WriteFile(filepath.Join(outside, digest), content, 0o640))
	s, err := Open(t.Context(), dir, Access{})
	must(t, err)
	defer s.Close()
	if r, _, err := s.Open(t.Context(), digest); err == nil {
		r.Close()
		t.Error("a blob outside is given out")
	}
	must(t, os.Remove(filepath.Join(outside, digest)))
	if _, _, err := s.Put(t.Context(), bytes.NewReader(content), 1000); err == nil {
		t.Error("a blob is put outside")
	} else {
		codeOf(t, err)
	}
	list, err := os.ReadDir(outside)
	must(t, err)
	if len(list) > 0 {
		t.Errorf("outside there is %v", list)
	}
}

// What a program that was killed left half written goes at the next opening; what another program is writing now stays.
func TestLeftoversAreCleaned(t *testing.T) {
	dir := t.TempDir()
	old, young, other := filepath.Join(dir, coming+"OLD"), filepath.Join(dir, coming+"YOUNG"), filepath.Join(dir, "old-notes.txt")
	for _, path := range []string{old, young, other} {
		must(t, os.WriteFile(path, []byte("half"), 0o640))
	}
	before := time.Now().Add(-2 * time.Hour)
	must(t, os.Chtimes(old, before, before), os.Chtimes(other, before, before))
	s, err := Open(t.Context(), dir, Access{})
	must(t, err)
	defer s.Close()
	for path, want := range map[string]bool{old: false, young: true, other: true} {
		if _, err := os.Stat(path); (err == nil) != want {
			t.Errorf("%s: %v", filepath.Base(path), err)
		}
	}
	faults, err := s.Check(t.Context(), nil)
	if err != nil || len(faults) != 1 || !strings.Contains(faults[0].Where, "old-notes.txt") {
		t.Errorf("the check names %+v, %v", faults, err)
	}
}

func TestAFolderThatCannotBe(t *testing.T) {
	file := filepath.Join(t.TempDir(), "file")
	must(t, os.WriteFile(file, nil, 0o640))
	for _, path := range []string{file, filepath.Join(file, "blobs")} {
		_, err := Open(t.Context(), path, Access{})
		if codeOf(t, err) == "" {
			t.Errorf("%s can be opened", path)
		}
	}
}

// What a disk may say, and what is said of it.
func TestTroubleWithTheDisk(t *testing.T) {
	for code, causes := range map[string][]error{
		"disk-full":  {syscall.ENOSPC, syscall.EDQUOT, &fs.PathError{Op: "write", Err: syscall.ENOSPC}},
		"read-only":  {syscall.EROFS, syscall.EACCES, fs.ErrPermission},
		"disk-error": {syscall.EIO, errors.New("anything else")},
	} {
		for _, cause := range causes {
			if err := explain("there", cause); codeOf(t, err) != code || !errors.Is(err, cause) {
				t.Errorf("%v: %v", cause, err)
			}
		}
	}
	if explain("there", nil) != nil {
		t.Error("there is trouble with nothing")
	}
}
