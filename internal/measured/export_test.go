package measured

// HalfTurned is for the tests.
var HalfTurned = halfTurned

// Used is how many bytes the room keeps.
func (r *Room) Used() int64 { return r.shelf.Used() }
