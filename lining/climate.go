package lining

// Climate is an invented example of a room over the year, for planning where nobody has typed in the destination's own humidity.
type Climate struct {
	Name  string
	Rooms [12]Span // % relative humidity indoors, January to December
}

// Climates lists the example climates. They are invented; only their kind is common knowledge.
func Climates() []Climate {
	year := func(half float64, v ...float64) (s [12]Span) {
		for i := range s {
			s[i] = Within(v[i], half)
		}
		return s
	}
	return []Climate{
		{"cold winters", year(5, 25, 26, 30, 36, 44, 52, 56, 56, 50, 42, 34, 27)},
		{"by the sea", year(5, 52, 51, 52, 54, 57, 60, 62, 63, 61, 58, 55, 53)},
		{"dry and hot", year(5, 36, 34, 30, 25, 21, 19, 27, 30, 27, 26, 31, 36)},
		{"humid summers", year(6, 48, 48, 52, 58, 65, 71, 73, 73, 69, 61, 54, 49)},
		{"held at fifty", year(3, 50, 50, 50, 50, 50, 50, 50, 50, 50, 50, 50, 50)},
	}
}
