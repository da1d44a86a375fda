// Package sheet lays out what goes onto paper and walls: the lighting sheet of a
// shoot, page by page, as one self-contained HTML file or as a table of
// comma-separated values, and the contact sheet of its pictures.
//
// Lengths of pages are in mm, those of pictures in pixels. Every text of the shoot
// is escaped for where it stands; a page holds no script and fetches nothing.
//
// It refuses to know how figures come about, how a plan or a picture is drawn (it
// is handed both), and where a sheet goes.
package sheet
