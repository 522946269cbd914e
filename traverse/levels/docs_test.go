package levels_test

import (
	"errors"
	"fmt"
	"os"
	"strings"
	"testing"

	"slatewright/traverse/levels"
	"slatewright/trouble"
)

// TestExamplesOfThePage reads every block of docs/traverse.md that is marked as one of ours, and the refused ones too.
func TestExamplesOfThePage(t *testing.T) {
	page, err := os.ReadFile("../../docs/traverse.md")
	if err != nil {
		t.Fatal(err)
	}
	good, refused := 0, 0
	for i, block := range strings.Split(string(page), "\n```") {
		mark, text, _ := strings.Cut(block, "\n")
		words := strings.Fields(mark)
		if len(words) < 2 || words[0] != "csv" || words[1] != "walk" {
			continue
		}
		name := fmt.Sprintf("block %d", i)
		read, err := levels.Read(name, strings.NewReader(text+"\n"))
		if len(words) == 4 {
			refused++
			var told *trouble.Trouble
			if !errors.As(err, &told) || told.Code != words[3] {
				t.Errorf("%s: %v", name, err)
			}
			continue
		}
		good++
		if err != nil || len(read.Warnings) != 0 {
			t.Errorf("%s: %v, %+v", name, err, read)
			continue
		}
		if _, err := levels.Adjust(read); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
	if good < 2 || refused < 1 {
		t.Errorf("%d examples and %d refused: too few", good, refused)
	}
}
