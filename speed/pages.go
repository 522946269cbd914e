package main

import (
	"bufio"
	"bytes"
	"compress/gzip"
	"context"
	"crypto/rand"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"time"

	"slatewright/face"
	"slatewright/internal/book"
	"slatewright/internal/gate"
	"slatewright/internal/ledger"
	"slatewright/internal/ledger/credentials"
	"slatewright/internal/rehearsal/halfyear"
)

// The promises about the pages of a mill a hundred times the demo's.
const (
	pagesArgument   = "pages"
	actsOfPages     = 125_000 // of the large mill: they make the pieces below
	leastPieces     = 6_000
	mostFirstPage   = 100 * time.Millisecond
	firstPagesAsked = 60
	mostScript      = 150_000 // bytes, compressed, on any page but the relief
	mostMap         = time.Second
	pointsOfMap     = 1e6
	mostServing     = 400 << 20
)

// served is the program that serves the large mill.
type served struct {
	at     string
	token  string
	cmd    *exec.Cmd
	client *http.Client
	pieces []string // that are not rejected
}

// pagesSpeed makes a large mill, has the program serve it, and measures its pages as tablets ask for them.
func pagesSpeed(program, dir string) (total, missed int, err error) {
	s := &served{client: &http.Client{Timeout: time.Minute, Transport: &http.Transport{MaxIdleConnsPerHost: 2 * tablets, DisableCompression: true}}}
	folder := filepath.Join(dir, "pages")
	if err := s.fill(folder); err != nil {
		return 0, 0, err
	}
	if err := s.start(program, folder); err != nil {
		return 0, 0, err
	}
	defer s.stop()
	for _, step := range []func() (bool, error){s.firstPage, s.scripts, s.load, s.memory, s.mapOfScan} {
		kept, err := step()
		if err != nil {
			return total, missed, err
		}
		total++
		missed += count(!kept)
	}
	return total, missed, nil
}

// fill writes the book, and gives the lead a passphrase.
func (s *served) fill(folder string) error {
	ctx := context.Background()
	l, err := ledger.Open(ctx, folder, ledger.Options{Site: halfyear.Site, Create: true, Holder: "speed", Clock: time.Now, CheckAfter: time.Hour})
	if err != nil {
		return err
	}
	defer l.Close()
	tr := &trial{ctx: ctx, folder: folder, ledger: l}
	if err := tr.write(actsOfPages); err != nil {
		return err
	}
	all := 0
	for cursor := ""; ; {
		page, err := l.Things(ctx, book.Filter{Kind: book.KindPiece}, cursor, 500)
		if err != nil {
			return err
		}
		for _, t := range page.Items {
			if all++; t.Station != book.Heap {
				s.pieces = append(s.pieces, t.ID)
			}
		}
		if cursor = page.Next; cursor == "" {
			break
		}
	}
	if all < leastPieces {
		return fmt.Errorf("%d pieces, and %d are promised", all, leastPieces)
	}
	fmt.Printf("        %-44s %8d acts\n", fmt.Sprintf("a book of %d pieces", all), actsOfPages)
	g := gate.New(credentials.New(l.Handles()), gate.Options{Clock: time.Now, Random: rand.Reader})
	return g.SetPassphrase(ctx, "lead", passphrase)
}

const passphrase = "slate under the north light"

var open = regexp.MustCompile(`open at (http\S+)`)

// start serves the mill and signs in.
func (s *served) start(program, folder string) error {
	s.cmd = exec.Command(program, "serve", folder, "--listen", "127.0.0.1:0")
	s.cmd.Stderr = os.Stderr
	out, err := s.cmd.StdoutPipe()
	if err == nil {
		err = s.cmd.Start()
	}
	if err != nil {
		return err
	}
	for lines := bufio.NewScanner(out); s.at == "" && lines.Scan(); {
		if found := open.FindStringSubmatch(lines.Text()); found != nil {
			s.at = found[1]
		}
	}
	if s.at == "" {
		return fmt.Errorf("the program does not serve: %w", s.cmd.Wait())
	}
	answer, err := s.asks(http.MethodPost, "/api/v1/session", map[string]any{"person": "lead", "passphrase": passphrase, "token": true})
	if err != nil {
		return err
	}
	var session struct{ Token string }
	if err := json.Unmarshal(answer, &session); err != nil {
		return err
	}
	s.token = session.Token
	return nil
}

func (s *served) stop() {
	_ = s.cmd.Process.Signal(os.Interrupt) // it may have ended
	_ = s.cmd.Wait()
}

// asks sends a request and returns the answer, which must be a good one. A body is sent as JSON, bytes as they are.
func (s *served) asks(method, path string, body any) ([]byte, error) {
	var in io.Reader
	kind := "application/json"
	switch b := body.(type) {
	case nil:
	case []byte:
		in, kind = bytes.NewReader(b), "application/octet-stream"
	default:
		text, err := json.Marshal(b)
		if err != nil {
			return nil, err
		}
		in = bytes.NewReader(text)
	}
	r, err := http.NewRequest(method, s.at+path, in)
	if err != nil {
		return nil, err
	}
	if in != nil {
		r.Header.Set("Content-Type", kind)
	}
	if s.token != "" {
		r.Header.Set("Authorization", "Bearer "+s.token)
	}
	answer, err := s.client.Do(r)
	if err != nil {
		return nil, err
	}
	defer answer.Body.Close()
	text, err := io.ReadAll(answer.Body)
	if err == nil && answer.StatusCode >= 300 {
		err = fmt.Errorf("%s %s: %s %.300s", method, path, answer.Status, text)
	}
	return text, err
}

// firstPage asks for what waits, as the first page of everybody's day.
func (s *served) firstPage() (bool, error) {
	var took []time.Duration
	for range firstPagesAsked {
		start := time.Now()
		text, err := s.asks(http.MethodGet, "/", nil)
		if err != nil {
			return false, err
		}
		if took = append(took, time.Since(start)); !bytes.Contains(text, []byte(`class="slip"`)) {
			return false, fmt.Errorf("nothing waits on the first page")
		}
	}
	first := took[0]
	slices.Sort(took)
	most := took[len(took)-1]
	return promise(fmt.Sprintf("the first page, slowest of %d", len(took)), short(most),
		"at most 100 ms; the very first "+short(first)+", median "+short(took[len(took)/2]), most < mostFirstPage), nil
}

var (
	scriptOf = regexp.MustCompile(`<script type="module" src="([^"]+)"`)
	importOf = regexp.MustCompile(`(?:from|import)\s*"\./([^"]+\.js)"`)
)

// scripts weighs what the pages load besides themselves.
func (s *served) scripts() (bool, error) {
	most, where := 0, ""
	for _, path := range []string{"/", "/piece/" + s.pieces[0], "/station/saw", "/bench/" + s.pieces[0] + "?begin=yes&support=bench&instrument=QH-D2", "/do/reject"} {
		page, err := s.asks(http.MethodGet, path, nil)
		if err != nil {
			return false, err
		}
		var todo []string
		for _, m := range scriptOf.FindAllSubmatch(page, -1) {
			todo = append(todo, string(m[1]))
		}
		if len(todo) == 0 {
			return false, fmt.Errorf("%s has no scripts: make pages bundles them", path)
		}
		sum, seen := 0, map[string]bool{}
		for ; len(todo) > 0; todo = todo[1:] {
			at := todo[0]
			if seen[at] {
				continue
			}
			seen[at] = true
			text, err := s.asks(http.MethodGet, at, nil)
			if err != nil {
				return false, err
			}
			sum += compressed(text)
			for _, m := range importOf.FindAllSubmatch(text, -1) {
				todo = append(todo, at[:strings.LastIndex(at, "/")+1]+string(m[1]))
			}
		}
		if sum > most {
			most, where = sum, path
		}
	}
	return promise("scripts of a first load, compressed", fmt.Sprintf("%.1f kB", float64(most)/1e3), "at most 150 kB; the most is on "+where[:min(len(where), 30)], most < mostScript), nil
}

func compressed(text []byte) int {
	var b bytes.Buffer
	z := gzip.NewWriter(&b)
	_, _ = z.Write(text) // into memory
	_ = z.Close()
	return b.Len()
}

// mapOfScan hands in a scan of a million points and asks for its map, as a screen does.
func (s *served) mapOfScan() (bool, error) {
	f := rounded(scan(pointsOfMap, 41))
	f.SizeX, f.SizeY = 914, 1473
	var text bytes.Buffer
	if err := f.WritePLY(&text, face.BinaryLittleEndian); err != nil {
		return false, err
	}
	sum := sha256.Sum256(text.Bytes())
	digest := hex.EncodeToString(sum[:])
	if _, err := s.asks(http.MethodPut, "/api/v1/blobs/"+digest, text.Bytes()); err != nil {
		return false, err
	}
	piece := s.pieces[len(s.pieces)-1]
	if _, err := s.asks(http.MethodPost, "/api/v1/acts/read", map[string]any{"station": "bench", "body": map[string]any{"thing": "piece:" + piece, "what": "top",
		"instruments": []string{"QH-D2"}, "support": "bench", "blob": digest}}); err != nil {
		return false, err
	}
	start := time.Now()
	answer, err := s.asks(http.MethodGet, "/piece/"+piece+"/map?face=top&width=800", nil)
	if err != nil {
		return false, err
	}
	took := time.Since(start)
	var m struct {
		Grids []struct {
			Z []*float64 `json:"z_um"`
		} `json:"grids"`
	}
	if err := json.Unmarshal(answer, &m); err != nil || len(m.Grids) == 0 || len(m.Grids[0].Z) < 1000 {
		return false, fmt.Errorf("the map is not as expected: %v %.200s", err, answer)
	}
	return promise("the map of 1e+06 points, not seen before", short(took), fmt.Sprintf("at most 1 s; %d kB", len(answer)/1000), took < mostMap), nil
}
