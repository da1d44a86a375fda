package journal

import (
	"bytes"
	"errors"
	"io"
	"slices"
	"testing"
)

// FuzzReadLog reads anything as a journal: it never panics, and the limits hold.
func FuzzReadLog(f *testing.F) {
	_, data, lines := sample(f)
	f.Add(data)
	f.Add(data[:len(data)-7])
	f.Add([]byte(lines[0]))
	f.Add(append([]byte(lines[0]), sealed([]byte(`{"n":2,"what":"azimuth","k":-2,"degrees":1e308`), 0)...))
	f.Add(append([]byte(lines[0]), sealed([]byte(`{"n":2,"what":"command","k":1,"text":"\ud800"`), 0)...))
	f.Add([]byte("{}\n\n\x00"))
	f.Fuzz(func(t *testing.T, data []byte) {
		r := &Run{}
		err := r.read(bytes.NewReader(data))
		if err != nil && r.first == nil {
			return
		}
		if err != nil {
			t.Fatal(err)
		}
		if len(r.Damage) > MaxDamage || r.size > int64(len(data)) || r.Reached > MaxFrame {
			t.Fatalf("%+v", r)
		}
		for s := newScanner(bytes.NewReader(data)); ; {
			e, _, err := s.next()
			if errors.Is(err, io.EOF) {
				return
			}
			if err != nil {
				t.Fatal(err)
			}
			if cap(s.bytes) > 2*MaxLine {
				t.Fatalf("%d bytes held", cap(s.bytes))
			}
			if e.What != "" {
				if e.K < -1 || e.K > MaxFrame {
					t.Fatalf("%+v", e)
				}
			}
		}
	})
}

// FuzzLine seals anything as a line, so that the sum does not keep it out.
func FuzzLine(f *testing.F) {
	_, _, lines := sample(f)
	for _, l := range lines {
		f.Add([]byte(l[:len(l)-sumLen]))
	}
	f.Add([]byte(`{"n":-1`))
	f.Add([]byte(`{"k":1e400`))
	f.Add([]byte(`{"state":{"lights":[{"xy":[1]}]}`))
	f.Fuzz(func(t *testing.T, body []byte) {
		e, err := parseLine(sealed(slices.Clone(body), 0))
		if err != nil {
			return
		}
		line, err := appendLine(nil, &e)
		if err != nil {
			t.Skip(err) // a time that no calendar has, say
		}
		again, err := parseLine(line)
		if err != nil {
			t.Fatalf("%s: %v", line, err)
		}
		if again.N != e.N || again.K != e.K || again.What != e.What || again.Text != e.Text && e.What != KindAzimuth && e.What != KindAt || again.Degrees != e.Degrees && e.What == KindAzimuth {
			t.Fatalf("%+v became %+v", e, again)
		}
	})
}

// FuzzList reads anything as the list of a set: what is taken stays in the shoot folder.
func FuzzList(f *testing.F) {
	f.Add(kittiwake.list())
	f.Add([]byte(`{"version":1,"files":[{"path":"..","hash":""}]}`))
	f.Fuzz(func(t *testing.T, data []byte) {
		files, err := parseList(data)
		if err != nil {
			return
		}
		for _, l := range files {
			if !validPath(l.Path) || !validHash(l.Hash) {
				t.Fatalf("%+v", l)
			}
		}
	})
}
