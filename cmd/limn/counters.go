package main

import (
	"os"

	"limn/dmx/pace"
)

// writeCounters writes what the send loop counted to a file, as one JSON object: frames, those that were late or
// missed, lateness, and for each output what it took, dropped and refused. No name, no file.
func writeCounters(file string, c pace.Counters, std stdio) error {
	o := object{{"version", jsonVersion}, {"sender", c}}
	switch file {
	case "":
		return nil
	case "-":
		return writeJSON(std.Out, o)
	}
	f, err := os.Create(file)
	if err != nil {
		return failuref(statusFailed, "", "cannot write %s: %v", file, pathCause(err))
	}
	if err = writeJSON(f, o); err == nil {
		err = f.Close()
	} else {
		f.Close()
	}
	if err != nil {
		return failuref(statusFailed, "", "cannot write %s: %v", file, pathCause(err))
	}
	return nil
}
