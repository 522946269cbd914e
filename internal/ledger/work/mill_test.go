package work_test

import (
	"bytes"
	"context"
	"encoding/json"
	"testing"
	"time"

	"slatewright/internal/jobs"
	"slatewright/internal/jobs/reckon"
	"slatewright/internal/ledger/blobs"
	"slatewright/internal/ledger/pgtest"
	"slatewright/internal/rehearsal"
)

// TestStockOfAMill sends the readings of an invented mill's pieces and has a face measured and the stock matched, on both engines.
func TestStockOfAMill(t *testing.T) {
	for name, where := range map[string]string{"SQLite": t.TempDir(), "Postgres": pgtest.Start(t)} {
		t.Run(name, func(t *testing.T) {
			shelf, err := blobs.Open(t.Context(), t.TempDir(), blobs.Access{})
			if err != nil {
				t.Fatal(err)
			}
			defer shelf.Close()
			o, err := open(where, "quern-hollow", jobs.Options{}, reckon.Workers(shelf)...)
			if err != nil {
				t.Fatal(err)
			}
			defer o.Close()
			ctx, stop := context.WithCancel(t.Context())
			ended := make(chan error, 1)
			go func() { ended <- o.Queue.Run(ctx) }()
			defer func() { stop(); <-ended }()

			in := reckon.MatchInput{Readings: map[string]string{}}
			m := rehearsal.New(rehearsal.DemoSeed, 6)
			for _, p := range m.Pieces {
				var b bytes.Buffer
				if err := m.Readings(p).WriteCSV(&b); err != nil {
					t.Fatal(err)
				}
				if in.Readings[p.Serial], _, err = shelf.Put(t.Context(), &b, 1<<20); err != nil {
					t.Fatal(err)
				}
			}
			first := m.Pieces[0].Serial
			var face reckon.ScanResult
			ask(t, o.Queue, "scan", reckon.ScanInput{Blob: in.Readings[first]}, &face)
			if face.Piece != first || face.ZoneMM <= 0 || face.ZoneMM > 5 {
				t.Errorf("scan: %+v", face)
			}
			var stock reckon.MatchResult
			ask(t, o.Queue, "match", in, &stock)
			if stock.Pieces != 6 || len(stock.Sets) == 0 || 3*len(stock.Sets)+len(stock.Unused) != 6 || stock.Stopped {
				t.Errorf("match: %+v", stock)
			}
		})
	}
}

// ask submits a job and waits for its result.
func ask(t *testing.T, q jobs.Queue, kind string, in, result any) {
	t.Helper()
	input, err := json.Marshal(in)
	if err != nil {
		t.Fatal(err)
	}
	j, err := q.Submit(t.Context(), kind, "first hand", input)
	if err != nil {
		t.Fatal(err)
	}
	for end := time.Now().Add(time.Minute); !j.State.Ended() && time.Now().Before(end); time.Sleep(20 * time.Millisecond) {
		if j, err = q.Job(t.Context(), j.ID); err != nil {
			t.Fatal(err)
		}
	}
	if j.State != jobs.Done {
		t.Fatalf("%s: %+v", kind, j)
	}
	if err := json.Unmarshal(j.Result, result); err != nil {
		t.Fatal(err)
	}
}
