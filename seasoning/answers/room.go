package answers

import "slatewright/seasoning/room"

// Room is the answer about a room's log. Its names are a contract with other programs.
type Room struct {
	File     string   `json:"file"`
	InBand   bool     `json:"in_band"`
	Sensors  []Sensor `json:"sensors"`
	Apart    []Apart  `json:"apart"`
	DewPoint *float64 `json:"dew_point_c"` // the highest of the sensors' last ones
	Warmest  *float64 `json:"highest_dew_point_c"`
	Stone    *float64 `json:"stone_c"`
	Dew      *bool    `json:"dew_risk"` // null: the stone's temperature is not said
	Warnings []string `json:"warnings"`
}

// Sensor is what one sensor says.
type Sensor struct {
	Name      string  `json:"sensor"`
	Hours     float64 `json:"hours"`
	Gaps      float64 `json:"silent_hours"`
	OutC      float64 `json:"temperature_out_hours"`
	OutRH     float64 `json:"humidity_out_hours"`
	MinC      float64 `json:"temperature_min_c"`
	MaxC      float64 `json:"temperature_max_c"`
	MinRH     float64 `json:"humidity_min_percent"`
	MaxRH     float64 `json:"humidity_max_percent"`
	DewPointC float64 `json:"dew_point_c"`
}

// Apart is how far two sensors lie apart.
type Apart struct {
	First    string   `json:"first"`
	Second   string   `json:"second"`
	C        *float64 `json:"temperature_c"`
	Percent  *float64 `json:"humidity_percent"`
	Pairs    int      `json:"pairs"`
	Disagree bool     `json:"disagree"`
}

// OfRoom answers about a log.
func OfRoom(file string, log *room.Log) *Room {
	a := log.Ask()
	r := &Room{File: file, InBand: a.InBand, Sensors: []Sensor{}, Apart: []Apart{}, DewPoint: number(a.DewPoint), Warmest: number(a.Warmest), Stone: number(a.Stone), Warnings: append([]string{}, a.Warnings...)}
	for _, s := range a.Sensors {
		r.Sensors = append(r.Sensors, Sensor{s.Name, s.Hours, s.Gaps, s.OutTemperature, s.OutHumid, s.MinC, s.MaxC, s.MinRH, s.MaxRH, s.DewPoint})
	}
	for _, p := range a.Apart {
		r.Apart = append(r.Apart, Apart{p.First, p.Second, number(p.Temperature), number(p.Humidity), p.Pairs, p.Disagree})
	}
	if r.Stone != nil {
		r.Dew = &a.Dew
	}
	return r
}

// Good tells whether the room kept its band and stone that comes in stays dry.
func (r *Room) Good() bool { return r.InBand && (r.Dew == nil || !*r.Dew) }
