package calc

import "slices"

// table is all formulas, subject by subject.
var table = slices.Concat(exposure, light, focus, miniature, flicker, fullSize, turntable, reflections, flashes, feeding, fits, balance)

// num is a number with its unit and meaning.
func num(key, unit, means string) Field { return Field{Key: key, Unit: unit, Means: means} }

// or gives a field a default.
func (f Field) or(value any) Field {
	f.Default = value
	return f
}

// of makes a field another kind of value.
func (f Field) of(kind Kind) Field {
	f.Kind = kind
	return f
}

// Inputs that many formulas share.
var (
	fNumber    = num("N", "", "f-number")
	effective  = num("N_eff", "", "effective f-number: the loss of close focus in it")
	shutter    = num("t", "s", "time of exposure")
	iso        = num("S", "ISO", "arithmetic speed")
	meterC     = num("C", "", "constant of incident meters").or(250.0)
	meterK     = num("K", "", "constant of reflected meters").or(12.5)
	wavelength = num("lambda_nm", "nm", "wavelength").or(550.0)
	focal      = num("f", "mm", "focal length")
	blur       = num("c", "mm", "blur allowed on the sensor")
	pupil      = num("p", "", "pupil ratio, exit over entrance").or(1.0)
	scale      = num("s", "", "scale: 12 for 1:12")
	magnified  = num("m", "", "magnification")
	stops      = num("stops", "stops", "the same in stops")
	luxOut     = num("lux", "lx", "illuminance")
)

const computed = "the formula's own definition"
