package beds_test

import (
	"testing"

	"slatewright/bed"
	"slatewright/sets/beds"
)

func BenchmarkTables(b *testing.B) {
	stock := milled(1, 300)
	s, err := beds.New(stock, bed.NineFoot(), usual(), weights())
	if err != nil {
		b.Fatal(err)
	}
	b.ResetTimer()
	for b.Loop() {
		b.Log(s.Trace())
	}
}

func BenchmarkNew(b *testing.B) {
	stock := milled(1, 300)
	b.ResetTimer()
	for b.Loop() {
		if _, err := beds.New(stock, bed.NineFoot(), usual(), weights()); err != nil {
			b.Fatal(err)
		}
	}
}
