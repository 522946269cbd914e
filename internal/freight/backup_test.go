package freight

import (
	"archive/tar"
	"bytes"
	"compress/gzip"
	"context"
	"errors"
	"io"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"slatewright/internal/book"
	"slatewright/trouble"
)

func backup(t testing.TB, m *mill, b *store) []byte {
	t.Helper()
	var out bytes.Buffer
	report, err := Backup(t.Context(), m, b, &signs{"secret words\n"}, &out, noon, nil)
	if err != nil {
		t.Fatal(err)
	}
	if report.Bytes != int64(out.Len()) || !report.Credentials || report.Entries != int64(len(m.journal)) {
		t.Fatalf("report: %+v", report)
	}
	return out.Bytes()
}

func TestBackupAndRestore(t *testing.T) {
	for _, n := range []int{0, 1, 2, 1000, 1001, 9000} { // 9000 entries are more than one piece of the journal
		m, blobs := filled(t, n)
		text := backup(t, m, blobs)
		for _, r := range []io.Reader{bytes.NewReader(text), onlyReader{bytes.NewReader(text)}} {
			m2, blobs2, cred := newMill(), newStore(), &signs{}
			report, err := Restore(t.Context(), r, into(m2, blobs2, cred), nil)
			if err != nil {
				t.Fatalf("%d entries: %v", n, err)
			}
			if report.Entries != int64(n) || report.Blobs != 3 || !report.Credentials || cred.text != "secret words\n" {
				t.Errorf("report: %+v", report)
			}
			sameBook(t, m, m2, blobs, blobs2)
		}
	}
}

type onlyReader struct{ io.Reader }

// The head of a journal of a hundred thousand entries is found without reading it.
func TestHeadIsFoundQuickly(t *testing.T) {
	for _, n := range []int{0, 1, 2, 3, 4, 5, 7, 8, 9, 100_000} {
		m := newMill()
		for range n {
			m.journal = append(m.journal, book.Placed{Entry: book.Entry{Seq: int64(len(m.journal)) + 1, Hash: book.Digest{byte(len(m.journal)), 1}}})
		}
		entries, head, err := headOf(t.Context(), m)
		if err != nil || entries != int64(n) || n > 0 && head != m.journal[n-1].Hash {
			t.Errorf("%d: %d, %v, %v", n, entries, head, err)
		}
		if m.asked > 40 {
			t.Errorf("%d entries: %d questions", n, m.asked)
		}
	}
}

// A backup that another writer appends to meanwhile is of one moment.
func TestBackupIsOfOneMoment(t *testing.T) {
	m, blobs := filled(t, 50)
	busy := &writing{mill: m}
	var out bytes.Buffer
	report, err := Backup(t.Context(), busy, blobs, nil, &out, noon, nil)
	if err != nil {
		t.Fatal(err)
	}
	if len(m.journal) <= 50 {
		t.Fatal("nobody wrote meanwhile")
	}
	m2 := newMill()
	if _, err := Restore(t.Context(), &out, into(m2, newStore(), nil), nil); err != nil {
		t.Fatal(err)
	}
	if int64(len(m2.journal)) != report.Entries || m2.journal[report.Entries-1].Hash.String() != report.Head {
		t.Errorf("%d entries restored, %d in the backup", len(m2.journal), report.Entries)
	}
}

// writing appends an entry whenever it is asked.
type writing struct{ *mill }

func (w *writing) Entries(ctx context.Context, after int64, limit int) ([]book.Placed, error) {
	if after == 0 && limit > 1 {
		e := w.journal[0].Entry
		e.ID = "another"
		if _, _, err := w.AppendAll(ctx, []book.Submission{{Entry: e}}, false); err != nil {
			return nil, err
		}
	}
	return w.mill.Entries(ctx, after, limit)
}

// Any byte of a backup that is changed, and any place where it ends, is found.
func TestEveryByteCounts(t *testing.T) {
	m, blobs := filled(t, 12)
	whole := backup(t, m, blobs)
	if _, err := CheckBackup(t.Context(), bytes.NewReader(whole), nil); err != nil {
		t.Fatal(err)
	}
	for i := range whole {
		for _, flip := range []byte{0x01, 0x80, 0xff} {
			text := bytes.Clone(whole)
			text[i] ^= flip
			mustBeTold(t, text, "byte %d ^ %x", i, flip)
		}
		mustBeTold(t, whole[:i], "ends at %d", i)
	}
	mustBeTold(t, append(bytes.Clone(whole), 0), "goes on")
	mustBeTold(t, append(bytes.Clone(whole), whole...), "twice")
}

func mustBeTold(t *testing.T, text []byte, what string, args ...any) {
	t.Helper()
	_, err := CheckBackup(t.Context(), bytes.NewReader(text), nil)
	var tr *trouble.Trouble
	if !errors.As(err, &tr) || tr.Kind != trouble.KindData || tr.What == "" || tr.Next == "" {
		t.Errorf(what+": %v", append(args, err)...)
	}
}

// member is one member of a tar file.
type member struct{ name, text string }

// membersOf takes a backup apart.
func membersOf(t *testing.T, backup []byte) (list []member) {
	t.Helper()
	zip, err := gzip.NewReader(bytes.NewReader(backup))
	if err != nil {
		t.Fatal(err)
	}
	for r := tar.NewReader(zip); ; {
		head, err := r.Next()
		if errors.Is(err, io.EOF) {
			return list
		}
		if err != nil {
			t.Fatal(err)
		}
		text, _ := io.ReadAll(r)
		list = append(list, member{head.Name, string(text)})
	}
}

// packed puts members together as if they were a backup, with a new list of digests and a new seal, as a forger would.
func packed(t *testing.T, list []member) []byte {
	t.Helper()
	var out bytes.Buffer
	zip := gzip.NewWriter(&out)
	k := &packing{tar: tar.NewWriter(zip), at: noon}
	for _, m := range list {
		var err error
		if m.name == sumsName && m.text == "" {
			err = k.seal()
		} else {
			err = k.put(m.name, []byte(m.text))
		}
		if err != nil {
			t.Fatal(err)
		}
	}
	k.tar.Close()
	zip.Close()
	raw := &rawReader{in: bytes.NewReader(out.Bytes()), hash: newHash()}
	io.Copy(io.Discard, raw)
	return append(out.Bytes(), trailer(raw.sum())...)
}

// Backups that somebody put together: each is refused, and the place is never taken for a whole book.
func TestForgedBackups(t *testing.T) {
	m, blobs := filled(t, 12)
	list := membersOf(t, backup(t, m, blobs))
	find := func(prefix string) int {
		for i, m := range list {
			if strings.HasPrefix(m.name, prefix) {
				return i
			}
		}
		t.Fatalf("no member %s", prefix)
		return 0
	}
	sums := member{name: sumsName}
	head, journal, cred, blob := list[find(manifestName)], list[find(journalFolder)], list[find(credentialsName)], list[find(blobFolder):find(sumsName)]
	with := func(list ...member) []member { return list }
	all := append(with(head, journal, cred), blob...)
	cases := map[string]struct {
		list []member
		code string
	}{
		"journal before the manifest": {append(with(journal, head, cred), append(blob, sums)...), "no-backup"},
		"manifest twice":              {append(with(head, head, journal, cred), append(blob, sums)...), "broken-backup"},
		"credentials after blobs":     {append(append(with(head, journal), blob...), cred, sums), "broken-backup"},
		"no journal":                  {append(with(head, cred), append(blob, sums)...), "broken-backup"},
		"journal twice":               {append(with(head, journal, journal, cred), append(blob, sums)...), "broken-backup"},
		"a blob missing":              {append(with(head, journal, cred), append(blob[1:], sums)...), "broken-backup"},
		"a blob too many":             {append(append(with(), all...), blob[0], sums), "broken-backup"},
		"a blob by another name":      {append(with(head, journal, cred, member{blob[0].name, "other"}), sums), "broken-backup"},
		"a blob by no digest":         {append(with(head, journal, cred, member{"blobs/../../etc", "x"}), sums), "broken-backup"},
		"a stranger":                  {append(with(head, journal, cred, member{"notes.txt", "x"}), sums), "broken-backup"},
		"no seal":                     {all, "cut-off"},
		"another's list of digests":   {append(append(with(), all...), member{sumsName, "x"}), "broken-backup"},
		"an entry changed":            {append(with(head, member{journal.name, strings.Replace(journal.text, "Q-3", "Q-4", 1)}, cred), append(blob, sums)...), "broken-chain"},
		"an entry taken out":          {append(with(head, member{journal.name, journal.text[:strings.Index(journal.text, "\n{\"seq\":12")+1]}, cred), append(blob, sums)...), "broken-backup"},
		"an entry in another form":    {append(with(head, member{journal.name, strings.Replace(journal.text, `{"seq"`, `{ "seq"`, 1)}, cred), append(blob, sums)...), "bad-line"},
		"a newer form":                {append(with(member{head.name, strings.Replace(head.text, `"version": 1`, `"version": 2, "more": 1`, 1)}), sums), "newer-format"},
		"another site":                {append(with(member{head.name, strings.Replace(head.text, `quern-hollow`, `elsewhere`, 1)}, journal), sums), "broken-chain"},
		"an export":                   {append(with(member{head.name, strings.Replace(head.text, BackupFormat, ExportFormat, 1)}), sums), "bad-manifest"},
		"fewer blobs stated":          {append(append(with(member{head.name, strings.Replace(head.text, `"blobs": 3`, `"blobs": 2`, 1)}), all[1:]...), sums), "broken-backup"},
	}
	if _, err := CheckBackup(t.Context(), bytes.NewReader(packed(t, append(append(with(), all...), sums))), nil); err != nil {
		t.Fatalf("the honest one: %v", err)
	}
	for name, c := range cases {
		m2 := newMill()
		_, err := Restore(t.Context(), onlyReader{bytes.NewReader(packed(t, c.list))}, into(m2, newStore(), nil), nil)
		if code(err) != c.code {
			t.Errorf("%s: %s (%v)", name, code(err), err)
		}
		if len(m2.journal) > 0 && m2.restoring == (book.Digest{}) {
			t.Errorf("%s: the place passes for a whole book", name)
		}
	}
}

// A member that says it is larger than anything of its kind is not read into memory.
func TestBombsAreRefused(t *testing.T) {
	for name, most := range map[string]int64{manifestName: maxManifest, "journal/000000001.jsonl": journalPiece + maxLine} {
		var out bytes.Buffer
		zip := gzip.NewWriter(&out)
		w := tar.NewWriter(zip)
		k := &packing{tar: w, at: noon}
		if name != manifestName {
			k.putJSON(manifestName, Manifest{Format: BackupFormat, Version: 1, Site: "s", Entries: 1, Head: strings.Repeat("0", 64)})
		}
		w.WriteHeader(&tar.Header{Name: name, Size: most + 1, Typeflag: tar.TypeReg})
		io.CopyN(w, zeros{}, most+1)
		w.Close()
		zip.Close()
		if _, err := CheckBackup(t.Context(), &out, nil); code(err) != "broken-backup" {
			t.Errorf("%s: %v", name, err)
		}
	}
}

type zeros struct{}

func (zeros) Read(p []byte) (int, error) { clear(p); return len(p), nil }

func TestRestoreGoesOnWhereItStopped(t *testing.T) {
	m, blobs := filled(t, 9000)
	text := backup(t, m, blobs)
	m2, blobs2 := newMill(), newStore()
	m2.failAt = 7000
	if _, err := Restore(t.Context(), bytes.NewReader(text), into(m2, blobs2, nil), nil); !errors.Is(err, errStopped) {
		t.Fatal(err)
	}
	there := int64(len(m2.journal))
	if there == 0 || m2.restoring == (book.Digest{}) {
		t.Fatalf("%d entries, mark %s", there, m2.restoring)
	}
	other, _ := filled(t, 20)
	if _, err := Restore(t.Context(), bytes.NewReader(backup(t, other, blobs)), into(m2, blobs2, nil), nil); code(err) != "not-empty" {
		t.Errorf("another book on top: %v", err)
	}
	m2.failAt = 0
	report, err := Restore(t.Context(), bytes.NewReader(text), into(m2, blobs2, nil), nil)
	if err != nil {
		t.Fatal(err)
	}
	if report.Already != there {
		t.Errorf("%d were there, reported %d", there, report.Already)
	}
	sameBook(t, m, m2, blobs, blobs2)
	if _, err := Restore(t.Context(), bytes.NewReader(text), into(m2, blobs2, nil), nil); code(err) != "not-empty" {
		t.Errorf("a place that is not empty: %v", err)
	}
}

func TestABrokenBlobIsNamedAndTheRestIsSaved(t *testing.T) {
	m, blobs := filled(t, 3)
	for digest := range blobs.blobs {
		blobs.broken = digest
	}
	var out bytes.Buffer
	report, err := Backup(t.Context(), m, blobs, nil, &out, noon, nil)
	if err != nil || len(report.Missing) != 1 || !strings.Contains(report.Missing[0].Where, blobs.broken) {
		t.Fatalf("%+v, %v", report, err)
	}
	back, err := CheckBackup(t.Context(), &out, nil)
	if err != nil || len(back.Missing) != 1 || back.Missing[0] != report.Missing[0] {
		t.Errorf("%+v, %v", back, err)
	}
}

func TestAFailingDiskIsNoDamagedBackup(t *testing.T) {
	m, blobs := filled(t, 3)
	text := backup(t, m, blobs)
	_, err := CheckBackup(t.Context(), io.MultiReader(bytes.NewReader(text[:len(text)/2]), broken{}), nil)
	if code(err) != "unreadable" {
		t.Error(err)
	}
	if _, err := Backup(t.Context(), m, blobs, nil, full{}, noon, nil); code(err) != "unwritable" {
		t.Error(err)
	}
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	if _, err := CheckBackup(ctx, bytes.NewReader(text), nil); !errors.Is(err, context.Canceled) {
		t.Error(err)
	}
}

type broken struct{}

func (broken) Read([]byte) (int, error) { return 0, errors.New("input/output error") }

type full struct{}

func (full) Write([]byte) (int, error) { return 0, errors.New("no space left") }

// tar and sha256sum, which know nothing of this program, take a backup apart and find every digest right.
func TestOthersCanCheckABackup(t *testing.T) {
	if _, err := exec.LookPath("sha256sum"); err != nil {
		t.Skip("no sha256sum here")
	}
	m, blobs := filled(t, 5000)
	dir := t.TempDir()
	untar := exec.Command("tar", "-xzf", "-", "-C", dir)
	untar.Stdin = bytes.NewReader(backup(t, m, blobs))
	if out, err := untar.CombinedOutput(); err != nil {
		t.Fatalf("%v %s", err, out)
	}
	check := exec.Command("sha256sum", "--check", "--strict", sumsName)
	check.Dir = dir
	out, err := check.CombinedOutput()
	if err != nil || bytes.Count(out, []byte(": OK")) < 7 {
		t.Errorf("%v\n%s", err, out)
	}
	pieces, _ := filepath.Glob(filepath.Join(dir, journalFolder, "*"))
	if len(pieces) < 2 {
		t.Errorf("%d pieces of the journal", len(pieces))
	}
}

func FuzzBackup(f *testing.F) {
	m, blobs := filled(f, 4)
	f.Add(backup(f, m, blobs))
	f.Fuzz(func(t *testing.T, text []byte) {
		_, err := CheckBackup(t.Context(), bytes.NewReader(text), nil)
		var tr *trouble.Trouble
		if err != nil && !errors.As(err, &tr) {
			t.Fatal(err)
		}
	})
}

// FuzzTar goes below gzip, where chance alone would never come.
func FuzzTar(f *testing.F) {
	m, blobs := filled(f, 4)
	zip, err := gzip.NewReader(bytes.NewReader(backup(f, m, blobs)))
	if err != nil {
		f.Fatal(err)
	}
	text, _ := io.ReadAll(zip)
	f.Add(text)
	f.Fuzz(func(t *testing.T, text []byte) {
		var out bytes.Buffer
		zip, _ := gzip.NewWriterLevel(&out, gzip.NoCompression)
		zip.Write(text)
		zip.Close()
		sum := newHash()
		sum.Write(out.Bytes())
		out.Write(trailer(sum.Sum(nil)))
		_, err := CheckBackup(t.Context(), &out, nil)
		var tr *trouble.Trouble
		if err != nil && !errors.As(err, &tr) {
			t.Fatal(err)
		}
	})
}
