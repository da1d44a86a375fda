package calc

import (
	"fmt"
	"math"
)

// differs compares an output with what JSON has of it.
func differs(got, want any, rel, abs float64) string {
	switch w := want.(type) {
	case float64:
		g, ok := got.(float64)
		if !ok || !(math.Abs(g-w) <= math.Max(abs, rel*math.Abs(w))) {
			return fmt.Sprintf("is %v, want %v", got, want)
		}
	case string: // "inf"
		if g, ok := got.(float64); !ok || !math.IsInf(g, 1) {
			return fmt.Sprintf("is %v, want %v", got, want)
		}
	case bool:
		if got != want {
			return fmt.Sprintf("is %v, want %v", got, want)
		}
	case []any:
		switch g := got.(type) {
		case []float64:
			if len(g) != len(w) {
				return fmt.Sprintf("is %v, want %v", got, want)
			}
			for i := range g {
				if what := differs(g[i], w[i], rel, abs); what != "" {
					return what
				}
			}
		case [][]float64:
			if len(g) != len(w) {
				return fmt.Sprintf("is %v, want %v", got, want)
			}
			for i := range g {
				if what := differs(g[i], w[i], rel, abs); what != "" {
					return what
				}
			}
		default:
			return fmt.Sprintf("is %v, want %v", got, want)
		}
	default:
		return fmt.Sprintf("has a wanted value of an odd kind: %v", want)
	}
	return ""
}
