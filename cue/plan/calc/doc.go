// Package calc is the table of the formulas that limn computes with, each by a
// name, with its inputs and outputs, their units, the law in one line, its source
// and where it holds. Reports call the same functions; here they can be asked one
// at a time, and explain themselves.
//
// Values are JSON's: numbers, lists of numbers, lists of such lists, and truth.
// Units are named at every field; nothing is converted.
//
// It refuses to know shoots, files and how answers are printed. It computes
// nothing itself: the functions stand in the rooms that own their subject.
package calc
