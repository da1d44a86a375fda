package profiles

import "limn/fixtures"

// Limits of a profile file. They are wide of anything that is sold and narrow
// enough that a slip of the unit is noticed.
const (
	MaxFlux       = 1e6 // lumens; a stadium light gives about 2e5
	MaxSettle     = 60  // seconds
	MaxDuv        = 0.05
	MaxPeaks      = 8
	MinPeak       = 380 // nm
	MaxPeak       = 780 // nm
	MinWidth      = 5   // nm; no diode is narrower
	MaxWidth      = 300 // nm
	MinGamma      = 0.2
	MaxGamma      = 5
	MaxSpeed      = 360 // degrees a second; nothing a model stands on turns faster
	MaxTablePoint = 256 // of a response or white table
	MaxName       = 64  // characters
	MaxOwn        = 256 // profile files in a shoot
	MaxWarmUp     = 64  // lines of a calibration
	maxCells      = fixtures.MaxCells
)
