package record

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"reflect"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"limn/dmx"
)

const header = `{"recording":"dmx","version":1,"started":"2026-05-04T09:30:00Z"}` + "\n"

func entries() *rapid.Generator[[]Entry] {
	return rapid.Custom(func(t *rapid.T) []Entry {
		var out []Entry
		at := time.Duration(0)
		for range rapid.IntRange(0, 20).Draw(t, "packets") {
			at += time.Duration(rapid.IntRange(0, 1e6).Draw(t, "microseconds")) * time.Microsecond
			e := Entry{
				At: at, Protocol: ArtNet, Universe: rapid.IntRange(0, 32767).Draw(t, "port address"), Priority: NoPriority,
				Source: rapid.StringN(0, 20, 80).Draw(t, "source"),
				Slots:  rapid.SliceOfN(rapid.Byte(), 1, dmx.Slots).Draw(t, "slots"),
			}
			if rapid.Bool().Draw(t, "sacn") {
				e.Protocol, e.Universe = SACN, rapid.IntRange(1, 63999).Draw(t, "universe")
				e.Priority = rapid.IntRange(0, 200).Draw(t, "priority")
				e.Name = rapid.StringN(0, 20, 80).Draw(t, "name")
			}
			out = append(out, e)
		}
		return out
	})
}

// What is written is read back.
func TestRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		want := entries().Draw(t, "entries")
		started := time.Date(2026, 5, 4, 9, 30, 0, 0, time.UTC)
		var b bytes.Buffer
		w, err := NewWriter(&b, started)
		if err != nil {
			t.Fatal(err)
		}
		for _, e := range want {
			if err := w.Write(e); err != nil {
				t.Fatal(err)
			}
		}
		if err := w.Flush(); err != nil {
			t.Fatal(err)
		}
		r, err := NewReader(&b)
		if err != nil {
			t.Fatal(err)
		}
		if !r.Started().Equal(started) {
			t.Fatalf("started %v", r.Started())
		}
		var got []Entry
		for {
			e, err := r.Next()
			if err == io.EOF {
				break
			}
			if err != nil {
				t.Fatal(err)
			}
			got = append(got, e)
		}
		if !reflect.DeepEqual(got, want) {
			t.Fatalf("got  %+v\nwant %+v", got, want)
		}
	})
}

// The longest line that is written can be read.
func TestLongestLine(t *testing.T) {
	var b bytes.Buffer
	w, _ := NewWriter(&b, time.Now())
	e := Entry{
		At: MaxTime, Protocol: SACN, Universe: 63999, Priority: 200, Source: strings.Repeat("s", maxText),
		Name: strings.Repeat("\u0001", maxText), Slots: make([]byte, dmx.Slots),
	}
	if err := w.Write(e); err != nil {
		t.Fatal(err)
	}
	w.Flush()
	r, err := NewReader(&b)
	if err != nil {
		t.Fatal(err)
	}
	if got, err := r.Next(); err != nil || !reflect.DeepEqual(got, e) {
		t.Errorf("%v", err)
	}
}

func TestWhatIsWrongIsNamed(t *testing.T) {
	for _, c := range []struct{ text, want string }{
		{"", "it is empty"},
		{"{}", "line 1: this is no recording"},
		{"slots\n", "line 1: this is no recording"},
		{`{"recording":"dmx","version":2}`, "line 1: the recording is of version 2; this program reads version 1"},
		{header + "\n{}\n", `line 3: it has no time; write "t" in seconds`},
		{header + "[]\n", "line 2: it is no packet"},
		{header + `{"t":1,"protocol":"artnet","slots":"00"}`, "line 2: it has no universe"},
		{header + `{"t":1,"protocol":"smoke","universe":1,"slots":"00"}`, `line 2: there is no protocol "smoke"; known are "artnet" and "sacn"`},
		{header + `{"t":1,"protocol":"sacn","universe":0,"slots":"00"}`, "line 2: sacn has no universe 0; it has 1 to 63999"},
		{header + `{"t":1,"protocol":"artnet","universe":32768,"slots":"00"}`, "line 2: artnet has no universe 32768"},
		{header + `{"t":-1,"protocol":"artnet","universe":1,"slots":"00"}`, "line 2: the time -1 is out of range"},
		{header + `{"t":1e300,"protocol":"artnet","universe":1,"slots":"00"}`, "line 2: the time 1e+300 is out of range"},
		{header + `{"t":1,"protocol":"artnet","universe":1,"slots":"0"}`, "line 2: its slots are not pairs of hexadecimal digits"},
		{header + `{"t":1,"protocol":"artnet","universe":1,"slots":""}`, "line 2: 0 slots; a packet has 1 to 512"},
		{header + `{"t":1,"protocol":"artnet","universe":1,"slots":"` + strings.Repeat("00", 513) + `"}`, "line 2: 513 slots"},
		{header + `{"t":1,"protocol":"sacn","universe":1,"priority":201,"slots":"00"}`, "line 2: the priority 201 is out of range"},
		{header + `{"t":1,"protocol":"sacn","universe":1,"priority":-1,"slots":"00"}`, "line 2: the priority -1 is out of range"},
		{header + `{"t":2,"protocol":"artnet","universe":1,"slots":"00"}` + "\n" + `{"t":1,"protocol":"artnet","universe":1,"slots":"00"}`, "line 3: the time goes back from 2s to 1s"},
		{header + strings.Repeat(" ", MaxLine+1), "line 2: it has more than 4096 bytes"},
	} {
		r, err := NewReader(strings.NewReader(c.text))
		for err == nil {
			_, err = r.Next()
		}
		if !strings.Contains(err.Error(), c.want) {
			t.Errorf("%.80q: %v, want %s", c.text, err, c.want)
		}
	}
}

// A faulty line does not take the others with it.
func TestReadingGoesOnBehindAFaultyLine(t *testing.T) {
	r, err := NewReader(strings.NewReader(header + "{}\n" + `{"t":1,"protocol":"artnet","universe":7,"slots":"0a","later":true}`))
	if err != nil {
		t.Fatal(err)
	}
	_, err = r.Next()
	if bad := new(LineError); !errors.As(err, &bad) || bad.Line != 2 {
		t.Fatalf("error %v", err)
	}
	if e, err := r.Next(); err != nil || e.Universe != 7 || e.Slots[0] != 10 {
		t.Errorf("%+v, %v", e, err)
	}
}

func TestTheWriterRefuses(t *testing.T) {
	w, err := NewWriter(io.Discard, time.Now())
	if err != nil {
		t.Fatal(err)
	}
	good := Entry{At: time.Second, Protocol: ArtNet, Universe: 1, Priority: NoPriority, Slots: []byte{1}}
	if err := w.Write(good); err != nil {
		t.Fatal(err)
	}
	back := good
	back.At = 0
	if err := w.Write(back); err == nil || !strings.Contains(err.Error(), "goes back") {
		t.Errorf("time back: %v", err)
	}
	w.size = MaxSize - MaxLine + 1
	if err := w.Write(good); !errors.Is(err, ErrFull) {
		t.Errorf("full: %v", err)
	}
}

// Whatever is read is whole, or refused with its line.
func FuzzReader(f *testing.F) {
	f.Add([]byte(header + `{"t":0.022727,"protocol":"artnet","universe":1,"source":"10.0.0.9:6454","slots":"ff00c8"}`))
	f.Add([]byte(header + `{"t":0,"protocol":"sacn","universe":63999,"name":"desk","priority":200,"slots":"00"}` + "\n{}\n"))
	f.Add([]byte(`{"recording":"dmx","version":1}`))
	f.Add([]byte("\xff\x00"))
	f.Fuzz(func(t *testing.T, b []byte) {
		r, err := NewReader(bytes.NewReader(b))
		if err != nil {
			return
		}
		last := time.Duration(0)
		for {
			e, err := r.Next()
			var bad *LineError
			switch {
			case err == io.EOF:
				return
			case errors.As(err, &bad):
				if strings.Contains(bad.Error(), "more than") && bad.Line > r.line {
					return
				}
				continue
			case err != nil:
				t.Fatal(err)
			}
			if err := e.check(); err != nil || e.At < last {
				t.Fatalf("%+v: %v", e, err)
			}
			last = e.At
		}
	})
}

func ExampleReader() {
	r, err := NewReader(strings.NewReader(`{"recording":"dmx","version":1}
{"t":0.5,"protocol":"sacn","universe":1,"source":"10.0.0.9:5568","name":"desk","priority":100,"slots":"ff80"}
`))
	if err != nil {
		fmt.Println(err)
		return
	}
	e, err := r.Next()
	fmt.Println(e.At, e.Protocol, e.Universe, e.Name, e.Slots, err)
	// Output: 500ms sacn 1 desk [255 128] <nil>
}
