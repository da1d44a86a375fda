// Package chart draws reports as SVG: the chromaticity diagram of one mixed
// colour and the survey of a light.
//
// Figures come in computed; the package gives them a place on paper. Chromaticities
// are CIE 1976 u'v', distances in u'v' steps of 0.0011, temperatures in kelvin
// laid out evenly in mired, levels in stops. Every picture has a title and a
// description for those who do not see it, its own style sheet for paper and
// for a dark screen, no script and nothing fetched from elsewhere. The same
// figures give the same bytes.
//
// It refuses to know files, converters and how a light is solved.
package chart
