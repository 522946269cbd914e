package api

import (
	"context"
	"fmt"
	"io"
	"net/http"
	"strconv"
	"time"

	"github.com/danielgtaylor/huma/v2"

	"slatewright/internal/book"
	"slatewright/internal/web/problem"
)

// blobTime is how long a blob may take to come: 64 MB over a weak radio link of 1 Mbit/s take 9 minutes.
const blobTime = 10 * time.Minute

// Kept is a blob that is kept.
type Kept struct {
	Digest string `json:"digest" doc:"SHA-256 of the content, hexadecimal; acts name the blob by it" example:"9f86d081884c7d659a2feaa0c55ad015a3bf4f1b2b0b822cd15d6c15b0f00a08"`
	Bytes  int64  `json:"size_bytes" example:"1843200"`
}

type keptAnswer struct{ Body Kept }

func (d *desk) addBlobs() {
	answer := Kept{"9f86d081884c7d659a2feaa0c55ad015a3bf4f1b2b0b822cd15d6c15b0f00a08", 1843200}
	fails := []string{"too-large", "too-slow", "bad-request"}
	add(d, Route{Method: http.MethodPost, Path: "/blobs", ID: "keep-blob", Tag: "blobs", Summary: "Keep a scan or a file",
		Text: "The body is the content as it is. The same content again is harmless and gets the same digest.", Least: book.Hand, Fails: fails,
		Answer: answer, status: http.StatusCreated, streams: true}, d.keep)
	add(d, Route{Method: http.MethodPut, Path: "/blobs/{digest}", ID: "keep-blob-as", Tag: "blobs", Summary: "Keep a scan or a file whose digest you know",
		Text: "As POST, and what arrives is held to the digest: damage on the way is found.", Least: book.Hand, Fails: append(fails, "digest-differs"),
		Answer: answer, status: http.StatusCreated, streams: true}, d.keepAs)
	add(d, Route{Method: http.MethodGet, Path: "/blobs/{digest}", ID: "read-blob", Tag: "blobs", Summary: "Read a scan or a file",
		Text: "Its content is verified before the first byte is sent. It never changes, so it may be kept for ever.", Least: book.Visitor,
		Fails: []string{"no-such-blob", "broken-blob"}, streams: true}, d.blob)
	for _, op := range []*huma.Operation{d.api.OpenAPI().Paths[Base+"/blobs"].Post, d.api.OpenAPI().Paths[Base+"/blobs/{digest}"].Put} {
		op.RequestBody = &huma.RequestBody{Required: true, Content: map[string]*huma.MediaType{"application/octet-stream": binary("face;4;x;y;z")}}
	}
	d.api.OpenAPI().Paths[Base+"/blobs/{digest}"].Get.Responses["200"].Content = map[string]*huma.MediaType{"application/octet-stream": binary("face;4;x;y;z")}
}

func binary(example string) *huma.MediaType {
	return &huma.MediaType{Schema: &huma.Schema{Type: huma.TypeString, Format: "binary"}, Example: example}
}

func (d *desk) keep(ctx context.Context, _ *struct{}) (*keptAnswer, error) {
	q := asked(ctx)
	if q.http.ContentLength > d.MaxUpload {
		return nil, problem.TooLarge(d.MaxUpload)
	}
	_ = http.NewResponseController(q.answer).SetReadDeadline(time.Now().Add(blobTime)) // not every connection can; the server's own limit holds
	body := &broken{Reader: http.MaxBytesReader(q.answer, q.http.Body, d.MaxUpload)}
	digest, size, err := d.Blobs.Put(ctx, body, d.MaxUpload)
	if body.err != nil {
		return nil, unread(body.err)
	}
	return &keptAnswer{Kept{digest, size}}, err
}

// broken remembers how reading ended, so that a sender who breaks off is not taken for a store that fails.
type broken struct {
	io.Reader
	err error
}

func (b *broken) Read(p []byte) (int, error) {
	n, err := b.Reader.Read(p)
	if err != nil && err != io.EOF {
		b.err = err
	}
	return n, err
}

type digestQuestion struct {
	Digest string `path:"digest" pattern:"^[0-9a-f]{64}$" doc:"SHA-256 of the content, hexadecimal" example:"9f86d081884c7d659a2feaa0c55ad015a3bf4f1b2b0b822cd15d6c15b0f00a08"`
}

func (d *desk) keepAs(ctx context.Context, in *digestQuestion) (*keptAnswer, error) {
	out, err := d.keep(ctx, nil)
	if err == nil && out.Body.Digest != in.Digest {
		err = problem.New("digest-differs", "digest", "what arrived has the digest "+out.Body.Digest, "send it again; it was damaged on the way, or is another file")
	}
	return out, err
}

type blobAnswer struct {
	Status int
	Kind   string `header:"Content-Type" hidden:"true"`
	How    string `header:"Content-Disposition" hidden:"true"`
	Length string `header:"Content-Length" hidden:"true"`
	Cache  string `header:"Cache-Control" hidden:"true"`
	Tag    string `header:"ETag" hidden:"true"`
	Body   func(huma.Context)
}

func (d *desk) blob(ctx context.Context, in *digestQuestion) (*blobAnswer, error) {
	content, size, err := d.Blobs.Open(ctx, in.Digest)
	if err != nil {
		return nil, err
	}
	return &blobAnswer{
		Status: http.StatusOK, Kind: "application/octet-stream", How: fmt.Sprintf("attachment; filename=%q", in.Digest[:12]), Length: strconv.FormatInt(size, 10),
		Cache: "private, max-age=31536000, immutable", Tag: `"` + in.Digest + `"`,
		Body: func(c huma.Context) {
			defer content.Close()
			c.SetStatus(http.StatusOK)
			if _, err := io.Copy(c.BodyWriter(), content); err != nil {
				d.Log.Warn("blob not sent whole", "digest", in.Digest, "cause", err)
				panic(http.ErrAbortHandler) // half a blob must not look whole
			}
		},
	}, nil
}
