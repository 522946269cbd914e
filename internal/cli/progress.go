package cli

import (
	"os"

	"github.com/schollz/progressbar/v3"
)

// progress is a line that moves while a long computation runs. It shows on a terminal only, and never with --json.
type progress struct{ bar *progressbar.ProgressBar }

func newProgress(s *session, total int) *progress {
	f, ok := s.Stderr.(*os.File)
	if !ok || s.JSON {
		return &progress{}
	}
	if info, err := f.Stat(); err != nil || info.Mode()&os.ModeCharDevice == 0 {
		return &progress{}
	}
	return &progress{progressbar.NewOptions(total, progressbar.OptionSetWriter(f), progressbar.OptionClearOnFinish(),
		progressbar.OptionSetDescription("seating and judging"), progressbar.OptionSetWidth(30), progressbar.OptionSetPredictTime(false))}
}

// add moves the line on. Not being able to draw it is no reason to stop.
func (p *progress) add(n int) {
	if p.bar != nil {
		_ = p.bar.Add(n)
	}
}

// close takes the line away.
func (p *progress) close() {
	if p.bar != nil {
		_ = p.bar.Finish()
	}
}
