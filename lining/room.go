package lining

import "math"

// Reading is one look at the boards that wait: when, the air there, and what the sample board weighs.
type Reading struct {
	Day      float64 // since the boards were laid out
	Humidity float64 // %, NaN where it was not read
	Mass     float64 // of the sample board, g, NaN where it was not weighed
}

// Room is where the boards have waited and are pressed, and what is known of them.
type Room struct {
	Readings  []Reading
	Sensor    float64 // the hygrometer is right within this, % of humidity either way
	Press     *Span   // % of humidity in the press room, where it is another one; its sensor's limits included
	Scale     float64 // the scale is right within this, g either way
	LeastDays float64 // that boards wait, by the mill's rule
	MostRate  float64 // % of its mass that a sample board may still change in a day
	Slowest   float64 // days: no board of this kind needs longer for 63 % of its way, by the mill's own logs; 0 is not known
	Meter     *Span   // what a pin meter reads, % of water, with its limits
	GlueWater Span    // water that the glue brings into the board, % of the board's mass
}

// UsualLeastDays and UsualMostRate stand in where the mill has no rule: five days in the same air is what veneer makers ask for (seen);
// 0.1 % of its mass in 24 h is what EN 318 takes for constant (from memory).
const (
	UsualLeastDays = 5
	UsualMostRate  = 0.1
	recent         = 7 // days over which the air is looked at: boards forget what was before
)

// Days is how long the boards have waited.
func (r *Room) Days() float64 {
	if len(r.Readings) == 0 {
		return 0
	}
	return r.Readings[len(r.Readings)-1].Day
}

// Air is the humidity of the last days: the mean of the readings, with half of what lies between their smallest and largest and the sensor's limits to
// either side. The second value is half of the swing alone.
func (r *Room) Air() (air Span, swing float64, ok bool) {
	sum, n, least, most := 0.0, 0.0, math.Inf(1), math.Inf(-1)
	for _, q := range r.Readings {
		if q.Day >= r.Days()-recent && !math.IsNaN(q.Humidity) {
			sum, n = sum+q.Humidity, n+1
			least, most = math.Min(least, q.Humidity), math.Max(most, q.Humidity)
		}
	}
	if n == 0 {
		return Span{}, 0, false
	}
	swing = (most - least) / 2
	return Within(sum/n, swing+r.Sensor).within(0, 100), swing, true
}

// weighed are the readings with a mass.
func (r *Room) weighed() (list []Reading) {
	for _, q := range r.Readings {
		if !math.IsNaN(q.Mass) {
			list = append(list, q)
		}
	}
	return list
}
