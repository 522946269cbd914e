package drilling

import (
	"strings"
	"testing"
)

// Sheets are in the reader's language; what has no Chinese characters is in English for those who read Chinese.
func TestSheetsInTheReadersLanguage(t *testing.T) {
	spec, next := exampleText(t, "nine-foot.yaml"), exampleText(t, "nine-foot-revision-b.yaml")
	for _, c := range []struct{ language, as, bed, over string }{
		{"en", "svg", "SEEN FROM BELOW", "OVER REVISION"}, {"pt", "svg", "VISTO DE BAIXO", "SOBRE REVISÃO"}, {"zh", "svg", "镜像，头端在右", "细虚线"},
		{"zh", "dxf", "SEEN FROM BELOW", "OVER REVISION"}, {"es", "dxf", "VISTA DESDE ABAJO", "fina, a trazos"},
	} {
		b := own.SignIn(t, mux, "visitor-1")
		b.Reads("visitor-1", c.language, "mm")
		for page, form := range map[string][]string{onPattern: {"spec", spec, "face", "bottom", "as", c.as}, onCompare: {"before", spec, "after", next, "as", c.as}} {
			code, _, text := b.Ask(t, page, form...)
			want := c.bed
			if page == onCompare {
				want = c.over
			}
			if code != 200 || !strings.Contains(text, want) {
				t.Errorf("%s in %s as %s: %d without %q", page, c.language, c.as, code, want)
			}
		}
	}
}
