package measured

import (
	"context"
	"errors"
	"fmt"
	"io"
	"regexp"
	"slices"
	"strings"

	"slatewright/bed"
	"slatewright/bed/specfile"
	"slatewright/certificate"
	"slatewright/face"
	"slatewright/internal/measured/kept"
	"slatewright/trouble"
)

const (
	// mostBytes is the largest file that is read: some two million readings of a scanner. Common practice, no source.
	mostBytes = 64 << 20
	// largeBytes is from where on a file is read alone.
	largeBytes = 4 << 20
)

var digestForm = regexp.MustCompile(`^[0-9a-f]{64}$`)

// unnamed is what a file is called while nothing says of which piece it is.
const unnamed = "readings"

// Face returns the readings of one face as they were read. It is called by the mark of its piece.
func (r *Room) Face(ctx context.Context, digest string) (*face.Face, error) {
	return kept.Get(ctx, r.shelf, "face "+digest, kept.Work[*face.Face]{
		Bytes: faceBytes,
		Do: func(ctx context.Context) (*face.Face, error) {
			f, err := read(ctx, r, unnamed, digest, face.Read)
			if err == nil && f.Piece != "" {
				f = called(f, f.Piece)
			}
			return f, err
		},
	})
}

func faceBytes(f *face.Face) int64 {
	bytes := 24*int64(len(f.Z)) + int64(len(f.Row)) + 1024
	for _, w := range f.Warnings {
		bytes += int64(len(w)) + 16
	}
	for _, o := range f.Other {
		bytes += int64(len(o.Key)+len(o.Value)) + 32
	}
	return bytes + 24*int64(len(f.Thickness)+len(f.Lined))
}

// called is the face under another name, in its warnings too. The readings are shared.
func called(f *face.Face, name string) *face.Face {
	again := *f
	again.Name = name
	again.Warnings = slices.Clone(f.Warnings)
	for i, w := range again.Warnings {
		again.Warnings[i] = rename(w, f.Name, name)
	}
	return &again
}

func rename(text, from, to string) string {
	if rest, ok := strings.CutPrefix(text, from+":"); ok {
		return to + ":" + rest
	}
	return text
}

// calledFailure names the file in a trouble.
func calledFailure(err error, name string) error {
	var t *trouble.Trouble
	if !errors.As(err, &t) || t.Where != unnamed && !strings.HasPrefix(t.Where, unnamed+":") {
		return err
	}
	told := *t
	told.Where = name + strings.TrimPrefix(t.Where, unnamed)
	return told.Because(err)
}

// faceCalled is a face under the name that whoever asks gives it.
func (r *Room) faceCalled(ctx context.Context, name, digest string) (*face.Face, error) {
	f, err := r.Face(ctx, digest)
	if err != nil {
		return nil, calledFailure(err, name)
	}
	return called(f, name), nil
}

// specification is the bed's specification; without a digest the nine-foot one.
func (r *Room) specification(ctx context.Context, digest string) (bed.Spec, error) {
	if digest == "" {
		return bed.NineFoot(), nil
	}
	return kept.Get(ctx, r.shelf, "specification "+digest, kept.Work[bed.Spec]{
		Bytes: func(bed.Spec) int64 { return 4096 },
		Do: func(ctx context.Context) (bed.Spec, error) {
			return read(ctx, r, "specification", digest, specfile.Read)
		},
	})
}

// layUp reads the steps of a lay-up; without a digest there are none.
func (r *Room) layUp(ctx context.Context, name, digest string) (*certificate.LayUp, error) {
	if digest == "" {
		return nil, nil
	}
	l, err := read(ctx, r, name, digest, certificate.ReadLayUp)
	return &l, err
}

// read gives a blob to a parser. What may be otherwise the next time is marked as passing.
func read[T any](ctx context.Context, r *Room, name, digest string, parse func(string, io.Reader) (T, error)) (v T, err error) {
	if !digestForm.MatchString(digest) {
		return v, trouble.Data("bad-digest", name, fmt.Sprintf("%.80q is not the digest of a file", digest), "give the 64 hexadecimal digits that were answered when it was stored")
	}
	in, size, err := r.blobs.Open(ctx, digest)
	if err != nil {
		return v, kept.Passing(err)
	}
	defer in.Close()
	if size > mostBytes {
		return v, trouble.Data("too-large", name, fmt.Sprintf("the file has %d bytes; %d are the most that are looked into", size, mostBytes),
			"read in coarser steps, or store the scan as binary PLY")
	}
	done, err := r.shelf.Turn(ctx, weight(size))
	if err != nil {
		return v, err
	}
	defer done()
	broken := &stoppable{ctx: ctx, r: in}
	if v, err = parse(name, broken); err != nil && broken.err != nil {
		err = kept.Passing(errors.Join(ctx.Err(), err))
	}
	return v, err
}

func weight(bytes int64) int {
	if bytes > largeBytes {
		return large
	}
	return light
}

// readingsWeight is the weight of work with a face's readings, which take some 24 bytes each.
func readingsWeight(f *face.Face) int { return weight(24 * int64(f.Len())) }

// stoppable is a reader that ends with its context and remembers what else ended it.
type stoppable struct {
	ctx context.Context
	r   io.Reader
	err error
}

func (s *stoppable) Read(p []byte) (int, error) {
	if s.err = s.ctx.Err(); s.err != nil {
		return 0, s.err
	}
	n, err := s.r.Read(p)
	if err != nil && err != io.EOF {
		s.err = err
	}
	return n, err
}
