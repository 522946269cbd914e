package sqlite

import (
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"time"

	"github.com/gofrs/flock"

	"slatewright/trouble"
)

// A holder is who has the folder, as written into book.lock for whoever comes second.
type holder struct {
	Program string    `json:"program"`
	Process int       `json:"process"`
	Host    string    `json:"host"`
	Since   time.Time `json:"since"`
}

// take locks the folder. The lock ends with the process, however that ends; the file stays and means nothing without the lock.
func (b *Book) take(o Options) error {
	path := filepath.Join(b.folder, "book.lock")
	lock := flock.New(path, flock.SetPermissions(0o640))
	mine, err := lock.TryLock()
	if err != nil {
		return readOnly(b.folder).Because(err)
	}
	if !mine {
		return held(b.folder, path)
	}
	b.lock = lock
	host, _ := os.Hostname()
	text, err := json.Marshal(holder{Program: o.Holder, Process: os.Getpid(), Host: host, Since: o.Now.UTC().Truncate(time.Second)})
	if err == nil {
		err = os.WriteFile(path, append(text, '\n'), 0o640)
	}
	if err != nil {
		return errors.Join(readOnly(b.folder).Because(err), lock.Unlock())
	}
	return nil
}

func held(folder, path string) error {
	who := "another program"
	next := "stop that program, or ask it over its address instead of the folder"
	var h holder
	if text, err := os.ReadFile(path); err == nil && json.Unmarshal(text, &h) == nil && h.Process != 0 {
		who = fmt.Sprintf("%s, process %d on %s since %s,", h.Program, h.Process, h.Host, h.Since.Format("2006-01-02 15:04:05 UTC"))
		next = fmt.Sprintf("stop process %d, or ask it over its address instead of the folder", h.Process)
	}
	return trouble.IO("book-held", folder, who+" has this book open", next)
}
