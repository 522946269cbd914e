package slatewright_test

import (
	"os"
	"os/exec"
	"regexp"
	"strings"
	"testing"
)

// On arm64 the compiler may join a product and a sum into one instruction that rounds once instead of twice, and then a
// certificate computed there has other bits. An explicit conversion around the product forbids it. So no such instruction
// may be found in the arm64 code of a sealed package.
var fused = regexp.MustCompile(`\((.*\.go:\d+)\)\s+(FN?M(?:ADD|SUB)[SD])\b`)

func TestSealingPathHasNoFusedInstructions(t *testing.T) {
	if len(sealed) == 0 {
		t.Fatal("the sealing path is empty")
	}
	for _, name := range sealed {
		code := armCode(t, "./"+name)
		if !strings.Contains(code, "STEXT") {
			t.Errorf("%s: the compiler listed no code", name)
		}
		seen := map[string]bool{}
		for _, m := range fused.FindAllStringSubmatch(code, -1) {
			if !seen[m[1]] {
				seen[m[1]] = true
				t.Errorf("%s: %s: round the product first, float64(a*b) + c; a division by 2 is compiled to a product too", m[1], m[2])
			}
		}
	}
}

func TestFusedInstructionIsSeen(t *testing.T) {
	dir := t.TempDir()
	files := map[string]string{"go.mod": "module p\ngo 1.26\n", "p.go": `package p
func Joined(a, b, c float64) float64 { return a*b + c }
func Apart(a, b, c float64) float64 { return float64(a*b) - c }
`}
	for name, text := range files {
		if err := os.WriteFile(dir+"/"+name, []byte(text), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	found := fused.FindAllStringSubmatch(armCode(t, dir), -1)
	if len(found) != 1 || !strings.HasSuffix(found[0][1], "p.go:2") {
		t.Errorf("want one fused instruction in line 2, got %q", found)
	}
}

// armCode is the compiler's listing of a package for arm64.
func armCode(t *testing.T, pkg string) string {
	t.Helper()
	cmd := exec.Command("go", "build", "-gcflags=-S", pkg)
	if strings.HasPrefix(pkg, "/") {
		cmd = exec.Command("go", "build", "-gcflags=-S", ".")
		cmd.Dir = pkg
	}
	cmd.Env = append(os.Environ(), "GOARCH=arm64", "CGO_ENABLED=0")
	out, err := cmd.CombinedOutput()
	if err != nil {
		t.Fatalf("go build %s for arm64: %v\n%.2000s", pkg, err, out)
	}
	return string(out)
}
