// Package colour says how different two colours look: the CIEDE2000 difference of two readings of a colour meter.
//
// It does not read a meter and knows no stone. Under the cloth nobody sees a colour: the difference counts only where a mill gives it a weight.
package colour

import "math"

// pow25to7 is 25⁷: chroma near 25 is where the neutral axis is stretched and blue is turned.
const pow25to7 = 6103515625

// Difference returns ΔE00 of two colours in CIELAB (L*, a*, b* under the same light; L* 0 to 100), with weights kL = kC = kH = 1: 0 for the same
// colour, about 1 for what a trained eye just sees side by side (common practice, no source). It is the same both ways round. NaN or Inf in a colour
// gives NaN.
//
// G. Sharma, W. Wu and E. N. Dalal, The CIEDE2000 color-difference formula: implementation notes, supplementary test data, and mathematical
// observations, Color Research and Application 30, 2005, 21: the numbers in brackets are those of its equations, from memory.
func Difference(lab1, lab2 [3]float64) float64 {
	chroma := (math.Hypot(lab1[1], lab1[2]) + math.Hypot(lab2[1], lab2[2])) / 2 // (2, 3)
	stretch := 1.5 - 0.5*high(chroma)                                           // 1 + G (4)
	a1, a2 := stretch*lab1[1], stretch*lab2[1]
	c1, h1 := polar(a1, lab1[2]) // (5-7)
	c2, h2 := polar(a2, lab2[2])
	turn, hue := between(h1, h2, float64(a1*lab2[2])-float64(a2*lab1[2]), c1*c2 == 0)                                                   // (10, 14)
	dH := 2 * math.Sqrt(c1*c2) * math.Sin(turn/2)                                                                                       // (11)
	mean, light := (c1+c2)/2, (lab1[0]+lab2[0])/2-50                                                                                    // (12, 13)
	t := 1 - 0.17*math.Cos(hue-degrees(30)) + 0.24*math.Cos(2*hue) + 0.32*math.Cos(3*hue+degrees(6)) - 0.20*math.Cos(4*hue-degrees(63)) // (15)
	sL := 1 + 0.015*light*light/math.Sqrt(20+light*light)                                                                               // (18)
	sC, sH := 1+0.045*mean, 1+0.015*mean*t                                                                                              // (19, 20)
	blue := (hue - degrees(275)) / degrees(25)                                                                                          // (16)
	rT := -2 * high(mean) * math.Sin(degrees(60)*math.Exp(-blue*blue))                                                                  // (17, 21)
	l, c, h := (lab2[0]-lab1[0])/sL, (c2-c1)/sC, dH/sH
	return math.Sqrt(max(l*l+c*c+h*h+rT*c*h, 0)) // (22); the form is never below 0 but for rounding
}

// high is near 0 for low chroma and near 1 for high.
func high(chroma float64) float64 {
	p := math.Pow(chroma, 7)
	return math.Sqrt(p / (p + pow25to7))
}

func degrees(d float64) float64 { return d * math.Pi / 180 }

// polar returns chroma and hue, 0 to 2π; the hue of grey is 0.
func polar(a, b float64) (chroma, hue float64) {
	hue = math.Atan2(b, a)
	if hue < 0 {
		hue += 2 * math.Pi
	}
	return math.Hypot(a, b), hue
}

// between returns the turn from one hue to the other by the shorter way, and the hue halfway. Where one of them is grey there is no turn, and the
// hue is that of the other. Opposite hues, across being 0, keep the difference that they have: the formula jumps there.
func between(h1, h2, across float64, grey bool) (turn, hue float64) {
	if grey {
		return 0, h1 + h2
	}
	turn, hue = h2-h1, (h1+h2)/2
	far := math.Abs(turn)
	if far < math.Pi/2 || far < 3*math.Pi/2 && (across == 0 || (turn > 0) == (across > 0)) {
		return turn, hue
	}
	turn -= math.Copysign(2*math.Pi, turn)
	if hue < math.Pi {
		return turn, hue + math.Pi
	}
	return turn, hue - math.Pi
}
