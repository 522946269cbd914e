package book

import "encoding/json"

// Admit decides on one entry handed in by a caller: it refuses it (trouble), applies it, or, when late, keeps it in conflict.
func Admit(v View, e Entry, c Caller, late bool) (Outcome, error) { panic("book: not built yet") }

// Replay applies one entry of the journal again, as when it was admitted: nobody is asked for permission, and what cannot
// follow is in conflict.
func Replay(v View, e Entry) (Outcome, error) { panic("book: not built yet") }

// Encode returns an act's word and its canonical body.
func Encode(a Act) (word string, body json.RawMessage, err error) { panic("book: not built yet") }

// Decode reads a body strictly: unknown fields, trailing data and what Validate refuses are trouble that names the field.
func Decode(word string, body []byte) (Act, error) { panic("book: not built yet") }

// Acts returns one empty act of every kind, in the order of the stone's way.
func Acts() []Act { panic("book: not built yet") }

// HashOf computes an entry's hash over its line.
func HashOf(e Entry) Digest { panic("book: not built yet") }

// DefaultRoute is common practice in slate mills, no source; every mill may edit it.
func DefaultRoute() Route { panic("book: not built yet") }
