// Package room reads what the sensors of a seasoning room wrote down: how long the air was out of its band, which sensors disagree, and whether cold
// stone that comes in gets wet.
//
// It knows no piece and steers nothing; which sensor is wrong it cannot tell, only that two disagree. Where the bands come from the mill says.
package room

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"slatewright/measure"
	"slatewright/sheet"
	"slatewright/trouble"
)

// Air is one reading of a sensor: °C and per cent of relative humidity.
type Air struct {
	At                    time.Time
	Temperature, Humidity float64
}

// Log is what the sensors of a room wrote down.
type Log struct {
	Sensors     []string // in the order of their first reading
	Readings    map[string][]Air
	Temperature [2]float64 // band, °C
	Humidity    [2]float64 // band, per cent
	Stone       float64    // temperature of stone that comes in, °C; NaN: not said
	Warnings    []string
}

// The usual band of a room, how far sensors may be apart, and how much warmer than the dew point stone should be. Common practice, no source.
var (
	usualTemperature = [2]float64{17, 23}
	usualHumidity    = [2]float64{45, 55}
)

const (
	apartC       = 1.0
	apartPercent = 5.0
	dewMargin    = 2.0
)

// Sensor is what one sensor says.
type Sensor struct {
	Name                     string
	Hours                    float64 // that its readings speak for
	Gaps                     float64 // hours between readings that are too far apart to speak for
	OutTemperature, OutHumid float64 // hours out of band
	MinC, MaxC, MinRH, MaxRH float64
	DewPoint                 float64 // at the last reading, °C
}

// Apart is how far two sensors lie apart: the median of their differences at the same time, first less second.
type Apart struct {
	First, Second         string
	Temperature, Humidity float64
	Pairs                 int
	Disagree              bool
}

// Answer is what a log says.
type Answer struct {
	Sensors  []Sensor
	Apart    []Apart
	DewPoint float64 // the highest of the sensors' last ones, °C
	Warmest  float64 // the highest of the whole log
	Stone    float64
	Dew      bool // stone of that temperature gets wet, or is so near that it may
	InBand   bool
	Warnings []string
}

// DewPoint is the temperature in °C at which air of that temperature and relative humidity (more than 0 to 100 per cent) is saturated, by the Magnus formula
// with the coefficients 17.62 and 243.12 °C for water (D. Sonntag, Z. Meteorol. 40, 1990; taken over by the World Meteorological Organization's guide
// no. 8), which hold from −45 to 60 °C.
func DewPoint(celsius, percent float64) float64 {
	g := math.Log(percent/100) + 17.62*celsius/(243.12+celsius)
	return 243.12 * g / (17.62 - g)
}

// Read reads a log: time, temperature, humidity and, with more than one, sensor.
func Read(s *sheet.Sheet) (*Log, error) {
	l := &Log{Readings: map[string][]Air{}, Temperature: usualTemperature, Humidity: usualHumidity, Stone: math.NaN()}
	columns, err := s.Columns([]string{"time", "temperature", "humidity"}, "sensor")
	if err != nil {
		return nil, err
	}
	for key, band := range map[string]*[2]float64{"temperature": &l.Temperature, "humidity": &l.Humidity} {
		if err := takeBand(s, key, band); err != nil {
			return nil, err
		}
	}
	if h, ok, err := s.Take("stone"); err != nil {
		return nil, err
	} else if ok {
		if l.Stone, err = measure.ParseTemperature(h.Value); err != nil {
			return nil, s.Bad(h.Line, "bad-header", fmt.Sprintf("# stone: %q is no temperature", h.Value), "write the temperature of the stone that comes in, such as 12 C")
		}
	}
	for _, row := range s.Rows {
		var a Air
		if a.At, err = moment(row.Text(columns["time"])); err != nil {
			return nil, s.Bad(row.Line, "bad-time", fmt.Sprintf("time = %q is not a time", row.Text(columns["time"])), "write it as 2026-11-25 08:15")
		}
		if a.Temperature, err = s.Number(row, columns["temperature"]); err != nil {
			return nil, err
		}
		if a.Humidity, err = s.Number(row, columns["humidity"]); err != nil {
			return nil, err
		}
		if a.Temperature < -45 || a.Temperature > 60 || !(a.Humidity > 0 && a.Humidity <= 100) {
			return nil, s.Bad(row.Line, "bad-number", "no room has this air", "temperature in °C, humidity in per cent, above 0 and up to 100")
		}
		name := row.Text(columns["sensor"])
		if _, known := l.Readings[name]; !known {
			l.Sensors = append(l.Sensors, name)
		}
		l.Readings[name] = append(l.Readings[name], a)
	}
	for _, list := range l.Readings {
		slices.SortStableFunc(list, func(a, b Air) int { return a.At.Compare(b.At) })
	}
	l.Warnings = s.Rest()
	return l, nil
}

func moment(text string) (time.Time, error) {
	text = strings.Replace(strings.TrimSuffix(text, "Z"), "T", " ", 1)
	for _, form := range []string{"2006-01-02 15:04", time.DateTime} {
		if t, err := time.Parse(form, text); err == nil {
			return t, nil
		}
	}
	return time.Time{}, trouble.Data("bad-time", "", "not a time", "")
}

// takeBand reads '# humidity: 45 to 55'.
func takeBand(s *sheet.Sheet, key string, band *[2]float64) error {
	h, ok, err := s.Take(key)
	if err != nil || !ok {
		return err
	}
	low, high, parted := strings.Cut(h.Value, " to ")
	from, bad := measure.ParseNumber(strings.TrimSpace(low))
	to, worse := measure.ParseNumber(strings.TrimSpace(high))
	if !parted || bad != nil || worse != nil || from >= to {
		return s.Bad(h.Line, "bad-header", fmt.Sprintf("# %s: %q is no band", key, h.Value), "write '# temperature: 17 to 23' in °C, '# humidity: 45 to 55' in per cent")
	}
	*band = [2]float64{from, to}
	return nil
}

// Ask answers: how long each sensor was out of its band, where dew may fall, and which sensors disagree. A reading speaks for the time until the next one,
// but not for longer than three times the usual step.
func (l *Log) Ask() *Answer {
	a := &Answer{Stone: l.Stone, DewPoint: math.Inf(-1), Warmest: math.Inf(-1), InBand: true, Warnings: slices.Clone(l.Warnings)}
	for _, name := range l.Sensors {
		s, dew := l.sensor(name)
		a.Sensors = append(a.Sensors, s)
		a.DewPoint, a.Warmest = max(a.DewPoint, s.DewPoint), max(a.Warmest, dew)
		if s.Gaps > 0 {
			a.Warnings = append(a.Warnings, fmt.Sprintf("sensor %s said nothing for %.1f hours in all", called(name), s.Gaps))
		}
		a.InBand = a.InBand && s.OutHumid == 0 && s.OutTemperature == 0
	}
	for i, first := range l.Sensors {
		for _, second := range l.Sensors[i+1:] {
			p := l.apart(first, second)
			if a.Apart = append(a.Apart, p); p.Disagree {
				a.Warnings = append(a.Warnings, fmt.Sprintf("sensors %s and %s disagree: hold both beside a salt solution or a calibrated one", called(first), called(second)))
			}
			if p.Pairs == 0 {
				a.Warnings = append(a.Warnings, fmt.Sprintf("sensors %s and %s never read at the same time: they cannot be compared", called(first), called(second)))
			}
		}
	}
	if len(l.Sensors) == 1 {
		a.Warnings = append(a.Warnings, "one sensor alone: whether it is right cannot be told; hang one low and one high")
	}
	a.Dew = !math.IsNaN(l.Stone) && l.Stone < a.DewPoint+dewMargin
	return a
}

func called(name string) string {
	if name == "" {
		return "(without a name)"
	}
	return name
}

func (l *Log) sensor(name string) (s Sensor, dew float64) {
	list := l.Readings[name]
	s = Sensor{Name: name, MinC: math.Inf(1), MaxC: math.Inf(-1), MinRH: math.Inf(1), MaxRH: math.Inf(-1)}
	var steps []float64
	for i := 1; i < len(list); i++ {
		steps = append(steps, list[i].At.Sub(list[i-1].At).Hours())
	}
	longest := 3 * median(steps)
	dew = math.Inf(-1)
	for i, a := range list {
		s.MinC, s.MaxC, s.MinRH, s.MaxRH = min(s.MinC, a.Temperature), max(s.MaxC, a.Temperature), min(s.MinRH, a.Humidity), max(s.MaxRH, a.Humidity)
		s.DewPoint = DewPoint(a.Temperature, a.Humidity)
		dew = max(dew, s.DewPoint)
		if i == len(list)-1 {
			continue
		}
		hours := min(steps[i], longest)
		s.Hours, s.Gaps = s.Hours+hours, s.Gaps+steps[i]-hours
		if a.Temperature < l.Temperature[0] || a.Temperature > l.Temperature[1] {
			s.OutTemperature += hours
		}
		if a.Humidity < l.Humidity[0] || a.Humidity > l.Humidity[1] {
			s.OutHumid += hours
		}
	}
	return s, dew
}

// apart compares two sensors at times no more than a quarter of an hour apart.
func (l *Log) apart(first, second string) Apart {
	p := Apart{First: first, Second: second, Temperature: math.NaN(), Humidity: math.NaN()}
	var warm, wet []float64
	other := l.Readings[second]
	for _, a := range l.Readings[first] {
		k, _ := slices.BinarySearchFunc(other, a.At, func(x Air, t time.Time) int { return x.At.Compare(t) })
		best := -1
		for _, i := range []int{k - 1, k} {
			if i >= 0 && i < len(other) && other[i].At.Sub(a.At).Abs() <= 15*time.Minute && (best < 0 || other[i].At.Sub(a.At).Abs() < other[best].At.Sub(a.At).Abs()) {
				best = i
			}
		}
		if best >= 0 {
			warm, wet = append(warm, a.Temperature-other[best].Temperature), append(wet, a.Humidity-other[best].Humidity)
		}
	}
	if p.Pairs = len(warm); p.Pairs > 0 {
		p.Temperature, p.Humidity = median(warm), median(wet)
		p.Disagree = math.Abs(p.Temperature) > apartC || math.Abs(p.Humidity) > apartPercent
	}
	return p
}

func median(list []float64) float64 {
	if len(list) == 0 {
		return 0
	}
	list = slices.Sorted(slices.Values(list))
	return (list[(len(list)-1)/2] + list[len(list)/2]) / 2
}
