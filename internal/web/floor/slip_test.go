package floor

import (
	"testing"

	"slatewright/internal/book"
	"slatewright/internal/tongue"
	"slatewright/internal/waiting"
	"slatewright/internal/web/shell"
)

// A question whether a face is to be ground again leads to what is believed of that face; no other question does.
func TestAFaceToGrindAgainLeadsToItsBelief(t *testing.T) {
	v := &shell.Visit{Words: tongue.In(tongue.English, tongue.Metric)}
	for kind, want := range map[waiting.Kind]string{waiting.Regrind: "/piece/QH%2F1/judge-face", waiting.Measure: ""} {
		if got := shown(v, waiting.Question{Kind: kind, Thing: book.Ref{Kind: book.KindPiece, ID: "QH/1"}}).Judged; got != want {
			t.Errorf("%s leads to %q, want %q", kind, got, want)
		}
	}
}
