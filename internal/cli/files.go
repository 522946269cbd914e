package cli

import (
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strconv"
	"syscall"

	"slatewright/bed"
	"slatewright/bed/specfile"
	"slatewright/certificate"
	"slatewright/face"
	"slatewright/trouble"
)

// Every file that a verb reads is opened here, and every failure of that is told in the same words.

// open opens a file for reading, or standard input when the name is "-"; shown is how messages call it.
func (s *session) open(name string) (in io.ReadCloser, shown string, err error) {
	if name == "-" {
		return io.NopCloser(s.Stdin), "standard input", nil
	}
	f, err := os.Open(name)
	if err != nil {
		return nil, name, unreadable(name, err)
	}
	if info, err := f.Stat(); err == nil && info.IsDir() {
		f.Close()
		return nil, name, unreadable(name, syscall.EISDIR)
	}
	return f, name, nil
}

// read opens a file and hands it to a reader.
func read[T any](s *session, name string, from func(name string, in io.Reader) (T, error)) (T, error) {
	in, shown, err := s.open(name)
	if err != nil {
		var none T
		return none, err
	}
	defer in.Close()
	return from(shown, in)
}

func (s *session) face(name string) (*face.Face, error)      { return read(s, name, face.Read) }
func (s *session) spec(name string) (bed.Spec, error)        { return read(s, name, specfile.Read) }
func (s *session) text(name string) (text []byte, err error) { return read(s, name, whole) }

func (s *session) layUp(name string) (*certificate.LayUp, error) {
	l, err := read(s, name, certificate.ReadLayUp)
	return &l, err
}

// whole reads everything, up to the size of the largest certificate.
func whole(name string, in io.Reader) ([]byte, error) {
	text, err := io.ReadAll(io.LimitReader(in, certificate.MaxSize+1))
	if err != nil {
		return nil, unreadable(name, err)
	}
	return text, nil
}

func unreadable(name string, err error) *trouble.Trouble {
	next := "check that the file is there and may be read"
	if errors.Is(err, fs.ErrNotExist) {
		next = "check the name: there is no such file"
	}
	return trouble.IO("unreadable", name, "the file cannot be read: "+reason(err), next).Because(err)
}

func unwritable(name string, err error) *trouble.Trouble {
	return trouble.IO("unwritable", name, "the file cannot be written: "+reason(err), "check the folder, its permissions, and whether the disk is full").Because(err)
}

// newFile is a file that must not be there yet.
type newFile struct {
	path string
	text []byte
	mode os.FileMode
}

// writeNew writes files that must not be there yet, all of them or none. Each is written under another name beside its place,
// and gets its own only when all are on the disk. What is in the way is never written over.
func writeNew(files ...newFile) (err error) {
	var made []string
	defer func() {
		if err != nil {
			for _, path := range made {
				os.Remove(path)
			}
		}
	}()
	parts := make([]string, len(files))
	for i, f := range files {
		if parts[i], err = writePart(f); err != nil {
			return err
		}
		made = append(made, parts[i])
	}
	for i, f := range files {
		if err := reserve(f); err != nil {
			return err
		}
		made = append(made, f.path)
		if err := os.Rename(parts[i], f.path); err != nil {
			return unwritable(f.path, err)
		}
	}
	return nil
}

// reserve takes the name of a file, so that putting the written one there takes nobody else's place.
func reserve(f newFile) error {
	empty, err := os.OpenFile(f.path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, f.mode)
	if errors.Is(err, fs.ErrExist) {
		return inTheWay(f.path)
	}
	if err != nil {
		return unwritable(f.path, err)
	}
	empty.Close()
	return nil
}

func inTheWay(path string) *trouble.Trouble {
	return trouble.IO("file-exists", path, "there is a file of this name already", "give another name or folder, or move the old file away").Because(fs.ErrExist)
}

// writePart writes a file under a name of its own beside its place, to the disk, and returns that name.
func writePart(f newFile) (string, error) {
	var part *os.File
	for n := 0; part == nil; n++ {
		name := filepath.Join(filepath.Dir(f.path), "."+filepath.Base(f.path)+".part"+strconv.Itoa(n))
		made, err := os.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, f.mode)
		if err != nil && !errors.Is(err, fs.ErrExist) {
			return "", unwritable(f.path, err)
		}
		part = made
	}
	_, err := part.Write(f.text)
	if err == nil {
		err = part.Sync()
	}
	if closing := part.Close(); err == nil {
		err = closing
	}
	if err != nil {
		os.Remove(part.Name())
		return "", unwritable(f.path, err)
	}
	return part.Name(), nil
}
