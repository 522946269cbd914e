package lining

import (
	"math"

	"slatewright/plate"
)

// Source says where a board's movement comes from.
type Source int

// The sources. Measured is a supplier's or laboratory's test to EN 318, Coupons the mill's own, Equation the Wood Handbook's equation for solid
// wood, which stands in for a board nobody has measured.
const (
	Measured Source = iota
	Coupons
	Equation
)

// String returns EN 318, own coupon, or wood equation.
func (s Source) String() string { return [...]string{"EN 318", "own coupon", "wood equation"}[s] }

// Board is a lining board and what is known of its movement in its plane.
type Board struct {
	Grade     string
	Thickness Span    // mm
	Modulus   Span    // in its plane, N/mm²
	Shear     Span    // through its thickness, N/mm²
	Bond      float64 // of the glue line: its thickness over its shear modulus, mm³/N; 0 is a hard one
	Source    Source
	Drying    Span // Measured: mm/m that it shrinks from 65 to 30 % relative humidity, +
	Wetting   Span // Measured: mm/m that it grows from 65 to 85 %
	Coupon    Coupon
	Moisture  Span // % of its mass that it takes up for 1 % of humidity
}

// Coupon is what a bonded strip of the same stone and board bends, worked out by package coupon.
type Coupon struct {
	PerHumidity Span    // mm for 1 % of humidity, over Length
	Length      float64 // mm
}

// What stands in for figures that are not given.
var (
	// UsualModulus is that of a medium-density fibreboard in its plane, N/mm²: from memory.
	UsualModulus = Span{3000, 2500, 4000}
	// UsualShear is that of such a board through its thickness, N/mm²: from memory.
	UsualShear = Span{200, 100, 400}
	// UsualMoisture comes from the bands of a facts booklet of wood-panel makers (EWPAA, seen): 6–8 % of water at 30 % relative humidity, 9–11 at
	// 65, 15–16 at 90. Mean slope 30 to 65: 3/35; the limits hold the bands' other ends within 15 points of humidity.
	UsualMoisture = Span{0.086, 0.06, 0.13}
	// UsualStone is the modulus of slate, N/mm²: 30 to 90 GPa, as the mill's slates are shown.
	UsualStone = Span{48000, 30000, 90000}
)

// Scatter of a movement that is given without limits: a fifth, common practice, no source. EN 318 values are means of few pieces.
const Scatter = 0.2

// equationStrain is mm/m for 1 % of water: a facts booklet of wood-panel makers (EWPAA, seen) gives 1 mm/m from 9 to 12 %. With the doubt of
// the equation it reaches from 0.17 to 0.5, which another association gives (0.05 % for 1 %, seen).
const equationStrain, equationDoubt = 1.0 / 3, 0.5

// Limits of humidity that a board's figures are used for, %; EN 318 measures from 30 to 85.
const driest, wettest = 5, 95

// length is how much longer the board is at a humidity than at 65 %, mm/m (for Coupons: the curvature of the coupon, 1/km), as pick takes its figures.
func (b Board) length(rh float64, pick func(Span) float64) float64 {
	switch b.Source {
	case Coupons:
		return 8e6 * pick(b.Coupon.PerHumidity) / (b.Coupon.Length * b.Coupon.Length) * (rh - 65)
	case Equation:
		slope := pick(Span{equationStrain, equationStrain * (1 - equationDoubt), equationStrain * (1 + equationDoubt)})
		return slope * (Moisture(roomTemperature, rh) - Moisture(roomTemperature, 65))
	}
	if rh < 65 {
		return -pick(b.Drying) * (65 - rh) / 35
	}
	return pick(b.Wetting) * (rh - 65) / 20
}

// per is the gain of a choice of stiffness for one unit of length: 1e-3 for mm/m, or what makes a coupon's curvature a strain. A coupon some thicknesses wide
// lies between a beam and a plate; both are tried.
func (b Board) per(p stiff) float64 {
	if b.Source == Coupons {
		if p.narrow {
			return 1e-6 / plate.TwoLayer(p.stone, p.eStone, p.board, p.eBoard, 1)
		}
		return 1e-6 / plate.TwoLayer(p.stone, p.eStone/(1-stonePoisson), p.board, p.eBoard/(1-boardPoisson), 1)
	}
	return 1e-3
}

func value(s Span) float64 { return s.Value }
func low(s Span) float64   { return s.Low }
func high(s Span) float64  { return s.High }

// roomTemperature is 20 °C, that of EN 318.
const roomTemperature = 20

// Moisture is the equilibrium moisture content of solid wood, % of its dry mass, at a temperature in °C and a relative humidity in %, from 0
// to 100: Hailwood and Horrobin's equation with the coefficients of the USDA Wood Handbook (seen in two public program texts).
// A fibreboard holds less.
func Moisture(celsius, rh float64) float64 {
	t, h := celsius, rh/100
	w := 349 + 1.29*t + 0.0135*t*t
	k := 0.805 + 0.000736*t - 0.00000273*t*t
	k1 := 6.27 - 0.00938*t - 0.000303*t*t
	k2 := 1.91 + 0.0407*t - 0.000293*t*t
	kh, kk := k*h, k1*k*h
	return 1800 / w * (kh/(1-kh) + (kk+2*k1*k2*k*k*h*h)/(1+kk+k1*k2*k*k*h*h))
}

// bands are the moisture contents of fibre- and particleboards in balance with a humidity, %: a facts booklet of wood-panel makers (EWPAA, seen).
var bands = []struct{ rh, low, high float64 }{{30, 6, 8}, {45, 7, 9}, {65, 9, 11}, {75, 10, 12}, {90, 15, 16}}

// balance is the humidity with which a board of some moisture content may be in balance: any that the bands allow.
func balance(moisture Span) Span {
	at := func(m float64, of func(i int) float64) float64 {
		i := 0
		for i+2 < len(bands) && m > of(i+1) {
			i++
		}
		return bands[i].rh + (bands[i+1].rh-bands[i].rh)*(m-of(i))/(of(i+1)-of(i))
	}
	lows, highs := func(i int) float64 { return bands[i].low }, func(i int) float64 { return bands[i].high }
	mean := func(i int) float64 { return (bands[i].low + bands[i].high) / 2 }
	return Span{at(moisture.Value, mean), at(moisture.Low, highs), at(moisture.High, lows)}.within(0, 100)
}

// finite tells whether all numbers are numbers.
func finite(list ...float64) bool {
	for _, v := range list {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return false
		}
	}
	return true
}
