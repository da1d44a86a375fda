// Package tomlfile reads TOML strictly and edits it in place. Reading tells every
// fault of a file with its place and its cure, all of them at once, with the nearest
// known name.
//
// A file is read key by key through cursors:
//
//	var ps tomlfile.Problems
//	root := tomlfile.Parse("rig.toml", src, &ps)
//	for _, s := range root.Tables("source") {
//		s.Require("name", `name = "sky"`)
//		name, _ := s.String("name")
//		width, _ := tomlfile.Read(s, "width", quantity.ParseLength)
//		...
//	}
//	root.Close()
//	for _, p := range ps.Sorted() { fmt.Println(p) }
//
// A getter reports a missing or wrongly typed value itself, at its place, and
// returns ok = false, so that callers just go on and the user hears of everything
// in one run. Every key asked for counts as known; Close reports the others.
//
// A file is edited in place through an [Editor]: a value replaced, a key put at the
// end of its table, a table made or a [[table]] inserted, each the way its neighbours
// are written. Every byte that is not part of the edit stays.
//
// What the values are is github.com/BurntSushi/toml's to say (TOML 1.1). Where
// they stand comes from a range finder built on another parser, hidden in
// ranges.go. A faulty line is reported in this package's own words and left out,
// and the rest is still read.
//
// Lines and columns count from 1, columns in characters. Messages never carry
// control characters. The package knows no lights.
package tomlfile
