package main

import (
	"slices"
	"testing"
)

func TestAdded(t *testing.T) {
	for _, c := range []struct{ before, now, want []string }{
		{nil, nil, nil},
		{nil, []string{"a"}, []string{"a"}},
		{[]string{"a"}, []string{"a"}, nil},
		{[]string{"a"}, []string{"a", "b"}, []string{"b"}},
		{[]string{"a", "b", "c"}, []string{"b", "c", "d"}, []string{"d"}},
		{[]string{"a", "b"}, []string{"c", "d"}, []string{"c", "d"}},
		{[]string{"a", "a"}, []string{"a", "a", "a"}, []string{"a"}},
	} {
		if got := added(c.before, c.now); !slices.Equal(got, c.want) {
			t.Errorf("%q after %q adds %q, want %q", c.now, c.before, got, c.want)
		}
	}
}
