package api

import (
	"encoding/json"
	"time"

	"slatewright/internal/book"
	"slatewright/internal/web/problem"
)

// The examples of the document. Times and ids are invented, and so is the mill.

var exampleTime = time.Date(2026, 11, 25, 7, 30, 0, 0, time.UTC)

const exampleID = "01KB3C5V8Q3Z6J1W2Y4X7T9R0N"

const exampleHash = "3b5d5c3712955042212316173ccf37be800a7b1c0c1d1f6f8a2d1d2b7e2b9f10"

// exampleOf is an act as it is handed in to its route.
func exampleOf(act book.Act) map[string]any {
	word := act.Word()
	sample := exampleActs[word]
	example := map[string]any{"id": exampleID, "at": exampleTime, "station": sample.station, "body": sample.act}
	if word == certify {
		example["passphrase"] = "slate under the north light"
	}
	return example
}

func exampleReceipt(act book.Act) Receipt {
	e := exampleEntry()
	sample := exampleActs[act.Word()]
	body, err := json.Marshal(sample.act)
	if err != nil {
		panic(err) // our own examples
	}
	e.Act, e.Station, e.Body = act.Word(), string(sample.station), body
	return Receipt{Result: "applied", Entry: &e}
}

func exampleEntry() Entry {
	return Entry{Seq: 4711, ID: exampleID, Site: "quern-hollow", At: exampleTime, Person: "bench-1", Station: "bench", Act: "weigh",
		Body: Object(`{"thing":"piece:QH-0101","scale":"SCALE-1","mass_kg":96.4}`), Prev: exampleHash, Hash: exampleHash, Effective: exampleTime}
}

func exampleEntries() Journal { return Journal{Entries: []Entry{exampleEntry()}, Seq: 4711} }

func exampleHistory() Listed[Entry] {
	e := exampleEntry()
	e.Part = string(book.Changes)
	return Listed[Entry]{Items: []Entry{e}}
}

func exampleConflicts() Listed[Entry] {
	e := exampleEntry()
	e.Standing = &Standing{State: "conflict", BySeq: 4702, Refusal: &Refusal{Code: "used-up", What: "slab QH-S31 was used up by a cut", Where: "thing", Next: "correct one of the two entries"}}
	return Listed[Entry]{Items: []Entry{e}}
}

func exampleBatch() map[string]any {
	return map[string]any{"entries": []any{map[string]any{"id": exampleID, "at": exampleTime, "person": "bench-1", "station": "bench", "act": "weigh",
		"body": book.Weigh{Thing: book.Ref{Kind: book.KindPiece, ID: "QH-0101"}, Scale: "SCALE-1", MassKg: 96.4}}}}
}

func exampleReceipts() any {
	e := exampleEntry()
	e.Effective = time.Time{}
	return map[string]any{"receipts": []Receipt{
		{Result: "applied", Entry: &e},
		{Result: "refused", Problem: problem.New("clock-ahead", "at", "this lies in the future", "set the sender's clock, then send it again with the same id")},
	}}
}

func exampleThing() Thing {
	return Thing{Thing: "piece:QH-0101", Kind: "piece", Number: "QH-0101", Station: "surfacing", Since: exampleTime, Parent: "slab:QH-S31", Seq: 4711, At: exampleTime,
		State: Object(`{"length_mm":1473,"width_mm":965,"thickness_mm":25.4}`)}
}

func exampleJobAsked() map[string]any {
	return map[string]any{"kind": "scan", "input": map[string]any{"blob": exampleHash}}
}

func exampleJob() Job {
	return Job{ID: exampleID, Kind: "scan", Person: "bench-1", State: "running", Progress: 0.4, Said: "reading the face", Input: Object(`{"blob":"` + exampleHash + `"}`),
		Asked: exampleTime, Began: exampleTime.Add(time.Second)}
}

func exampleSession() Session {
	return Session{Person: "bench-1", Role: book.Inspector, Full: true, Until: exampleTime.Add(12 * time.Hour)}
}

func exampleToken(secret string) Token {
	return Token{Name: "scale-1", Role: book.Hand, Until: exampleTime.AddDate(1, 0, 0), Secret: secret}
}
