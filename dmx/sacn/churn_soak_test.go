//go:build soak

package sacn

import (
	"runtime"
	"testing"
	"time"
)

// A day of ways that fail: memory is afterwards what it was after an hour.
func TestADayOfChurn(t *testing.T) {
	heap := func() uint64 {
		var m runtime.MemStats
		runtime.GC()
		runtime.ReadMemStats(&m)
		return m.HeapAlloc
	}
	runChurn(t, time.Hour, 2)
	before := heap()
	runChurn(t, 24*time.Hour, 3)
	if after := heap(); after > before+1<<20 {
		t.Errorf("%d bytes in use, %d before", after, before)
	}
}
