// Package greycard reads photographs of a grey card: linear values of the card with
// their noise, and what speaks against believing them.
//
// [Open] reads a 16-bit linear TIFF, a JPEG (rough: the camera has bent its tones) or,
// through a converter that the user names, a raw file. [Photo.Find] finds the card,
// [Photo.Measure] gives the mean of a region and what is wrong with it: clipping,
// bands of flicker, uneven light. [Compare] looks at a series: a card or camera that
// moved, an automatic white balance, an exposure that nobody knows.
//
// # Units
//
// Values are linear, 1 the highest that the file can hold. Places are in pixels, from
// the top left. [Settings.Exposure] is t·ISO/N², in seconds: value over exposure is
// light, in a unit of the camera's own.
//
// Memory is bounded before a picture is decoded: its header says how large it is, and
// one beyond [MaxPixels], or of more pixels than its file could hold, is refused.
//
// # What it refuses to know
//
// Lights, emitters, colours of light, and what is done with the values.
package greycard
