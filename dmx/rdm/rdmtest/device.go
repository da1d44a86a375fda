package rdmtest

import (
	"encoding/binary"
	"slices"

	"limn/dmx/rdm"
)

// Device is a virtual light on the line.
type Device struct {
	UID                        rdm.UID
	Label, Model, Manufacturer string // "" is a parameter that it does not know
	Address                    int    // 0 if it has none
	Modes                      []rdm.Mode
	Mode                       int // from 1
	Deaf                       bool
	Stubborn                   bool // takes a start address, and keeps its own

	identifying bool
	queue       []rdm.Message // answers that were put off
	putOff      map[rdm.PID]bool
	part        int // of an answer in parts
}

// footprint is the slots that it takes in its mode.
func (d *Device) footprint() int {
	for _, m := range d.Modes {
		if m.Number == d.Mode {
			return m.Slots
		}
	}
	return 0
}

// supported are the parameters beyond those that every device has to know.
func (d *Device) supported() []rdm.PID {
	pids := []rdm.PID{rdm.QueuedMessage}
	for pid, text := range map[rdm.PID]string{
		rdm.DeviceLabel: d.Label, rdm.DeviceModelDescription: d.Model, rdm.ManufacturerLabel: d.Manufacturer,
	} {
		if text != "" {
			pids = append(pids, pid)
		}
	}
	if len(d.Modes) > 0 {
		pids = append(pids, rdm.DmxPersonality, rdm.DmxPersonalityDescription)
	}
	slices.Sort(pids)
	return pids
}

// get gives the data of a parameter, or the reason why not.
func (d *Device) get(pid rdm.PID, data []byte) ([]byte, rdm.Reason, bool) {
	text := func(s string) ([]byte, rdm.Reason, bool) { return []byte(s), rdm.UnknownPID, s != "" }
	switch pid {
	case rdm.DeviceInfo:
		info := rdm.Info{
			Model: 1, Category: 0x0100, Software: 1, Footprint: d.footprint(), Mode: d.Mode, Modes: len(d.Modes), StartAddress: d.Address,
		}
		return info.AppendTo(nil), 0, true
	case rdm.SupportedParameters:
		var out []byte
		for _, p := range d.supported() {
			out = binary.BigEndian.AppendUint16(out, uint16(p))
		}
		return out, 0, true
	case rdm.DeviceLabel:
		return text(d.Label)
	case rdm.DeviceModelDescription:
		return text(d.Model)
	case rdm.ManufacturerLabel:
		return text(d.Manufacturer)
	case rdm.DmxStartAddress:
		address := d.Address
		if address == 0 {
			address = rdm.NoAddress
		}
		return rdm.AppendAddress(nil, address), 0, true
	case rdm.DmxPersonality:
		return []byte{byte(d.Mode), byte(len(d.Modes))}, rdm.UnknownPID, len(d.Modes) > 0
	case rdm.DmxPersonalityDescription:
		if len(data) != 1 {
			return nil, rdm.FormatError, false
		}
		for _, m := range d.Modes {
			if m.Number == int(data[0]) {
				return m.AppendTo(nil), 0, true
			}
		}
		return nil, rdm.OutOfRange, false
	case rdm.IdentifyDevice:
		if d.identifying {
			return []byte{1}, 0, true
		}
		return []byte{0}, 0, true
	}
	return nil, rdm.UnknownPID, false
}

// set sets a parameter, or says why not.
func (d *Device) set(pid rdm.PID, data []byte) (rdm.Reason, bool) {
	switch pid {
	case rdm.DmxStartAddress:
		address, err := rdm.DecodeAddress(data)
		if err != nil {
			return rdm.FormatError, false
		}
		if address < 1 || address+d.footprint() > 513 {
			return rdm.OutOfRange, false
		}
		if !d.Stubborn {
			d.Address = address
		}
		return 0, true
	case rdm.DmxPersonality:
		if len(data) != 1 {
			return rdm.FormatError, false
		}
		if data[0] < 1 || int(data[0]) > len(d.Modes) {
			return rdm.OutOfRange, false
		}
		if !d.Stubborn {
			d.Mode = int(data[0])
		}
		return 0, true
	case rdm.IdentifyDevice:
		if len(data) != 1 || data[0] > 1 {
			return rdm.FormatError, false
		}
		d.identifying = data[0] == 1
		return 0, true
	}
	return rdm.UnsupportedClass, false
}
