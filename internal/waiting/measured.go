package waiting

// Measured says what the files behind readings hold, as far as it is known now. It answers at once: what is not known yet is false, and
// may be known the next time.
type Measured interface {
	// Flat is the flatness of the face in a file.
	Flat(digest string) (Flat, bool)
	// Bed is what three faces, from head to foot, are as one bed, with the lay-up that was read; "" when there is none.
	Bed(faces []string, layUp string) (Bed, bool)
	// Boards is what the list of a batch of lining boards comes to.
	Boards(digest string) (Boards, bool)
}

// Boards is whether a batch of lining boards may be glued, by its own list.
type Boards struct {
	Verdict string  // may be glued, not today, or cannot tell
	MostMM  float64 // largest bow of the year that it may cause
	LimitMM float64 // that is allowed
}

// Flat is what is known of a face.
type Flat struct {
	ZoneMM  float64 // minimum zone
	UMM     float64 // its standard uncertainty
	BowMM   float64 // the larger bow, along or across, + for crown
	TwistMM float64
}

// Bed is what is known of three faces as a bed.
type Bed struct {
	Verdict   string  // as in book.Judge
	Chance    float64 // that the bed conforms; 0 when it is not known
	Predicted bool    // it was not laid up dry as it is now
	Worst     string  // the characteristic that decides, as the judgement names it
	OverMM    float64 // by how much that one is on the bad side of what is accepted; negative: the good side
	DressMM   float64 // what would have to be taken off a joint by hand for the bed to conform; 0: that would not help, or nothing need be
}

// unknown knows nothing.
type unknown struct{}

func (unknown) Flat(string) (Flat, bool)         { return Flat{}, false }
func (unknown) Bed([]string, string) (Bed, bool) { return Bed{}, false }
func (unknown) Boards(string) (Boards, bool)     { return Boards{}, false }

// files is what was measured, or something that knows nothing.
func (h *House) files() Measured {
	if h.measured == nil {
		return unknown{}
	}
	return h.measured
}
