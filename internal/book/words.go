package book

import (
	"bytes"
	"crypto/sha256"
	"encoding/json"

	"slatewright/internal/book/field"
)

// makers makes an empty act of each kind, in the order of the stone's way.
var makers = []func() Act{
	func() Act { return &TakeIn{} },
	func() Act { return &Survey{} },
	func() Act { return &Lift{} },
	func() Act { return &Slice{} },
	func() Act { return &Cut{} },
	func() Act { return &Reject{} },
	func() Act { return &Surfaced{} },
	func() Act { return &Mark{} },
	func() Act { return &Read{} },
	func() Act { return &Match{} },
	func() Act { return &LayUp{} },
	func() Act { return &DressJoint{} },
	func() Act { return &PartSet{} },
	func() Act { return &Resize{} },
	func() Act { return &Drill{} },
	func() Act { return &Check{} },
	func() Act { return &Weigh{} },
	func() Act { return &EnterRoom{} },
	func() Act { return &LeaveRoom{} },
	func() Act { return &GlueLining{} },
	func() Act { return &Ream{} },
	func() Act { return &Finish{} },
	func() Act { return &Repair{} },
	func() Act { return &Judge{} },
	func() Act { return &Certify{} },
	func() Act { return &Pack{} },
	func() Act { return &Ship{} },
	func() Act { return &Return{} },
	func() Act { return &Calibrate{} },
	func() Act { return &Correct{} },
	func() Act { return &Appoint{} },
	func() Act { return &Settle{} },
}

// byWord finds a maker by the act's word.
var byWord = func() map[string]func() Act {
	m := map[string]func() Act{}
	for _, make := range makers {
		m[make().Word()] = make
	}
	return m
}()

// Acts returns one empty act of every kind, in the order of the stone's way. Each is a pointer to its struct.
func Acts() []Act {
	list := make([]Act, len(makers))
	for i, make := range makers {
		list[i] = make()
	}
	return list
}

// Encode checks an act and returns its word and its canonical body: the JSON of its struct, without spaces.
func Encode(a Act) (word string, body json.RawMessage, err error) {
	if err := a.Validate(); err != nil {
		return "", nil, err
	}
	body, err = json.Marshal(a)
	return a.Word(), body, err
}

// Decode reads a body strictly: an unknown act or field, trailing data and what Validate refuses are trouble that names the field.
func Decode(word string, body []byte) (Act, error) {
	make, ok := byWord[word]
	if !ok {
		return nil, field.OneOf(word, words, "act")
	}
	a := make()
	if err := field.Read(body, a); err != nil {
		return nil, err
	}
	return a, a.Validate()
}

// decode reads a body that stands in the journal: it was checked when it came in, and the journal's hashes hold it.
func decode(word string, body []byte) (Act, error) {
	make, ok := byWord[word]
	if !ok {
		return nil, field.OneOf(word, words, "act")
	}
	a := make()
	return a, json.Unmarshal(body, a)
}

var words = func() (list []string) {
	for _, make := range makers {
		list = append(list, make().Word())
	}
	return list
}()

// HashOf computes an entry's hash: SHA-256 over its line.
func HashOf(e Entry) Digest {
	var b bytes.Buffer
	enc := json.NewEncoder(&b)
	enc.SetEscapeHTML(false)
	if err := enc.Encode(line{e.Seq, e.ID, e.Site, e.At.UnixMilli(), e.Person, e.Station, e.Act, e.Prev}); err != nil {
		panic("book: a line cannot be written: " + err.Error())
	}
	b.Write(e.Body)
	return sha256.Sum256(b.Bytes())
}
