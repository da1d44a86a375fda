// Package plan is the reports over a shoot: what each cue gives the camera, what
// is sharp, what flickers, what the same picture takes at full size, and what it
// takes to feed the lights. They answer from the same files that drive the lights.
//
// Every figure is a [Figure]: its value, how a photographer writes it, and why:
// formula, inputs, source and where it holds. Formulas are those of package calc,
// asked by name, so that "limn calc NAME" computes the same; a few of pure
// geometry stand here. A figure that lacks something names it, and the rest of the
// report still comes.
//
// # Units
//
// Illuminance in lux, luminance in cd/m², lengths of the set in metres, those of
// lens and sensor in millimetres, light differences in stops, angles in degrees in
// the set's own axes (see package space).
//
// # Validity
//
// Sources and cards face the aim point. Faces are even and Lambertian, the model casts no shadow on the aim point, the
// walls give no light but what [room] ambient tells. Expect a tenth of a stop from
// light that was measured, half a stop from light that is computed, a tenth of the
// depth of field, a fifth of the power.
//
// # What it refuses to know
//
// Files, slots, sockets, time; how a report is printed.
package plan
