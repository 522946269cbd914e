package measured

import (
	"bytes"
	"context"
	"fmt"

	"slatewright/internal/measured/kept"
	"slatewright/internal/picture/contour"
	"slatewright/internal/picture/facemap"
	"slatewright/internal/picture/look"
)

// Picture says how a face is drawn.
type Picture struct {
	Title    string        // "": the piece and the face
	About    string        // "": one English sentence on what is shown
	Mark     string        // "": that of the file, if it says that its data are invented
	EdgeBand float64       // mm; of the specification
	WidthMM  float64       // of the picture; 0: 120
	Words    facemap.Words // zero: English
	Warnings []string      // nil: those of the face
}

const defaultPictureMM = 120.0

// Draw draws a face as SVG: one element, without scripts and outside references.
func (r *Room) Draw(ctx context.Context, digest string, p Picture) ([]byte, error) {
	return kept.Get(ctx, r.shelf, drawKey(digest, p), r.drawWork(digest, p))
}

// AskDraw is Draw for a page.
func (r *Room) AskDraw(digest string, p Picture) Asked[[]byte] {
	return kept.Ask(r.shelf, drawKey(digest, p), r.options.Patience, r.drawWork(digest, p))
}

func drawKey(digest string, p Picture) string {
	return fmt.Sprintf("drawing %s %q", digest, fmt.Sprintf("%+v", p))
}

func (r *Room) drawWork(digest string, p Picture) kept.Work[[]byte] {
	return kept.Work[[]byte]{
		Bytes: func(b []byte) int64 { return int64(len(b)) + 1024 },
		Do: func(ctx context.Context) ([]byte, error) {
			s, err := r.surface(ctx, digest)
			if err != nil {
				return nil, err
			}
			m, err := r.Map(ctx, digest, widths[0]) // has the readings, if they are few
			if err != nil {
				return nil, err
			}
			return turn(ctx, r, light, func() ([]byte, error) { return p.svg(s.drawn(m, p)) })
		},
	}
}

// drawn is the picture of a face with its words.
func (s *surface) drawn(m Map, p Picture) facemap.Map {
	d := s.picture()
	if m.Points <= mostListed {
		for _, z := range m.Readings {
			d.Readings = append(d.Readings, contour.Point{X: z.X, Y: z.Y})
		}
	}
	d.Title = m.Title
	d.About = "Heights over the middle of the zone, " + look.Both(m.ZoneMM) + ", " + m.State + "; between readings: " + m.Between + "."
	if d.Bottom {
		d.About += " The bottom is seen turned over about the y axis."
	}
	d.Mark, d.Warnings = s.flat.Mark, m.Warnings
	return p.onto(d)
}

// onto puts the words of whoever asks over the picture's own.
func (p Picture) onto(d facemap.Map) facemap.Map {
	for _, w := range []struct {
		own   *string
		given string
	}{{&d.Title, p.Title}, {&d.About, p.About}, {&d.Mark, p.Mark}} {
		if w.given != "" {
			*w.own = w.given
		}
	}
	if p.Words != (facemap.Words{}) {
		d.Words = p.Words
	}
	if p.Warnings != nil {
		d.Warnings = p.Warnings
	}
	d.EdgeBand = p.EdgeBand
	return d
}

func (p Picture) svg(d facemap.Map) ([]byte, error) {
	if p.WidthMM == 0 {
		p.WidthMM = defaultPictureMM
	}
	var b bytes.Buffer
	err := d.SVG(&b, p.WidthMM)
	return b.Bytes(), err
}
