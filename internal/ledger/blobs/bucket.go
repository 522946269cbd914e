package blobs

import (
	"context"
	"crypto/sha256"
	"errors"
	"fmt"
	"io"
	"net/http"
	"net/url"
	"os"
	"strings"
	"time"

	"github.com/minio/minio-go/v7"
	"github.com/minio/minio-go/v7/pkg/credentials"

	"slatewright/internal/book"
	"slatewright/trouble"
)

// bucket keeps blobs as objects of an object store.
type bucket struct {
	client *minio.Client
	bucket string
	prefix string // empty, or ends in a slash
	place  string // for messages: the address, which holds no credentials
	temp   string
}

// tries is how often a question to the store is asked before it counts as away: common practice, no source.
const tries = 3

// address takes s3://host/bucket/prefix apart. prefix is empty or ends in a slash.
func address(place string) (host, bucket, prefix string, err error) {
	u, err := url.Parse(place)
	if err != nil || u.Host == "" || u.User != nil || u.RawQuery != "" || u.Fragment != "" {
		return "", "", "", trouble.Usage("bad-address", "", "this is no address of an object store", "write s3://host/bucket; its key and secret are given apart")
	}
	bucket, prefix, _ = strings.Cut(strings.Trim(u.Path, "/"), "/")
	if bucket == "" {
		return "", "", "", trouble.Usage("bad-address", place, "the address names no bucket", "write s3://host/bucket")
	}
	if prefix != "" {
		prefix += "/"
	}
	return u.Host, bucket, prefix, nil
}

func openBucket(ctx context.Context, place string, a Access) (*bucket, error) {
	host, name, prefix, err := address(place)
	if err != nil {
		return nil, err
	}
	client, err := minio.New(host, &minio.Options{Creds: credentials.NewStaticV4(a.Key, a.Secret, ""), Secure: !a.Plain, Region: a.Region,
		BucketLookup: minio.BucketLookupPath, MaxRetries: tries})
	if err != nil {
		return nil, trouble.Usage("bad-address", place, "this is no address of an object store", "write s3://host/bucket").Because(err)
	}
	b := &bucket{client, name, prefix, place, a.Temp}
	there, err := client.BucketExists(ctx, name)
	if err != nil {
		return nil, b.explain(err)
	}
	if !there {
		return nil, trouble.IO("no-bucket", place, "the object store has no such bucket", "make the bucket, or look at the address again")
	}
	return b, nil
}

// explain says what to do when the store does not do what it should.
func (b *bucket) explain(err error) error {
	if err == nil || errors.Is(err, context.Canceled) || errors.Is(err, context.DeadlineExceeded) {
		return err
	}
	switch r := minio.ToErrorResponse(err); {
	case r.StatusCode == http.StatusForbidden || r.StatusCode == http.StatusUnauthorized:
		return trouble.IO("store-refuses", b.place, "the object store does not let this program in", "look at the key and the secret, and at what they may do").Because(err)
	case r.StatusCode == http.StatusInsufficientStorage || r.Code == "XMinioStorageFull" || r.Code == "QuotaExceeded":
		return trouble.IO("disk-full", b.place, "the object store is full; nothing of this file was kept", "make room there and do it again").Because(err)
	}
	return trouble.IO("store-away", b.place, "the object store does not answer as it should", "look whether it runs and can be reached, then do it again").Because(err)
}

// Close is there because folders need it.
func (b *bucket) Close() error { return nil }

func (b *bucket) object(digest string) string { return b.prefix + nameOf(digest) }

// onItsWay is a file of this machine that nobody else sees: the name of an object is known only when all of it was read.
type onItsWay struct{ *os.File }

func (b *bucket) onItsWay() (*onItsWay, error) {
	f, err := os.CreateTemp(b.temp, "slatewright-blob-")
	if err != nil {
		return nil, explain("temporary files", err)
	}
	_ = os.Remove(f.Name()) // where an open file can lose its name, nothing is left when the program is killed
	return &onItsWay{f}, nil
}

// Close lets the file go.
func (o *onItsWay) Close() error {
	err := o.File.Close()
	_ = os.Remove(o.Name())
	return err
}

// Put reads all of it first, to know its digest, and then sends it. The store is told a checksum and refuses what arrives altered.
func (b *bucket) Put(ctx context.Context, r io.Reader, limit int64) (digest string, size int64, err error) {
	f, err := b.onItsWay()
	if err != nil {
		return "", 0, err
	}
	defer f.Close()
	if digest, size, err = digesting(ctx, f, r, limit, "temporary files"); err != nil {
		return "", 0, err
	}
	if _, err = f.Seek(0, io.SeekStart); err != nil {
		return "", 0, explain("temporary files", err)
	}
	_, err = b.client.PutObject(ctx, b.bucket, b.object(digest), f.File, size, minio.PutObjectOptions{ContentType: "application/octet-stream", SendContentMd5: true,
		DisableContentSha256: size == 0}) // the library would send an empty file without its length, which stores refuse
	if err != nil {
		return "", 0, b.explain(err)
	}
	return digest, size, nil
}

// Open fetches the whole object, verifies it, and then gives it.
func (b *bucket) Open(ctx context.Context, digest string) (r io.ReadCloser, size int64, err error) {
	if !isDigest(digest) {
		return nil, 0, noSuchBlob(digest)
	}
	object, err := b.client.GetObject(ctx, b.bucket, b.object(digest), minio.GetObjectOptions{})
	if err != nil {
		return nil, 0, b.explain(err)
	}
	defer object.Close()
	f, err := b.onItsWay()
	if err != nil {
		return nil, 0, err
	}
	if size, err = b.fetch(f, object, digest); err == nil {
		_, err = f.Seek(0, io.SeekStart)
	}
	if err != nil {
		return nil, 0, errors.Join(err, f.Close())
	}
	return f, size, nil
}

func (b *bucket) fetch(f io.Writer, object io.Reader, digest string) (size int64, err error) {
	sum, out := sha256.New(), &sink{Writer: f}
	size, err = io.Copy(io.MultiWriter(out, sum), object)
	switch {
	case out.err != nil:
		return 0, explain("temporary files", out.err)
	case err == nil && hexOf(sum) == digest:
		return size, nil
	case err == nil:
		return 0, broken(b.place+"/"+nameOf(digest), altered)
	case minio.ToErrorResponse(err).Code == minio.NoSuchKey:
		return 0, noSuchBlob(digest)
	}
	return 0, b.explain(err)
}

// walk goes through everything below the prefix in the order of its name.
func (b *bucket) walk(ctx context.Context, each func(digest string, o minio.ObjectInfo) error, stray func(name string)) error {
	ctx, stop := context.WithCancel(ctx) // the listing runs beside; when each refuses, it must end
	defer stop()
	for o := range b.client.ListObjectsIter(ctx, b.bucket, minio.ListObjectsOptions{Prefix: b.prefix, Recursive: true}) {
		if o.Err != nil {
			return b.explain(o.Err)
		}
		name := strings.TrimPrefix(o.Key, b.prefix)
		_, digest, _ := strings.Cut(name, "/")
		if !isDigest(digest) || name != nameOf(digest) {
			stray(name)
			continue
		}
		if err := each(digest, o); err != nil {
			return err
		}
	}
	return ctx.Err()
}

// List tells every blob, in the order of the digests.
func (b *bucket) List(ctx context.Context, each func(digest string, size int64, at time.Time) error) error {
	return b.walk(ctx, func(digest string, o minio.ObjectInfo) error { return each(digest, o.Size, o.LastModified) }, func(string) {})
}

// Check verifies every blob.
func (b *bucket) Check(ctx context.Context, progress func(done, total int64)) (faults []book.Fault, err error) {
	var all []string
	err = b.walk(ctx, func(digest string, _ minio.ObjectInfo) error { all = append(all, digest); return nil }, func(name string) {
		faults = append(faults, book.Fault{What: strayed, Where: fmt.Sprintf("%s: %.200q", b.place, name), Next: "look what it is, and put it somewhere else"})
	})
	if err != nil {
		return faults, err
	}
	return check(ctx, b, all, faults, progress)
}
