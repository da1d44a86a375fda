// Command limn turns a folder of TOML files into light: it checks a shoot,
// plays it on real outputs or on a virtual clock, and answers questions about
// mixing and colour.
//
// This package wires the rooms together, one file a subcommand, and computes
// nothing: every formula lives in the room that owns it. What it does own is
// the wording on the terminal (the rules stand in message.go), the shapes of
// the JSON it prints, and how a run begins and ends.
//
// Units on screen are the trade's: kelvin and tint (Duv), per cent, stops,
// lux, degrees. Exit status: 0 done, 1 ran and failed, 2 wrong usage, 3 the
// files are invalid, 4 a device or the network is unreachable, 130 interrupted.
package main
