package matching

import "slatewright/internal/web/shell"

// learnedRoom is what lay-ups have taught to keep from the limits, mm.
func (r room) learnedRoom(v *shell.Visit) float64 { return 0 }
