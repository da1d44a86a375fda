//go:build !linux && !windows && !(darwin && cgo)

package serial

import goserial "go.bug.st/serial"

// listPorts knows only names here: reading USB ids takes a C compiler on some systems and is not offered on others.
func listPorts() ([]Adapter, error) {
	names, err := goserial.GetPortsList()
	if err != nil {
		return nil, err
	}
	var found []Adapter
	for _, n := range names {
		found = append(found, Adapter{Port: n, Means: MeansUnknown})
	}
	return found, nil
}
