package reckon

import (
	"encoding/binary"
	"encoding/json"
	"errors"
	"math"

	"slatewright/seating"
)

// trials are written as one string of 44 bytes a trial, bit for bit what was computed: all beds of twenty pieces make 67 kB.
type trials []seating.Trial

const trialSize = 4 + 5*8

// closes is the bit of a trial's fourth byte that follows the three for turned pieces.
const closes = 3

// MarshalJSON writes the trials.
func (l trials) MarshalJSON() ([]byte, error) {
	b := make([]byte, 0, len(l)*trialSize)
	for _, t := range l {
		flags := bit(t.Feasible, closes)
		for place, i := range t.Index {
			b = append(b, byte(i))
			flags |= bit(t.Turned[place], place)
		}
		b = append(b, flags)
		for _, x := range [...]float64{t.Zone, t.Lengthwise, t.Across, t.Steps[0], t.Steps[1]} {
			b = binary.LittleEndian.AppendUint64(b, math.Float64bits(x))
		}
	}
	return json.Marshal(b)
}

// UnmarshalJSON reads what MarshalJSON wrote.
func (l *trials) UnmarshalJSON(text []byte) error {
	var b []byte
	if err := json.Unmarshal(text, &b); err != nil {
		return err
	}
	if len(b)%trialSize != 0 {
		return errors.New("the trials are cut off")
	}
	*l = nil
	for ; len(b) > 0; b = b[trialSize:] {
		t := seating.Trial{Feasible: b[3]>>closes&1 == 1}
		for place := range t.Index {
			t.Index[place] = int(b[place])
			t.Turned[place] = b[3]>>place&1 == 1
		}
		for i, x := range [...]*float64{&t.Zone, &t.Lengthwise, &t.Across, &t.Steps[0], &t.Steps[1]} {
			*x = math.Float64frombits(binary.LittleEndian.Uint64(b[4+8*i:]))
		}
		*l = append(*l, t)
	}
	return nil
}

func bit(on bool, place int) byte {
	if on {
		return 1 << place
	}
	return 0
}
