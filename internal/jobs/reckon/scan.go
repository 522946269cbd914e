package reckon

import (
	"context"
	"encoding/json"

	"slatewright/internal/book"
	"slatewright/internal/flat"
	"slatewright/internal/jobs"
	"slatewright/trouble"
)

// ScanInput asks how flat one face is.
type ScanInput struct {
	Blob string `json:"blob"` // digest of a scan or readings file, PLY or CSV
}

// ScanResult is how flat it is.
type ScanResult struct {
	Blob string `json:"blob"`
	flat.Flat
}

// scan is the worker.
type scan struct{ source }

// Scan computes the flatness of one face: its minimum zone, its least-squares flatness and its shape. It takes one slice: three
// million readings, the most that an upload of 64 MB holds, take less than a second to read and measure.
func Scan(b book.Blobs) jobs.Worker { return scan{source{b}} }

func (scan) Kind() string { return "scan" }

func (scan) Check(input json.RawMessage) error {
	var in ScanInput
	if err := decode("scan", input, &in); err != nil {
		return err
	}
	return checkDigest("blob", in.Blob)
}

func (s scan) Work(ctx context.Context, j jobs.Job) (jobs.Slice, error) {
	var in ScanInput
	if err := decode("scan", j.Input, &in); err != nil {
		return jobs.Slice{}, err
	}
	f, err := s.face(ctx, "blob "+in.Blob[:12], in.Blob)
	if err != nil {
		return jobs.Slice{}, err
	}
	found, err := flat.Of(f)
	if err != nil {
		return jobs.Slice{}, err
	}
	text, err := json.Marshal(ScanResult{in.Blob, found})
	return jobs.Slice{Progress: 1, Said: trouble.Count(found.Points, "reading", "readings") + " measured", Done: true, Result: text}, err
}
