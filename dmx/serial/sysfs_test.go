package serial

import (
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"
)

// tree is a copy of what the kernel publishes, in a folder of the test. Its layout is that of Linux 6.18:
// class/tty/NAME/device leads to the device, whose subsystem and driver are links too.
type tree struct {
	t    testing.TB
	root string
}

func newTree(t testing.TB) *tree { return &tree{t, t.TempDir()} }

func (s *tree) file(path, content string) {
	s.t.Helper()
	path = filepath.Join(s.root, path)
	if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
		s.t.Fatal(err)
	}
	if err := os.WriteFile(path, []byte(content), 0o600); err != nil {
		s.t.Fatal(err)
	}
}

func (s *tree) link(path, to string) {
	s.t.Helper()
	path = filepath.Join(s.root, path)
	for _, dir := range []string{filepath.Dir(path), filepath.Join(s.root, to)} {
		if err := os.MkdirAll(dir, 0o755); err != nil {
			s.t.Fatal(err)
		}
	}
	if err := os.Symlink(filepath.Join(s.root, to), path); err != nil {
		s.t.Fatal(err)
	}
}

// usb is a device on the bus and one of its interfaces; the path of the interface comes back.
func (s *tree) usb(bus, face string, attributes map[string]string) string {
	device := "devices/usb1/" + bus
	for name, value := range attributes {
		if name == "bInterfaceNumber" {
			s.file(device+"/"+bus+":"+face+"/"+name, value+"\n")
		} else {
			s.file(device+"/"+name, value+"\n")
		}
	}
	return device + "/" + bus + ":" + face
}

// converter is a port of a USB serial chip.
func (s *tree) converter(name, bus, face, driver string, attributes map[string]string) {
	device := s.usb(bus, face, attributes) + "/" + name
	s.link(device+"/subsystem", "bus/usb-serial")
	s.link(device+"/driver", "bus/usb-serial/drivers/"+driver)
	s.link("class/tty/"+name+"/device", device)
}

func TestSysfs(t *testing.T) {
	s := newTree(t)
	s.converter("ttyUSB10", "1-4", "1.0", "ftdi_sio", map[string]string{
		"idVendor": "0403", "idProduct": "6001", "serial": "A10\x1b[2JX3K", "manufacturer": "Somebody", "product": "DMX \u202ebox\r\n", "bInterfaceNumber": "00",
	})
	s.converter("ttyUSB2", "1-1.2", "1.1", "ch341", map[string]string{"idVendor": "1a86", "idProduct": "7523", "bInterfaceNumber": "01"})
	s.converter("ttyUSB3", "1-5", "1.2", "option1", map[string]string{"idVendor": "1234", "idProduct": "5678"})
	s.converter("ttyUSB4", "1-6", "1.0", "ftdi_sio", map[string]string{"idProduct": "6001"}) // half gone
	// a device with firmware of its own
	acm := s.usb("1-7", "1.0", map[string]string{"idVendor": "2341", "idProduct": "0043", "product": "board"})
	s.link(acm+"/subsystem", "bus/usb")
	s.link("class/tty/ttyACM0/device", acm)
	// ports of the board: a real one, the console, a name without a port
	for name, kind := range map[string]string{"ttyS0": "4", "ttyS1": "0", "ttyAMA0": "32"} {
		s.link("class/tty/"+name+"/device", "devices/platform/"+name)
		s.link("devices/platform/"+name+"/subsystem", "bus/serial-base")
		s.file("class/tty/"+name+"/type", kind+"\n")
	}
	s.file("class/tty/console/active", "tty0 ttyS0\n")
	s.file("class/tty/tty7/dev", "4:7\n")

	got, err := Sysfs(s.root, "/dev")()
	if err != nil {
		t.Fatal(err)
	}
	want := []Adapter{
		{
			Port: "/dev/ttyUSB2", USB: true, Vendor: 0x1a86, Product: 0x7523, Driver: "ch341",
			Socket: "1-1.2:1.1", Interface: 1, Means: MeansLine,
		},
		{
			Port: "/dev/ttyUSB10", USB: true, Vendor: 0x0403, Product: 0x6001, Serial: "A10[2JX3K", Maker: "Somebody", Text: "DMX box",
			Driver: "ftdi_sio", Socket: "1-4:1.0", Means: MeansEither,
		},
		{
			Port: "/dev/ttyACM0", USB: true, Vendor: 0x2341, Product: 0x0043, Text: "board", Socket: "1-7:1.0",
		},
		{
			Port: "/dev/ttyUSB3", USB: true, Vendor: 0x1234, Product: 0x5678, Driver: "option1", Socket: "1-5:1.2", Means: MeansModem,
		},
		{Port: "/dev/ttyS0", Means: MeansConsole},
		{Port: "/dev/ttyAMA0", Means: MeansBoard},
	}
	if !reflect.DeepEqual(got, want) {
		t.Errorf("found\n%+v, want\n%+v", got, want)
	}
	if _, err := Sysfs(filepath.Join(s.root, "nowhere"), "/dev")(); err == nil {
		t.Error("a tree that is not there has ports")
	}
}

// However many ports a kernel publishes, and however long their texts, what is kept is bounded.
func TestSysfsIsBounded(t *testing.T) {
	s := newTree(t)
	for i := range maxAdapters + 44 {
		name := "ttyUSB" + strings.Repeat("1", i%7+1) + string(rune('a'+i%26)) + strings.Repeat("2", i/26)
		s.converter(name, "1-"+name, "1.0", "ch341", map[string]string{"idVendor": "1a86", "idProduct": "7523", "product": strings.Repeat("x", 2*maxAttribute)})
	}
	got, err := Sysfs(s.root, "/dev")()
	if err != nil {
		t.Fatal(err)
	}
	if len(got) != maxAdapters || len(got[0].Text) != maxText {
		t.Errorf("%d ports, the first with a text of %d bytes", len(got), len(got[0].Text))
	}
}

// The ports of this machine can be listed, whatever they are.
func TestFind(t *testing.T) {
	got, err := Find()
	if err != nil {
		t.Skipf("this system lists no ports: %v", err)
	}
	for _, a := range got {
		if a.Port == "" || a.Means.String() == "" {
			t.Errorf("%+v", a)
		}
	}
}

func FuzzClean(f *testing.F) {
	f.Add("DMX \u202ebox\x1b[2J")
	f.Add(strings.Repeat("\xff", 300))
	f.Fuzz(func(t *testing.T, s string) {
		got := clean(s)
		if strings.ContainsFunc(got, func(r rune) bool { return r < ' ' || r == 0x7f || r == 0x202e || r == 0x9b }) || len(got) > 4*maxText {
			t.Errorf("%q becomes %q", s, got)
		}
		if clean(got) != got {
			t.Errorf("%q cleaned again becomes %q", got, clean(got))
		}
	})
}
