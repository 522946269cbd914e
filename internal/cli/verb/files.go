package verb

import (
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strconv"
	"syscall"

	"slatewright/trouble"
)

// Every file that a verb reads is opened here, and every failure of that is told in the same words.

// Open opens a file for reading, or standard input when the name is "-"; shown is how messages call it.
func (s *Session) Open(name string) (in io.ReadCloser, shown string, err error) {
	if name == "-" {
		return io.NopCloser(s.Stdin), "standard input", nil
	}
	f, err := os.Open(name)
	if err != nil {
		return nil, name, Unreadable(name, err)
	}
	if info, err := f.Stat(); err == nil && info.IsDir() {
		f.Close()
		return nil, name, Unreadable(name, syscall.EISDIR)
	}
	return f, name, nil
}

// Read opens a file and hands it to a reader.
func Read[T any](s *Session, name string, from func(name string, in io.Reader) (T, error)) (T, error) {
	in, shown, err := s.Open(name)
	if err != nil {
		var none T
		return none, err
	}
	defer in.Close()
	return from(shown, in)
}

// Text reads a whole file, or standard input when the name is "-", up to most bytes and one more.
func (s *Session) Text(name string, most int64) ([]byte, error) {
	return Read(s, name, func(shown string, in io.Reader) ([]byte, error) {
		text, err := io.ReadAll(io.LimitReader(in, most+1))
		if err != nil {
			return nil, Unreadable(shown, err)
		}
		return text, nil
	})
}

// Unreadable is the trouble of a file that cannot be read.
func Unreadable(name string, err error) *trouble.Trouble {
	next := "check that the file is there and may be read"
	if errors.Is(err, fs.ErrNotExist) {
		next = "check the name: there is no such file"
	}
	return trouble.IO("unreadable", name, "the file cannot be read: "+Reason(err), next).Because(err)
}

// Unwritable is the trouble of a file that cannot be written.
func Unwritable(name string, err error) *trouble.Trouble {
	return trouble.IO("unwritable", name, "the file cannot be written: "+Reason(err), "check the folder, its permissions, and whether the disk is full").Because(err)
}

// NewFile is a file that must not be there yet.
type NewFile struct {
	Path string
	Text []byte
	Mode os.FileMode
}

// WriteNew writes files that must not be there yet, all of them or none. Each is written under another name beside its place,
// and gets its own only when all are on the disk. What is in the way is never written over.
func WriteNew(files ...NewFile) (err error) {
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
		write := func(w io.Writer) error {
			_, err := w.Write(f.Text)
			return err
		}
		if parts[i], err = writePart(f.Path, f.Mode, write); err != nil {
			return err
		}
		made = append(made, parts[i])
	}
	for i, f := range files {
		if err := reserve(f); err != nil {
			return err
		}
		made = append(made, f.Path)
		if err := os.Rename(parts[i], f.Path); err != nil {
			return Unwritable(f.Path, err)
		}
	}
	return nil
}

// StreamNew writes one file that must not be there yet, as WriteNew does, from what fill gives.
func StreamNew(path string, mode os.FileMode, fill func(io.Writer) error) error {
	part, err := writePart(path, mode, fill)
	if err != nil {
		return err
	}
	if err := reserve(NewFile{Path: path, Mode: mode}); err != nil {
		os.Remove(part)
		return err
	}
	if err := os.Rename(part, path); err != nil {
		os.Remove(part)
		os.Remove(path)
		return Unwritable(path, err)
	}
	return nil
}

// reserve takes the name of a file, so that putting the written one there takes nobody else's place.
func reserve(f NewFile) error {
	empty, err := os.OpenFile(f.Path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, f.Mode)
	if errors.Is(err, fs.ErrExist) {
		return InTheWay(f.Path)
	}
	if err != nil {
		return Unwritable(f.Path, err)
	}
	empty.Close()
	return nil
}

// InTheWay is the trouble of a new file whose name is taken.
func InTheWay(path string) *trouble.Trouble {
	return trouble.IO("file-exists", path, "there is a file of this name already", "give another name or folder, or move the old file away").Because(fs.ErrExist)
}

// writePart writes a file under a name of its own beside its place, to the disk, and returns that name.
func writePart(path string, mode os.FileMode, fill func(io.Writer) error) (string, error) {
	var part *os.File
	for n := 0; part == nil; n++ {
		name := filepath.Join(filepath.Dir(path), "."+filepath.Base(path)+".part"+strconv.Itoa(n))
		made, err := os.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, mode)
		if err != nil && !errors.Is(err, fs.ErrExist) {
			return "", Unwritable(path, err)
		}
		part = made
	}
	err := fill(part)
	if err == nil {
		err = part.Sync()
	}
	if closing := part.Close(); err == nil {
		err = closing
	}
	if err == nil {
		return part.Name(), nil
	}
	os.Remove(part.Name())
	var told *trouble.Trouble
	if errors.As(err, &told) { // not the file's fault: what should have filled it
		return "", err
	}
	return "", Unwritable(path, err)
}

// Reason is the innermost words of an error from the operating system, without the names that the sentence around gives.
func Reason(err error) string {
	var pe *fs.PathError
	if errors.As(err, &pe) {
		err = pe.Err
	}
	var no syscall.Errno
	if errors.As(err, &no) {
		return no.Error()
	}
	return err.Error()
}
