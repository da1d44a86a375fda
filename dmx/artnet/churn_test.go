package artnet

import (
	"math/rand/v2"
	"testing"
	"time"
)

// A quarter of an hour of churn among 800 parts; a day of it is in the long runs.
func TestChurn(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 44))
	if most := runChurn(t, 15*time.Minute, r.IntN); most > 800 {
		t.Errorf("%d entries", most)
	}
}
