package face

import (
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// TestMergedReadingsKnowTheirRecords cuts records into blocks at random places and asks for the record of each reading and mark.
func TestMergedReadingsKnowTheirRecords(t *testing.T) {
	marked := 0
	rapid.Check(t, func(t *rapid.T) {
		var all readings
		var records []int
		var marks []Row
		gaps, firstGap, record := 0, 0, 0
		for range rapid.IntRange(1, 6).Draw(t, "blocks") {
			var b readings
			b.reset()
			for range rapid.IntRange(0, 8).Draw(t, "records") {
				record++
				b.records++
				switch rapid.IntRange(0, 3).Draw(t, "kind") {
				case 0: // an empty line
				case 1:
					b.leaveOut(b.records)
					if gaps++; firstGap == 0 {
						firstGap = record
					}
				default:
					m := Row(max(rapid.IntRange(-3, 2).Draw(t, "mark"), 0))
					b.take(b.records, float64(record), 0, 0)
					b.mark(m)
					records, marks = append(records, record), append(marks, m)
				}
			}
			if f := all.merge(&b); f != nil {
				t.Fatalf("fault %v", f)
			}
		}
		if all.records != record || all.gaps != gaps || all.gap != firstGap || len(all.z) != len(records) {
			t.Fatalf("%d records, %d gaps from %d, %d readings; want %d, %d, %d, %d", all.records, all.gaps, all.gap, len(all.z), record, gaps, firstGap, len(records))
		}
		for i, want := range records {
			if got := all.record(i); got != want || all.x[i] != float64(want) {
				t.Fatalf("reading %d in record %d, want %d", i, got, want)
			}
		}
		if all.row != nil || slices.Max(append(marks, NoRow)) > NoRow {
			marked++
			if !slices.Equal(all.row, marks) {
				t.Fatalf("marks %v, want %v", all.row, marks)
			}
		}
	})
	if marked < 10 {
		t.Errorf("only %d drawn with marks", marked)
	}
}

func TestMergeCountsFaultsAndMarksInTheFile(t *testing.T) {
	all := readings{records: 10}
	b := readings{records: 5, marks: [2]int{0, 3}, fault: &fault{record: 4, code: "x"}}
	f := all.merge(&b)
	if f == nil || f.record != 14 || all.marks != [2]int{0, 13} || all.records != 15 {
		t.Errorf("%+v, %+v", f, all)
	}
	b = readings{records: 5, marks: [2]int{1, 1}}
	if f := all.merge(&b); f != nil || all.marks != [2]int{16, 13} {
		t.Errorf("%+v, %+v", f, all)
	}
}

func TestReserveTrustsHintsOnlySoFar(t *testing.T) {
	var r readings
	r.reserve(1 << 50)
	if n := cap(r.z); n < 1<<24 || n > 1<<25 {
		t.Errorf("space for %d readings", n)
	}
	r.take(1, 2, 3, 4)
	r.reserve(5)
	if len(r.x) != 1 || r.x[0] != 2 || r.z[0] != 4 {
		t.Errorf("readings lost: %v %v", r.x, r.z)
	}
}
