package ink

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/go-fonts/dejavu/dejavusans"

	"slatewright/trouble"
)

// droid is a font with Chinese characters; make test installs it.
func droid(t *testing.T) *Font {
	t.Helper()
	const path = "/usr/share/fonts/truetype/droid/DroidSansFallbackFull.ttf"
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatalf("%v; make test installs it (package fonts-droid-fallback)", err)
	}
	f, err := ReadFont(path, data)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

func TestRuns(t *testing.T) {
	for text, want := range map[string]string{"": "[{ false}]", "zone": "[{zone false}]", "石板": "[{石板 true}]", "接缝 1 错台": "[{接缝 true} { 1  false} {错台 true}]",
		"U：0.1 mm，": "[{U false} {： true} {0.1 mm false} {， true}]"} {
		if got := fmt.Sprint(runs(text)); got != want {
			t.Errorf("%q: %s, want %s", text, got, want)
		}
	}
}

func TestWordsOfTwoFontsAreSet(t *testing.T) {
	p := NewPDF(100, 50, Title{Name: "probe", Language: "zh-Hans"}, droid(t))
	p.Page()
	text := "接缝 1 错台 0.081 mm"
	p.Text(Point{X: 10, Y: 10}, text, words)
	p.Text(Point{X: 10, Y: 20}, "合格", Type{Face: Bold, Size: 12})
	path := filepath.Join(t.TempDir(), "p.pdf")
	f, err := os.Create(path)
	if err != nil {
		t.Fatal(err)
	}
	if err := p.Write(f); err != nil {
		t.Fatal(err)
	}
	f.Close()
	if got := strings.Join(strings.Fields(tool(t, "pdftotext", "poppler-utils", path, "-")), ""); got != strings.Join(strings.Fields(text), "")+"合格" {
		t.Errorf("%q", got)
	}
	if sum := p.Width("接缝", words) + p.Width(" 1 ", words) + p.Width("错台", words); sum < 5 || sum-p.Width("接缝 1 错台", words) > 1e-9 {
		t.Errorf("the whole is not as long as its parts: %g", sum)
	}
	if p.Width("0.1", words.To(Left)) != p.Width("0.1", Type{Face: Slant, Size: words.Size}) {
		t.Error("figures slant among upright characters")
	}
}

func TestCharactersThatNoFontHas(t *testing.T) {
	latin, err := ReadFont("latin.ttf", dejavusans.TTF)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		font  *Font
		words string
		says  string
	}{{nil, "石板组", "石板组"}, {latin, "石板", "latin.ttf"}, {nil, "only Latin − ≤", ""}, {droid(t), "石板，：（", ""}} {
		p := NewPDF(100, 50, Title{}, c.font)
		p.Page()
		p.Text(Point{X: 10, Y: 10}, c.words, words)
		err := p.Write(io.Discard)
		var told *trouble.Trouble
		if c.says == "" && err != nil || c.says != "" && (!errors.As(err, &told) || told.Code != "no-font" || !strings.Contains(told.Error()+told.Where+told.What, c.says)) {
			t.Errorf("%s: %v", c.words, err)
		}
	}
}

func TestFilesThatAreNoFont(t *testing.T) {
	whole := dejavusans.TTF
	for name, data := range map[string][]byte{"empty": nil, "text": []byte("this is not a font at all"), "collection": append([]byte("ttcf"), whole...),
		"cut off": whole[:len(whole)/2], "head only": whole[:200]} {
		_, err := ReadFont(name, data)
		var told *trouble.Trouble
		if !errors.As(err, &told) || told.Code != "bad-font" || !strings.Contains(told.Next, ".ttf") {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// Chinese breaks between characters, and no closing mark begins a line.
func TestChineseIsWrapped(t *testing.T) {
	p := NewPDF(100, 50, Title{}, droid(t))
	text := "错台是接缝某处靠尾端板件的高度，减去靠头端板件的高度（单位 mm），为 0.127 mm。每道接缝以最大错台判定。"
	for w := 20.0; w < 60; w += 1.5 {
		lines := Wrap(p, text, words, w)
		if strings.Join(strings.Fields(strings.Join(lines, "")), "") != strings.Join(strings.Fields(text), "") {
			t.Fatalf("%g mm: something was lost: %q", w, lines)
		}
		for _, l := range lines {
			if first := []rune(l)[0]; strings.ContainsRune(closing, first) {
				t.Errorf("%g mm: a line begins with %c: %q", w, first, lines)
			}
			if p.Width(l, words) > w {
				t.Errorf("%g mm: too long: %q", w, l)
			}
		}
		if len(lines) < 2 {
			t.Errorf("%g mm: %q", w, lines)
		}
		if slices.ContainsFunc(lines, func(l string) bool { return strings.HasSuffix(l, "0.127") }) {
			t.Errorf("%g mm: a number is parted from its unit: %q", w, lines)
		}
	}
}
