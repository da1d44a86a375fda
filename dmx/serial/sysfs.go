package serial

import (
	"io"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
)

// maxAttribute is the most that is read of a file of sysfs, which are a page long at most.
const maxAttribute = 4096

// Sysfs is the lister of Linux: it reads the ports from the kernel's tree at sys, usually
// "/sys", and names them below dev, usually "/dev". It opens no port: the listing of the serial library does, at
// another speed, which would disturb a line that is running.
func Sysfs(sys, dev string) Lister {
	return func() ([]Adapter, error) {
		class := filepath.Join(sys, "class", "tty")
		entries, err := os.ReadDir(class)
		if err != nil {
			return nil, err
		}
		consoles := strings.Fields(attribute(filepath.Join(class, "console", "active")))
		var found []Adapter
		for _, e := range entries {
			a, ok := readPort(filepath.Join(class, e.Name()))
			if !ok {
				continue
			}
			a.Port = filepath.Join(dev, e.Name())
			if slices.Contains(consoles, e.Name()) {
				a.Means = MeansConsole
			}
			found = append(found, a)
		}
		return inOrder(found), nil
	}
}

// noUART is the type of a port that the kernel keeps a name for and that is not there (linux/serial.h, PORT_UNKNOWN).
const noUART = "0"

// readPort reads a port's entry. ok is false for what is no serial port of a device: virtual terminals,
// pseudo-terminals, names without hardware.
func readPort(entry string) (a Adapter, ok bool) {
	device, err := filepath.EvalSymlinks(filepath.Join(entry, "device"))
	if err != nil {
		return Adapter{}, false
	}
	a.Driver = linkName(filepath.Join(device, "driver"))
	face := "" // the USB interface that the port is on
	switch linkName(filepath.Join(device, "subsystem")) {
	case "usb-serial":
		face = filepath.Dir(device)
	case "usb":
		face = device
	}
	if face == "" {
		kind := attribute(filepath.Join(entry, "type"))
		a.Means = means(a)
		return a, kind != noUART && kind != ""
	}
	usb := filepath.Dir(face)
	vendor, errV := strconv.ParseUint(attribute(filepath.Join(usb, "idVendor")), 16, 16)
	product, errP := strconv.ParseUint(attribute(filepath.Join(usb, "idProduct")), 16, 16)
	if errV != nil || errP != nil {
		return Adapter{}, false // it is being unplugged at this moment
	}
	number, _ := strconv.ParseUint(attribute(filepath.Join(face, "bInterfaceNumber")), 16, 8) // 0 if it does not say
	a.USB, a.Vendor, a.Product, a.Interface = true, uint16(vendor), uint16(product), int(number)
	a.Serial = clean(attribute(filepath.Join(usb, "serial")))
	a.Maker = clean(attribute(filepath.Join(usb, "manufacturer")))
	a.Text = clean(attribute(filepath.Join(usb, "product")))
	a.Socket = filepath.Base(face)
	a.Means = means(a)
	return a, true
}

// linkName is the last part of where a link leads, "" if there is none.
func linkName(path string) string {
	to, err := os.Readlink(path)
	if err != nil {
		return ""
	}
	return filepath.Base(to)
}

// attribute reads a file of sysfs, "" if there is none or it is empty: devices leave out what they like.
func attribute(path string) string {
	f, err := os.Open(path)
	if err != nil {
		return ""
	}
	defer f.Close()
	b, err := io.ReadAll(io.LimitReader(f, maxAttribute))
	if err != nil {
		return ""
	}
	return strings.TrimSpace(string(b))
}
