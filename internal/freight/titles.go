package freight

import (
	"bufio"
	"bytes"
	"io"
	"slices"
	"strings"

	"slatewright/internal/freight/sheet"
	"slatewright/trouble"
)

// titlesOf looks at the words of a file's first row, in small letters, without taking them. A list of readings files has the title
// file, and a readings file has not.
func titlesOf(r io.Reader) (*bufio.Reader, []string) {
	in := bufio.NewReaderSize(r, 64<<10)
	start, _ := in.Peek(in.Size()) // an error comes again when it is read
	first, _, _ := bytes.Cut(bytes.TrimLeft(bytes.TrimPrefix(start, []byte("\xef\xbb\xbf")), "\r\n"), []byte("\n"))
	return in, strings.FieldsFunc(strings.ToLower(string(first)), func(c rune) bool { return strings.ContainsRune(",;\t\"\r ", c) })
}

// ofExport tells a list that an export wrote, in whatever order its columns are now.
func ofExport(titles []string) bool {
	all := func(list []string) bool {
		return !slices.ContainsFunc(list, func(t string) bool { return !slices.Contains(titles, t) })
	}
	return all(actTitles) || all(thingTitles)
}

// bookkeeping are the columns of an exported list of acts that are not the act's own. What did not stand in the book is not taken.
var bookkeeping = []sheet.Column{{Name: "seq"}, {Name: "stands_at"}, {Name: "person"}, {Name: "standing"}, {Name: "standing_by"}, {Name: "why"}}

func exportedList(name string, list List) error {
	return trouble.Data("exported-list", name+":1", "this list was written by 'slatewright export', and is no list of the kind "+string(list),
		"bring the whole export into an empty book: slatewright restore FOLDER NEW-FOLDER. Of its lists only acts/weigh.csv can be imported, as weights; "+
			"for others write a list with the columns of its kind")
}
