package serial

import (
	"cmp"
	"slices"
)

// Lister gives the serial ports of a machine. An [Output] asks one only while it opens its port, which it does at
// the start and after a loss: while all is well nothing is enumerated.
type Lister func() ([]Adapter, error)

// maxAdapters bounds how many ports a lister reports.
const maxAdapters = 256

// Find lists the serial ports of this machine, those whose ids are known from adapters first. On Linux it reads
// what the kernel publishes and opens no port. On other systems the system's own listing is asked; do
// not call it there while a light is driven.
func Find() ([]Adapter, error) {
	found, err := listPorts()
	if err != nil {
		return nil, err
	}
	return inOrder(found), nil
}

// inOrder sorts ports for people to read, and cuts what is beyond all measure.
func inOrder(found []Adapter) []Adapter {
	slices.SortFunc(found, func(a, b Adapter) int {
		return cmp.Or(cmp.Compare(rank(a), rank(b)), natural(a.Port, b.Port))
	})
	return found[:min(len(found), maxAdapters)]
}

func rank(a Adapter) int {
	switch {
	case a.Means.usable():
		return 0
	case a.USB:
		return 1
	}
	return 2
}

// natural puts ttyUSB2 before ttyUSB10.
func natural(a, b string) int { return cmp.Or(cmp.Compare(len(a), len(b)), cmp.Compare(a, b)) }
