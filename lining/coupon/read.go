package coupon

import (
	"strings"

	"slatewright/measure"
	"slatewright/sheet"
)

// Read reads a log: header lines length and sensor, columns day, humidity and bow. The error is a *trouble.Trouble with file and line.
func Read(list *sheet.Sheet) (l Log, warnings []string, err error) {
	var ok bool
	if l.Length, ok, err = list.TakeLength("length"); err != nil {
		return l, nil, err
	} else if !ok {
		return l, nil, list.Bad(1, "bad-header", "the length over which the bow was read is not given", "write '# length: 1470 mm'")
	}
	h, ok, err := list.Take("sensor")
	if err != nil {
		return l, nil, err
	}
	if ok {
		text := strings.TrimSpace(strings.TrimSuffix(strings.NewReplacer("±", "", "+-", "", "+/-", "").Replace(h.Value), "%"))
		if l.Sensor, err = measure.ParseNumber(text); err != nil || l.Sensor < 0 {
			return l, nil, list.Bad(h.Line, "bad-header", "# sensor: "+h.Value+" are no limits of a hygrometer", "write such as ± 2")
		}
	}
	at, err := list.Columns([]string{"day", "humidity", "bow"}, "note")
	if err != nil {
		return l, nil, err
	}
	for _, row := range list.Rows {
		var q Reading
		if q.Day, err = list.Number(row, at["day"]); err != nil {
			return l, nil, err
		}
		if q.Humidity, err = list.Number(row, at["humidity"]); err != nil {
			return l, nil, err
		}
		if q.Bow, err = list.Length(row, at["bow"]); err != nil {
			return l, nil, err
		}
		if n := len(l.Readings); n > 0 && q.Day <= l.Readings[n-1].Day {
			return l, nil, list.Bad(row.Line, "bad-number", "the days must rise from row to row", "sort the rows by day")
		}
		l.Readings = append(l.Readings, q)
	}
	return l, list.Rest(), nil
}
