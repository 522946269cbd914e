package verb

import (
	"os"

	"github.com/schollz/progressbar/v3"
)

// Progress is a line that moves while a long computation runs. It shows on a terminal only, and never with --json.
type Progress struct{ bar *progressbar.ProgressBar }

// NewProgress begins such a line for a work of so many parts; doing is what stands before it.
func NewProgress(s *Session, total int64, doing string) *Progress {
	f, ok := s.Stderr.(*os.File)
	if !ok || s.JSON {
		return &Progress{}
	}
	if info, err := f.Stat(); err != nil || info.Mode()&os.ModeCharDevice == 0 {
		return &Progress{}
	}
	return &Progress{progressbar.NewOptions64(total, progressbar.OptionSetWriter(f), progressbar.OptionClearOnFinish(),
		progressbar.OptionSetDescription(doing), progressbar.OptionSetWidth(30), progressbar.OptionSetPredictTime(false))}
}

// Add moves the line on. Not being able to draw it is no reason to stop.
func (p *Progress) Add(n int) {
	if p.bar != nil {
		_ = p.bar.Add(n)
	}
}

// Close takes the line away.
func (p *Progress) Close() {
	if p.bar != nil {
		_ = p.bar.Finish()
	}
}

// Set moves the line to so many of a total that may only now be known.
func (p *Progress) Set(done, total int64) {
	if p.bar != nil {
		p.bar.ChangeMax64(total)
		_ = p.bar.Set64(done)
	}
}
