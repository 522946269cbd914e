package caution

import "slatewright/internal/book"

// stations says what the page of a station carries: what can hurt there. Common practice; a mill's own rules say more.
var stations = map[book.Station][]Topic{
	book.Quarry:    {Faces, Lifting, Dust},
	book.Saw:       {Lifting, Dust, Machines, Wet},
	book.Surfacing: {Lifting, Dust, Machines, Discs, Wet},
	book.Sets:      {Lifting, Placing},
	book.Drilling:  {Lifting, Dust, Machines, Wet},
	book.Room:      {Lifting},
	book.Lining:    {Lifting, Glue},
	book.Bench:     {Lifting, Dust}, // pieces are chamfered and cleaned here
	book.Shipping:  {Lifting, Placing},
}

// acts says what the form of an act carries. Acts that are only written down carry nothing.
var acts = map[string][]Topic{
	"survey":      {Faces},
	"lift":        {Faces, Lifting},
	"slice":       {Lifting, Dust, Machines, Wet},
	"cut":         {Lifting, Dust, Machines, Wet},
	"surface":     {Lifting, Dust, Machines, Discs, Wet},
	"lay-up":      {Lifting, Placing},
	"dress-joint": {Dust},
	"resize":      {Lifting, Dust, Machines, Wet},
	"drill":       {Dust, Machines, Wet},
	"weigh":       {Lifting},
	"enter-room":  {Lifting},
	"leave-room":  {Lifting},
	"glue-lining": {Lifting, Glue},
	"ream":        {Dust, Machines, Wet},
	"finish":      {Dust},
	"repair":      {Dust, Glue},
	"pack":        {Lifting},
	"ship":        {Lifting},
	"return":      {Lifting},
}

// AtStation returns the topics that the page of a station carries.
func AtStation(s book.Station) []Topic { return stations[s] }

// OfAct returns the topics that the form of an act carries.
func OfAct(word string) []Topic { return acts[word] }
