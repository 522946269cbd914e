package blobs

import (
	"bytes"
	"context"
	"errors"
	"io"
	"net/http"
	"net/http/httptest"
	"os"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/johannesboyne/gofakes3"
	"github.com/johannesboyne/gofakes3/backend/s3mem"
	"github.com/minio/minio-go/v7"
)

// access is what the store in memory is asked with; it takes everything.
func access(t *testing.T) Access {
	t.Helper()
	return Access{Key: "key", Secret: "a-secret-that-is-not-told", Region: "us-east-1", Plain: true, Temp: t.TempDir()}
}

// serve runs an object store in memory with the bucket mill.
func serve(t *testing.T, wrap func(http.Handler) http.Handler) (host string, kept *s3mem.Backend) {
	t.Helper()
	kept = s3mem.New()
	must(t, kept.CreateBucket("mill"))
	server := httptest.NewServer(wrap(gofakes3.New(kept).Server()))
	t.Cleanup(server.Close)
	return strings.TrimPrefix(server.URL, "http://"), kept
}

func asItIs(h http.Handler) http.Handler { return h }

func aBucket(t *testing.T) *place {
	t.Helper()
	host, kept := serve(t, asItIs)
	a := access(t)
	s, err := Open(t.Context(), "s3://"+host+"/mill/quern/blobs", a)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if left, err := os.ReadDir(a.Temp); err != nil || len(left) > 0 {
			t.Errorf("temporary files are left: %v, %v", left, err)
		}
	})
	const prefix = "quern/blobs/"
	return &place{s,
		func(name string, content []byte) {
			_, err := kept.PutObject("mill", prefix+name, map[string]string{"Last-Modified": time.Now().UTC().Format(http.TimeFormat)}, bytes.NewReader(content), int64(len(content)), nil)
			must(t, err)
		},
		func(name string) bool { _, err := kept.HeadObject("mill", prefix+name); return err == nil },
		func() (names []string) {
			list, err := kept.ListBucket("mill", nil, gofakes3.ListBucketPage{})
			must(t, err)
			for _, o := range list.Contents {
				names = append(names, strings.TrimPrefix(o.Key, prefix))
			}
			slices.Sort(names)
			return names
		}}
}

// Two mills in one bucket do not see each other's blobs.
func TestPrefixesAreApart(t *testing.T) {
	host, _ := serve(t, asItIs)
	var all []Store
	for _, prefix := range []string{"", "/a", "/a/b", "/ab/"} {
		s, err := Open(t.Context(), "s3://"+host+"/mill"+prefix, access(t))
		must(t, err)
		all = append(all, s)
	}
	for i, s := range all {
		_, _, err := s.Put(t.Context(), bytes.NewReader(filled(i)), 100)
		must(t, err)
	}
	for i, s := range all {
		var found []string
		must(t, s.List(t.Context(), func(digest string, _ int64, _ time.Time) error { found = append(found, digest); return nil }))
		if len(found) != 1 || found[0] != sum(filled(i)) {
			t.Errorf("store %d lists %q", i, found)
		}
	}
}

func TestBucketsThatCannotBeOpened(t *testing.T) {
	host, _ := serve(t, asItIs)
	closed := httptest.NewServer(http.NotFoundHandler())
	closed.Close()
	refusing := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, _ *http.Request) { w.WriteHeader(http.StatusForbidden) }))
	defer refusing.Close()
	for place, want := range map[string]string{
		"s3://": "bad-address", "s3://" + host: "bad-address", "s3://" + host + "/": "bad-address", "s3:///mill": "bad-address", "s3://key:secret@" + host + "/mill": "bad-address",
		"s3://" + host + "/mill?x": "bad-address", "s3://host name/mill": "bad-address", "s3://" + host + "/other": "no-bucket", "s3://" + host + "/no_bucket!": "store-away",
		"s3://" + strings.TrimPrefix(closed.URL, "http://") + "/mill": "store-away", "s3://" + strings.TrimPrefix(refusing.URL, "http://") + "/mill": "store-refuses",
	} {
		a := access(t)
		_, err := Open(t.Context(), place, a)
		if codeOf(t, err) != want {
			t.Errorf("%s: %v, want %s", place, err, want)
		}
		if err != nil && (strings.Contains(err.Error(), a.Secret) || strings.Contains(err.Error(), "key:secret")) {
			t.Errorf("a secret stands in %v", err)
		}
	}
}

// While the store is away it is said, and nothing is taken for broken or missing; afterwards everything is there.
func TestTheStoreGoesAway(t *testing.T) {
	away, cut := false, false
	host, _ := serve(t, func(h http.Handler) http.Handler {
		return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
			switch {
			case away:
				w.WriteHeader(http.StatusNotImplemented) // is not asked again
			case cut && r.Method == http.MethodGet:
				w.Header().Set("Content-Length", "50000")
				w.Header().Set("Last-Modified", time.Now().UTC().Format(http.TimeFormat))
				w.Header().Set("Etag", `"x"`)
				w.WriteHeader(http.StatusOK)
				w.Write(filled(50_000)[:20_000])
			default:
				h.ServeHTTP(w, r)
			}
		})
	})
	s, err := Open(t.Context(), "s3://"+host+"/mill", access(t))
	must(t, err)
	p := &place{Store: s}
	digest := p.put(t, filled(50_000))
	away = true
	_, _, err = s.Put(t.Context(), bytes.NewReader(filled(10)), 100)
	faults, err2 := s.Check(t.Context(), nil)
	_, code := p.get(t, digest)
	if codeOf(t, err) != "store-away" || codeOf(t, err2) != "store-away" || code != "store-away" || len(faults) > 0 {
		t.Errorf("put %v, check %v %v, get %s", err, faults, err2, code)
	}
	away, cut = false, true
	if _, code := p.get(t, digest); code != "store-away" {
		t.Errorf("cut short on the way: %s", code)
	}
	cut = false
	if got, code := p.get(t, digest); !bytes.Equal(got, filled(50_000)) {
		t.Errorf("afterwards: %s", code)
	}
}

func TestWhatAStoreMaySay(t *testing.T) {
	b := &bucket{place: "s3://host/mill"}
	for want, cause := range map[string]minio.ErrorResponse{
		"store-refuses": {StatusCode: http.StatusForbidden}, "disk-full": {StatusCode: http.StatusInsufficientStorage}, "store-away": {StatusCode: http.StatusBadGateway},
	} {
		if err := b.explain(cause); codeOf(t, err) != want {
			t.Errorf("%v: %v", cause, err)
		}
	}
	for _, cause := range []error{nil, context.Canceled, context.DeadlineExceeded} {
		if err := b.explain(cause); !errors.Is(err, cause) {
			t.Errorf("%v: %v", cause, err)
		}
	}
	if codeOf(t, b.explain(io.ErrUnexpectedEOF)) != "store-away" {
		t.Error("a broken connection is not told")
	}
}

func FuzzAddress(f *testing.F) {
	f.Add("s3://host:9000/bucket/prefix/more")
	f.Add("s3://[::1]:9000/b//")
	f.Fuzz(func(t *testing.T, place string) {
		host, bucket, prefix, err := address(place)
		if err == nil && (host == "" || bucket == "" || strings.Contains(bucket, "/") || prefix != "" && !strings.HasSuffix(prefix, "/")) {
			t.Errorf("%q is %q, %q, %q", place, host, bucket, prefix)
		}
	})
}
