package freight

import (
	"crypto/sha256"
	"encoding/json"

	"github.com/oklog/ulid/v2"

	"slatewright/internal/book"
)

// rowID makes an entry's id from what the row says: its time and a digest over site, station, act, body and time. So the same
// row has the same id in every import and in every form of the file (another separator, another unit with the same value,
// other columns beside it), and the book recognises it. A row without a time of its own has none in its id: it is recognised
// whenever it comes again. Who imports is left out.
func rowID(e book.Entry, dated bool) string {
	var id ulid.ULID
	var ms uint64
	if dated {
		ms = uint64(e.At.UnixMilli())
	}
	text, err := json.Marshal([]any{"slatewright row 1", e.Site, e.Station, e.Act, e.Body, ms})
	if err != nil {
		panic("freight: a row that is no JSON: " + err.Error())
	}
	digest := sha256.Sum256(text)
	copy(id[6:], digest[:])
	if err := id.SetTime(ms); err != nil {
		panic("freight: a time that no id holds: " + err.Error())
	}
	return id.String()
}
