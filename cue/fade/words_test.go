package fade

import (
	"strings"
	"testing"
)

// Every word that is read is printed again, and slips get the nearest.
func TestWords(t *testing.T) {
	for i, name := range CurveNames() {
		c, err := ParseCurve(name)
		if err != nil || c != Curve(i) || c.String() != name {
			t.Errorf("%q is curve %v (%v)", name, c, err)
		}
	}
	for i, name := range PathNames() {
		p, err := ParsePath(name)
		if err != nil || p != Path(i) || p.String() != name {
			t.Errorf("%q is path %v (%v)", name, p, err)
		}
	}
	if _, err := ParseCurve("liner"); err == nil || !strings.Contains(err.Error(), `did you mean "linear"?`) {
		t.Errorf("%v", err)
	}
	if _, err := ParsePath("direct"); err == nil || !strings.Contains(err.Error(), `known: "auto"`) {
		t.Errorf("%v", err)
	}
	if Curve(99).String() != "curve 99" {
		t.Errorf("%v", Curve(99))
	}
}
