package verb

import (
	"testing"

	"slatewright/measure"
)

func TestLengthOfAFlagKeepsItsUnit(t *testing.T) {
	var l Length
	if err := l.UnmarshalText([]byte("10 thou")); err != nil || l.MM != 0.254 || l.Unit != measure.Thou {
		t.Errorf("got %+v, %v", l, err)
	}
	if err := l.UnmarshalText([]byte("10")); err == nil {
		t.Error("a length without a unit was taken")
	}
}
