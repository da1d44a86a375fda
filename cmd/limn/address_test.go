package main

import "testing"

func TestParseAddress(t *testing.T) {
	for _, c := range []struct{ text, want string }{
		{"127.0.0.1:7000", "127.0.0.1:7000"},
		{"10.0.0.7", "10.0.0.7:6454"},
		{":7000", "127.0.0.1:7000"},
		{"localhost", "127.0.0.1:6454"},
		{"0.0.0.0:0", "0.0.0.0:0"},
		{"[::ffff:10.0.0.7]:1", "10.0.0.7:1"},
	} {
		got, err := parseAddress(t.Context(), c.text, 6454)
		if err != nil || got.String() != c.want {
			t.Errorf("%q is %v (%v), want %s", c.text, got, err, c.want)
		}
	}
	for _, text := range []string{"127.0.0.1:70000", "127.0.0.1:x", "[::1]:6454", "::1"} {
		if got, err := parseAddress(t.Context(), text, 6454); err == nil {
			t.Errorf("%q was taken as %v", text, got)
		}
	}
}
