package book

// Route is the way of the stone through this mill, as data: which act may be done where, by whom, and what must hold first.
// It is part of the mill's settings, so it can be edited and its changes are acts like any other.
type Route struct {
	Steps []Step `json:"steps"`
	Holds []Hold `json:"holds"`
}

// Step is what the route says about one act.
type Step struct {
	Act  string    `json:"act"`
	From []Station `json:"from,omitempty"` // where the things it changes may stand before; empty is anywhere in the house
	To   Station   `json:"to,omitempty"`   // where they stand afterwards; empty is where they were
	May  Role      `json:"may"`            // the least role
}

// Hold is a condition that must hold before an act.
type Hold struct {
	Before string  `json:"before"`           // the act
	Needs  string  `json:"needs"`            // a condition's name; see Conditions
	Amount float64 `json:"amount,omitempty"` // days or hours, as the condition says
	Unless Role    `json:"unless,omitempty"` // a role that may go on without it when it gives a reason
}
