package dmxtest

import (
	"bytes"
	"encoding/hex"
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// Packet is one packet of testdata/wire/packets.json, which says where they come from.
type Packet struct {
	Name     string
	Standard string // "Art-Net 4", "framed USB widget protocol", "ANSI E1.11"
	Valid    bool
	Bytes    []byte
	Fields   map[string]any // of a valid packet, as decoded by others
	Why      string         // a malformed one is malformed
}

// Int gives a numeric field; the test fails if the packet has none of that name.
func (p *Packet) Int(t testing.TB, field string) int {
	t.Helper()
	n, ok := p.Fields[field].(float64)
	if !ok {
		t.Fatalf("packet %s has no field %s", p.Name, field)
	}
	return int(n)
}

// Vectors gives the packets whose names begin with one of the prefixes; there must be some for each.
func Vectors(t testing.TB, prefixes ...string) []Packet {
	t.Helper()
	var file struct {
		Packets []struct {
			Name, Standard, Hex, Why string
			Valid                    bool
			Length                   int
			Fields                   map[string]any
			Tail                     *struct {
				Byte  string
				Count int
			} `json:"hex_tail"`
		}
	}
	readWire(t, &file)
	var out []Packet
	for _, prefix := range prefixes {
		before := len(out)
		for _, p := range file.Packets {
			if !strings.HasPrefix(p.Name, prefix) {
				continue
			}
			b := unhex(t, p.Hex)
			if p.Tail != nil {
				b = append(b, bytes.Repeat(unhex(t, p.Tail.Byte), p.Tail.Count)...)
			}
			if len(b) != p.Length {
				t.Fatalf("packet %s has %d bytes, its length says %d", p.Name, len(b), p.Length)
			}
			out = append(out, Packet{Name: p.Name, Standard: p.Standard, Valid: p.Valid, Bytes: b, Fields: p.Fields, Why: p.Why})
		}
		if len(out) == before {
			t.Fatalf("no packet is named %s...", prefix)
		}
	}
	return out
}

// Table decodes the cases of a table of testdata/wire/packets.json into cases, a pointer to a slice.
func Table(t testing.TB, name string, cases any) {
	t.Helper()
	var file struct {
		Tables map[string]struct{ Cases json.RawMessage }
	}
	readWire(t, &file)
	if err := json.Unmarshal(file.Tables[name].Cases, cases); err != nil {
		t.Fatalf("table %s: %v", name, err)
	}
}

func readWire(t testing.TB, into any) {
	t.Helper()
	dir, err := os.Getwd()
	if err != nil {
		t.Fatal(err)
	}
	for { // tests run in the folder of their package
		if _, err := os.Stat(filepath.Join(dir, "go.mod")); err == nil {
			break
		}
		up := filepath.Dir(dir)
		if up == dir {
			t.Fatal("the test does not run below the module's folder")
		}
		dir = up
	}
	b, err := os.ReadFile(filepath.Join(dir, "testdata", "wire", "packets.json"))
	if err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(b, into); err != nil {
		t.Fatal(err)
	}
}

func unhex(t testing.TB, s string) []byte {
	t.Helper()
	b, err := hex.DecodeString(s)
	if err != nil {
		t.Fatal(err)
	}
	return b
}
