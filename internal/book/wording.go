package book

import "slatewright/internal/book/field"

// Word returns take-in.
func (*TakeIn) Word() string { return "take-in" }

// Word returns survey.
func (*Survey) Word() string { return "survey" }

// Validate checks the fields.
func (a *Survey) Validate() error { return field.Check(a) }

// Word returns lift.
func (*Lift) Word() string { return "lift" }

// Word returns slice.
func (*Slice) Word() string { return "slice" }

// Word returns cut.
func (*Cut) Word() string { return "cut" }

// Word returns reject.
func (*Reject) Word() string { return "reject" }

// Validate checks the fields.
func (a *Reject) Validate() error { return field.Check(a) }

// Word returns surface.
func (*Surfaced) Word() string { return "surface" }

// Validate checks the fields.
func (a *Surfaced) Validate() error { return field.Check(a) }

// Word returns mark.
func (*Mark) Word() string { return "mark" }

// Validate checks the fields.
func (a *Mark) Validate() error { return field.Check(a) }

// Word returns read.
func (*Read) Word() string { return "read" }

// Word returns match.
func (*Match) Word() string { return "match" }

// Word returns lay-up.
func (*LayUp) Word() string { return "lay-up" }

// Word returns dress-joint.
func (*DressJoint) Word() string { return "dress-joint" }

// Validate checks the fields.
func (a *DressJoint) Validate() error { return field.Check(a) }

// Word returns part-set.
func (*PartSet) Word() string { return "part-set" }

// Validate checks the fields.
func (a *PartSet) Validate() error { return field.Check(a) }

// Word returns resize.
func (*Resize) Word() string { return "resize" }

// Validate checks the fields.
func (a *Resize) Validate() error { return field.Check(a) }

// Word returns drill.
func (*Drill) Word() string { return "drill" }

// Validate checks the fields.
func (a *Drill) Validate() error { return field.Check(a) }

// Word returns check.
func (*Check) Word() string { return "check" }

// Validate checks the fields.
func (a *Check) Validate() error { return field.Check(a) }

// Word returns weigh.
func (*Weigh) Word() string { return "weigh" }

// Validate checks the fields.
func (a *Weigh) Validate() error { return field.Check(a) }

// Word returns enter-room.
func (*EnterRoom) Word() string { return "enter-room" }

// Validate checks the fields.
func (a *EnterRoom) Validate() error { return field.Check(a) }

// Word returns leave-room.
func (*LeaveRoom) Word() string { return "leave-room" }

// Validate checks the fields.
func (a *LeaveRoom) Validate() error { return field.Check(a) }

// Word returns glue-lining.
func (*GlueLining) Word() string { return "glue-lining" }

// Validate checks the fields.
func (a *GlueLining) Validate() error { return field.Check(a) }

// Word returns ream.
func (*Ream) Word() string { return "ream" }

// Validate checks the fields.
func (a *Ream) Validate() error { return field.Check(a) }

// Word returns finish.
func (*Finish) Word() string { return "finish" }

// Validate checks the fields.
func (a *Finish) Validate() error { return field.Check(a) }

// Word returns repair.
func (*Repair) Word() string { return "repair" }

// Validate checks the fields.
func (a *Repair) Validate() error { return field.Check(a) }

// Word returns judge.
func (*Judge) Word() string { return "judge" }

// Validate checks the fields.
func (a *Judge) Validate() error { return field.Check(a) }

// Word returns certify.
func (*Certify) Word() string { return "certify" }

// Validate checks the fields.
func (a *Certify) Validate() error { return field.Check(a) }

// Word returns pack.
func (*Pack) Word() string { return "pack" }

// Validate checks the fields.
func (a *Pack) Validate() error { return field.Check(a) }

// Word returns ship.
func (*Ship) Word() string { return "ship" }

// Validate checks the fields.
func (a *Ship) Validate() error { return field.Check(a) }

// Word returns return.
func (*Return) Word() string { return "return" }

// Validate checks the fields.
func (a *Return) Validate() error { return field.Check(a) }

// Word returns calibrate.
func (*Calibrate) Word() string { return "calibrate" }

// Validate checks the fields.
func (a *Calibrate) Validate() error { return field.Check(a) }

// Word returns correct.
func (*Correct) Word() string { return "correct" }

// Word returns appoint.
func (*Appoint) Word() string { return "appoint" }

// Validate checks the fields.
func (a *Appoint) Validate() error { return field.Check(a) }

// Word returns settle.
func (*Settle) Word() string { return "settle" }
