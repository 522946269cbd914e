package late

import (
	"math"
	"slices"
	"strconv"

	"slatewright/chance"
	"slatewright/gauge/tables"
)

// Expected is how far thicknesses lie apart in sets: the mean, over the wanted sets, of the largest less the smallest of a set's three, mm, of pieces
// whose thickness is normal. It reckons with three pieces for every wanted set: spares that are left over make it better still.
type Expected struct {
	// Random: three pieces as they come, 3/√π of the standard deviation (the mean range of three: L. H. C. Tippett, Biometrika 17, 1925, 364, from memory).
	Random float64
	// Fixed: sorted, a third of the pieces for each place. Any: sorted, any piece in any place. Both by the best possible sorting of drawn stocks.
	Fixed, Any Mean
}

// Mean is a mean of draws with its 95 % interval, and the number of draws.
type Mean struct {
	Value, Low, High float64
	Draws            int
}

func (q Question) expected() Expected {
	e := Expected{Random: 3 / math.Sqrt(math.Pi) * q.Sigma}
	fixed, anyPlace := make([]float64, q.Draws), make([]float64, q.Draws)
	for d := range q.Draws {
		stream := chance.NewStream(q.Seed).Split("thickness " + strconv.Itoa(d))
		stock := make([]float64, 3*q.Wanted)
		for i := range stock {
			stock[i] = q.Sigma * stream.Normal()
		}
		n := q.Wanted
		for place := range 3 {
			slices.Sort(stock[place*n : (place+1)*n])
		}
		fixed[d] = closestByPlace([3][]float64{stock[:n], stock[n : 2*n], stock[2*n:]}) / float64(n)
		slices.Sort(stock)
		anyPlace[d] = closest(stock, n) / float64(n)
	}
	e.Fixed, e.Any = meanOf(fixed), meanOf(anyPlace)
	return e
}

func meanOf(x []float64) Mean {
	n := float64(len(x))
	sum, squares := 0.0, 0.0
	for _, v := range x {
		sum += v
	}
	mean := sum / n
	for _, v := range x {
		squares += (v - mean) * (v - mean)
	}
	half := tables.StudentPoint(0.975, n-1) * math.Sqrt(squares/(n-1)/n)
	return Mean{Value: mean, Low: mean - half, High: mean + half, Draws: len(x)}
}

// closest returns the least sum, over the given number of threes, of largest less smallest, where any three of the ascending values may go together.
//
// A value that is left over between the ends of a three could stand in for one of them and the three would be no wider; and threes that overlap can change
// ends likewise. So some best choice has only neighbours in its threes, and what is left over lies between them.
func closest(values []float64, threes int) float64 {
	// least[m] of the values so far; those one, two and three values ago.
	least := [4][]float64{}
	for i := range least {
		least[i] = make([]float64, threes+1)
		for m := 1; m <= threes; m++ {
			least[i][m] = math.Inf(1)
		}
	}
	for i, v := range values {
		now, last, third := least[i%4], least[(i+3)%4], least[(i+1)%4]
		copy(now, last)
		for m := 1; i >= 2 && m <= min(threes, (i+1)/3); m++ {
			now[m] = min(now[m], third[m-1]+(v-values[i-2]))
		}
	}
	if len(values) == 0 {
		return 0
	}
	return least[(len(values)-1)%4][threes]
}

// closestByPlace returns the least sum, over as many threes as the shortest list has values, of largest less smallest, where one value of each ascending list
// goes together.
//
// The width of a three is half the sum of its three differences, and each kind of difference is least, summed, when both lists go in order: so all three lists
// go in order, and a dynamic programme leaves out the best of the longer ones.
func closestByPlace(lists [3][]float64) float64 {
	slices.SortStableFunc(lists[:], func(a, b []float64) int { return len(a) - len(b) })
	short, middle, long := lists[0], lists[1], lists[2]
	// best[m*width+l]: the first of the short list, with at most the first m and l of the others left out.
	mostM, width := len(middle)-len(short), len(long)-len(short)+1
	best := make([]float64, (mostM+1)*width)
	for i, v := range short {
		for m := 0; m <= mostM; m++ {
			low, high := min(v, middle[i+m]), max(v, middle[i+m])
			for l := range width {
				at := m*width + l
				best[at] += max(high, long[i+l]) - min(low, long[i+l])
				if l > 0 {
					best[at] = min(best[at], best[at-1])
				}
				if m > 0 {
					best[at] = min(best[at], best[at-width])
				}
			}
		}
	}
	return best[len(best)-1]
}
