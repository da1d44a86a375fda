// Package testdata carries the example shoots, so that the program can play one
// without a folder on disk. It holds data only.
package testdata

import (
	"embed"
	"io/fs"
)

//go:embed kittiwake
var shoots embed.FS

// Kittiwake is the content of the shoot of that name, a 1:12 varnished motor
// launch: rig.toml, cues.toml.
func Kittiwake() fs.FS {
	sub, err := fs.Sub(shoots, "kittiwake")
	if err != nil {
		panic(err) // the name is a constant and valid
	}
	return sub
}
