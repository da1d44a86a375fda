package plan

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// significant is v with so many significant digits, without an exponent.
func significant(v float64, digits int) string {
	switch {
	case math.IsInf(v, 0):
		return "no limit"
	case v == 0 || math.IsNaN(v):
		return "0"
	}
	r, err := strconv.ParseFloat(strconv.FormatFloat(v, 'g', digits, 64), 64)
	if err != nil {
		return fmt.Sprint(v)
	}
	return strconv.FormatFloat(r, 'f', -1, 64)
}

// Lux writes an illuminance with the two digits that a light meter is good for.
func Lux(v float64) string {
	if v < 0.05 {
		return "0 lx"
	}
	return significant(v, 2) + " lx"
}

// Stops writes a difference of light to the tenth of a stop.
func Stops(v float64) string {
	switch {
	case math.IsInf(v, -1):
		return "none"
	case math.IsInf(v, 1):
		return "no limit"
	}
	t := math.Round(v*10)/10 + 0
	unit := "stops"
	if math.Abs(t) <= 1 {
		unit = "stop"
	}
	return strconv.FormatFloat(t, 'f', -1, 64) + " " + unit
}

// SignedStops is Stops with its sign.
func SignedStops(v float64) string {
	if math.Round(v*10) > 0 {
		return "+" + Stops(v)
	}
	return Stops(v)
}

// nominal are the marks of f-numbers in thirds of a stop, as lenses bear them:
// rounded powers of the root of 2 (common practice).
var nominal = []struct {
	third int
	mark  string
}{
	{-6, "0.5"},
	{-5, "0.56"},
	{-4, "0.63"},
	{-3, "0.7"},
	{-2, "0.8"},
	{-1, "0.9"},
	{0, "1"},
	{1, "1.1"},
	{2, "1.2"},
	{3, "1.4"},
	{4, "1.6"},
	{5, "1.8"},
	{6, "2"},
	{7, "2.2"},
	{8, "2.5"},
	{9, "2.8"},
	{10, "3.2"},
	{11, "3.5"},
	{12, "4"},
	{13, "4.5"},
	{14, "5"},
	{15, "5.6"},
	{16, "6.3"},
	{17, "7.1"},
	{18, "8"},
	{19, "9"},
	{20, "10"},
	{21, "11"},
	{22, "13"},
	{23, "14"},
	{24, "16"},
	{25, "18"},
	{26, "20"},
	{27, "22"},
	{28, "25"},
	{29, "29"},
	{30, "32"},
	{31, "36"},
	{32, "40"},
	{33, "45"},
}

// thirdOf is how many thirds of a stop an f-number lies from f/1.
func thirdOf(n float64) float64 { return 6 * math.Log2(n) }

// Effective writes an effective f-number: two digits, for no ring is marked with it.
func Effective(n float64) string { return "f/" + significant(n, 2) }

// FNumber writes an f-number to set: the nearest mark in thirds of a stop; one
// beyond all marks as a number.
func FNumber(n float64) string {
	third := int(math.Round(thirdOf(n)))
	for _, m := range nominal {
		if m.third == third {
			return "f/" + m.mark
		}
	}
	return "f/" + significant(n, 2)
}

// exactMark is the f-number that the mark at or below n stands for.
func exactMark(n float64) float64 {
	return math.Exp2(math.Floor(thirdOf(n)+1e-9) / 6)
}

// times are the marks of shutter times in thirds of a stop, from 1 s down: one
// over these.
var fractions = []float64{
	1, 1.3, 1.6, 2, 2.5, 3, 4, 5, 6, 8, 10, 13, 15, 20, 25, 30, 40, 50, 60, 80, 100, 125, 160, 200, 250, 320, 400, 500, 640, 800, 1000,
	1250, 1600, 2000, 2500, 3200, 4000, 5000, 6400, 8000,
}

// Time writes an exposure time as cameras do.
func Time(t float64) string {
	switch {
	case !(t > 0):
		return "0 s"
	case t >= 0.95:
		return significant(t, 2) + " s"
	case 1/t > fractions[len(fractions)-1]*1.1:
		return "1/" + significant(1/t, 2) + " s"
	}
	best, off := 1.0, math.Inf(1)
	for _, f := range fractions {
		if d := math.Abs(math.Log2(f * t)); d < off {
			best, off = f, d
		}
	}
	if math.Abs(1/t-math.Round(1/t)) < 1e-6 && off > 0.02 {
		best = math.Round(1 / t) // a cine time such as 1/48
	}
	if best < 2.9 { // 0.4 s and longer are marked as decimals
		return significant(1/best, 1) + " s"
	}
	return "1/" + significant(best, 4) + " s"
}

// Near writes a length of the model: to the millimetre, from 10 m on to 10 cm.
func Near(metres float64) string {
	switch {
	case math.IsInf(metres, 0):
		return "no limit"
	case math.Abs(metres) < 1:
		return strconv.FormatFloat(math.Round(metres*1000)+0, 'f', -1, 64) + " mm"
	case math.Abs(metres) < 10:
		return strconv.FormatFloat(math.Round(metres*1000)/1000+0, 'f', -1, 64) + " m"
	}
	return strconv.FormatFloat(math.Round(metres*10)/10+0, 'f', -1, 64) + " m"
}

// Far writes a length at full size: to the centimetre.
func Far(metres float64) string {
	if math.IsInf(metres, 0) {
		return "no limit"
	}
	return strconv.FormatFloat(math.Round(metres*100)/100+0, 'f', -1, 64) + " m"
}

// Watts and other quantities of power, with two digits.
func Watts(v float64) string {
	if v >= 10_000 {
		return significant(v/1000, 2) + " kW"
	}
	return significant(v, 2) + " W"
}

// unit writes with so many digits and a unit.
func unit(digits int, name string) func(float64) string {
	return func(v float64) string {
		if math.IsInf(v, 0) {
			return "no limit"
		}
		if name == "°" {
			return significant(v, digits) + name
		}
		return strings.TrimSpace(significant(v, digits) + " " + name)
	}
}

// speeds are the ISO speeds of one decade, in thirds of a stop (ISO 12232).
var speeds = []float64{100, 125, 160, 200, 250, 320, 400, 500, 640, 800}

// ISO writes a speed as cameras are set: the nearest third of a stop.
func ISO(s float64) string {
	best, off := s, math.Inf(1)
	for decade := 0.01; decade < 1e6; decade *= 10 {
		for _, v := range speeds {
			if d := math.Abs(math.Log2(v * decade / s)); d < off {
				best, off = v*decade, d
			}
		}
	}
	return significant(best, 3)
}
