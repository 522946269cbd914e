package bed

// Limits of the tournament text: WPA tournament table & equipment specifications, November 2001 text, as stored copies
// print them. The copies print the sign of the two flatness figures as "+"; see TournamentReading.
const (
	tournamentThickness  = 25.4  // mm, 1 in, at least
	tournamentLengthwise = 0.508 // mm, 0.020 in, overall, along the table
	tournamentAcross     = 0.254 // mm, 0.010 in, overall, across the table
	tournamentStep       = 0.127 // mm, 0.005 in, joints in one plane after levelling and shimming
)

// TournamentReading says how its flatness limits are understood here. Papers that state the limits print it.
const TournamentReading = "Limits of the tournament text are read as the total, peak to valley: the stricter reading " +
	"(copies of the text print a plus sign)."

// Clause is one demand of the tournament text that a certificate of the slate says nothing about.
type Clause struct {
	Subject string // a word or two
	Demand  string // what the text asks for, in our words
	Why     string // why the certificate does not answer it
}

// NotChecked lists the clauses of the tournament text (see above) that no slate certificate of this program checks. Papers print all
// of them.
func NotChecked() []Clause {
	const (
		table = "a matter of the table, not of the stone"
		set   = "a matter of the assembled table"
	)
	return []Clause{
		{"frame", "wooden frame under the slate at least 19.05 mm (3/4 in) thick", table},
		{"fixing", "slate fixed to the base by countersunk screws or bolts", table},
		{"load", "at most 0.762 mm (0.030 in) more deflection under 90.7 kg (200 lb) at the centre", "no load test is made; it depends on the base"},
		{"installed joints", "joints in one plane within 0.127 mm (0.005 in) after levelling and shimming on the table", "steps are those of the pieces or of the dry lay-up, not of the table in its room"},
		{"playing field", "2540 x 1270 mm (100 x 50 in) or 2336.8 x 1168.4 mm (92 x 46 in) between the cushion noses, to 3.175 mm (1/8 in)", set},
		{"height", "bed 742.95 to 787.4 mm (29 1/4 to 31 in) above the floor", set},
		{"rails", "rails, cushions, sights and rail bolts", set},
		{"pockets", "pocket mouths, cut angles and shelves", "pocket cuts are not measured here"},
	}
}
