// Package camera is the photographer's arithmetic: exposure, depth of field,
// diffraction, the look of a miniature at full size, focus stacks, and what
// flickering light does in a frame.
//
// # Units
//
// Illuminance is in lux, luminance in cd/m², time in seconds, frequency in Hz.
// Lengths that belong to lens and sensor (focal length, blur, focus distance) are
// in millimetres, wavelengths in nanometres, angles in degrees. Stops are
// logarithms to base 2. An f-number is what the lens is marked with unless it is
// called effective: then the loss of close focus is in it.
//
// # Validity
//
// Lenses are thin lenses with a pupil ratio, focus distances are from the
// entrance pupil, apertures are round and unaberrated, light is steady but where
// flicker is spoken of. Within that the formulas are exact to the digits; on a
// set expect a tenth of a stop from light and a tenth of the depth of field,
// because the blur that is allowed is a matter of taste.
//
// What makes no sense (a negative time, a focus inside the focal length) gives
// NaN, so that a report can say which figure is missing or impossible; nothing
// here fails or panics.
//
// # What it refuses to know
//
// Shoots, cues, sources, files; what a figure is wanted for.
package camera
