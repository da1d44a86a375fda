package camera

import "math"

// sameCycle is how near a number of cycles counts as whole: what times written
// in milliseconds cannot tell apart.
const sameCycle = 1e-9

// Ripple is how much exposure may differ from frame to frame, or row to row.
type Ripple struct {
	Most, Least float64 // over the mean
	Stops       float64 // from one to the other
}

// SineRipple is what light that swings by a share mod about its mean at f Hz
// does in an exposure of t: M·|sin(πft)/(πft)|.
func SineRipple(mod, f, t float64) (amplitude float64, r Ripple) {
	x := math.Pi * f * t
	amplitude = mod
	if n := math.Round(f * t); n > 0 && math.Abs(f*t-n) < sameCycle {
		amplitude = 0
	} else if x != 0 {
		amplitude = mod * math.Abs(math.Sin(x)/x)
	}
	r = Ripple{Most: 1 + amplitude, Least: 1 - amplitude}
	r.Stops = math.Log2(r.Most / r.Least)
	return amplitude, r
}

// PWMRipple is what light switched at f Hz, on for a share duty, does in an
// exposure of t, at the worst phase either way. Where the least is nothing, a
// frame can be black and Stops is +Inf.
func PWMRipple(duty, f, t float64) Ripple {
	cycles := f * t
	n := math.Floor(cycles)
	if up := math.Round(cycles); math.Abs(cycles-up) < sameCycle {
		n, cycles = up, up
	}
	part := cycles - n
	most := n*duty + math.Min(part, duty)
	least := n*duty + math.Max(0, part+duty-1)
	mean := duty * cycles
	return Ripple{Most: most / mean, Least: least / mean, Stops: math.Log2(most / least)}
}

// WorstPWM is the most that switched light differs by, peak to peak over the
// mean, whatever the exact time: min(d,1-d)/(d·f·t).
func WorstPWM(duty, f, t float64) float64 { return math.Min(duty, 1-duty) / (duty * f * t) }

// NeededPWM is the frequency at which switched light differs by no more than pp.
func NeededPWM(duty, t, pp float64) float64 { return math.Min(duty, 1-duty) / (duty * t * pp) }

// Bands is how many dark bands a rolling shutter with a readout of so many
// seconds shows of light at f Hz, and how many rows each takes.
func Bands(readout, f, rows float64) (bands, rowsEach float64) {
	bands = readout * f
	return bands, rows / bands
}

// Crawl is how far bands move from frame to frame, in cycles, and how often they
// come round, in Hz. 0 means that they stand still, and are easy to miss live.
func Crawl(f, fps float64) (cycles, beat float64) {
	x := f / fps
	cycles = x - math.Round(x)
	return cycles, math.Abs(cycles) * fps
}

// MainsSafe lists the shutter angles up to 360° that take in whole pulses of
// lamps fed by the mains (they pulse at twice its frequency), and says whether
// frames are alike at any angle, because pulses and frames keep step.
func MainsSafe(fps, mains float64) (degrees []float64, any bool) {
	pulses := 2 * mains / fps
	if !(pulses > 0) || pulses > MaxFrames {
		return nil, false
	}
	for k := 1.0; k <= pulses+sameCycle; k++ {
		degrees = append(degrees, 360*k/pulses)
	}
	return degrees, math.Abs(pulses-math.Round(pulses)) < sameCycle
}

// MainsRate finds a frame rate near fps from which 29.97 and the like are told
// apart: the exact rate for its usual shortened spelling.
func MainsRate(fps float64) float64 {
	for _, exact := range []float64{24000.0 / 1001, 30000.0 / 1001, 60000.0 / 1001} {
		if math.Abs(fps-exact) < spelling {
			return exact
		}
	}
	return fps
}

// spelling is how far a shortened frame rate may lie from the exact one.
const spelling = 0.005

// FlickerLimits are the bounds of percent flicker at f Hz that IEEE 1789-2015
// recommends for people's eyes (not for cameras): low risk, and no observable
// effect. +Inf where it sets none. By public summaries of the standard.
func FlickerLimits(f float64) (lowRisk, noEffect float64) {
	switch {
	case !(f > 0):
		return math.NaN(), math.NaN()
	case f < 90:
		return 0.025 * f, 0.01 * f
	case f <= 1250:
		return 0.08 * f, 0.0333 * f
	case f <= 3000:
		return math.Inf(1), 0.0333 * f
	}
	return math.Inf(1), math.Inf(1)
}

// Minkowski's exponent of the stroboscopic visibility measure, and the highest
// frequency that counts (CIE TN 006:2016).
const (
	strobeExponent = 3.7
	strobeHighest  = 2000.0
)

// strobeThreshold is the modulation that is just seen at f Hz as a stroboscopic
// effect (CIE TN 006:2016; the formula from memory).
func strobeThreshold(f float64) float64 {
	return 1/(1+math.Exp(-0.00518*(f-306.6))) + 20*math.Exp(-f/10)
}

// SineSVM is the stroboscopic visibility measure of light that swings by a share
// mod at f Hz; 1 is just visible, in more than 100 lx and motion up to 4 m/s.
// It is a measure for people: what passes it may band in a camera.
func SineSVM(mod, f float64) float64 {
	if f > strobeHighest {
		return 0
	}
	return mod / strobeThreshold(f)
}

// PWMSVM is that of light switched at f Hz, on for a share duty.
func PWMSVM(duty, f float64) float64 {
	sum := 0.0
	for k := 1.0; k*f <= strobeHighest; k++ {
		x := math.Pi * k * duty
		c := 2 * math.Abs(math.Sin(x)) / x // amplitude over the mean
		sum += math.Pow(c/strobeThreshold(k*f), strobeExponent)
	}
	return math.Pow(sum, 1/strobeExponent)
}

// PercentFlicker is 100·(max-min)/(max+min).
func PercentFlicker(most, least float64) float64 { return 100 * (most - least) / (most + least) }
