package certificate

import (
	"bytes"
	"slices"
	"strconv"
	"strings"

	"slatewright/face"
	"slatewright/trouble"
)

// sealReading writes a face in its canonical CSV, so that what is computed from is what stands in the file.
func sealReading(f *face.Face) (Reading, error) {
	var b bytes.Buffer
	if err := f.WriteCSV(&b); err != nil {
		return Reading{}, err
	}
	r := Reading{Name: baseName(f.Name), Digest: digestOf(b.Bytes()), CSV: strings.Split(strings.TrimSuffix(b.String(), "\n"), "\n")}
	for _, w := range f.Warnings {
		if rest, ok := strings.CutPrefix(w, f.Name+":"); ok {
			w = r.Name + ":" + rest
		}
		r.Warnings = append(r.Warnings, w)
	}
	return r, nil
}

// baseName leaves the folders of the mill's machine out of the certificate.
func baseName(path string) string {
	return path[strings.LastIndexAny(path, `/\`)+1:]
}

// text is the CSV as face.WriteCSV wrote it.
func (r Reading) text() []byte {
	size := 0
	for _, line := range r.CSV {
		size += len(line) + 1
	}
	out := make([]byte, 0, size)
	for _, line := range r.CSV {
		out = append(append(out, line...), '\n')
	}
	return out
}

// data are the lines of the readings, without the header.
func (r Reading) data() List[string] {
	header := 0
	for header < len(r.CSV) && strings.HasPrefix(r.CSV[header], "#") {
		header++
	}
	return r.CSV[header:]
}

// Face reads the face back. Text that is not in the canonical form of faces is refused: it could say something that the
// reader passes over. Its warnings are those of the first reading, and what there is besides.
func (r Reading) Face() (*face.Face, error) {
	text := r.text()
	f, err := face.ReadCSV(r.Name, bytes.NewReader(text))
	if err != nil {
		return nil, err
	}
	var again bytes.Buffer
	if err := f.WriteCSV(&again); err != nil {
		return nil, err
	}
	if !bytes.Equal(again.Bytes(), text) {
		return nil, trouble.Data("not-canonical", r.Name+":"+strconv.Itoa(firstOther(text, again.Bytes())),
			"the readings are not written as the program writes them", "ask the mill for the certificate again")
	}
	warnings := slices.Clone(r.Warnings)
	for _, w := range f.Warnings {
		if !slices.ContainsFunc(warnings, func(said string) bool { return r.saying(said) == r.saying(w) }) {
			warnings = append(warnings, w)
		}
	}
	f.Warnings = warnings
	return f, nil
}

// saying is a warning without its place: lines are counted anew in the canonical text.
func (r Reading) saying(warning string) string {
	rest, ok := strings.CutPrefix(warning, r.Name+":")
	if !ok {
		return warning
	}
	if line, saying, ok := strings.Cut(rest, ": "); ok && strings.Trim(line, "0123456789") == "" {
		return saying
	}
	return warning
}

// firstOther is the line in which two texts part.
func firstOther(a, b []byte) int {
	n := 0
	for n < len(a) && n < len(b) && a[n] == b[n] {
		n++
	}
	return 1 + bytes.Count(a[:n], []byte("\n"))
}
