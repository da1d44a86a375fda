//go:build windows || (darwin && cgo)

package serial

import (
	"strconv"

	"go.bug.st/serial/enumerator"
)

func listPorts() ([]Adapter, error) {
	ports, err := enumerator.GetDetailedPortsList()
	if err != nil {
		return nil, err
	}
	var found []Adapter
	for _, p := range ports {
		if p.Name == "" { // the library's way to say that a port has just left
			continue
		}
		a := Adapter{Port: p.Name, Serial: clean(p.SerialNumber), Maker: clean(p.Manufacturer), Text: clean(p.Product)}
		vendor, errV := strconv.ParseUint(p.VID, 16, 16)
		product, errP := strconv.ParseUint(p.PID, 16, 16)
		if p.IsUSB && errV == nil && errP == nil {
			a.USB, a.Vendor, a.Product = true, uint16(vendor), uint16(product)
		}
		a.Means = means(a)
		found = append(found, a)
	}
	return found, nil
}
