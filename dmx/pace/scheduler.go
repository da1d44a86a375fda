package pace

import (
	"os"
	"runtime"
)

// How the loop's thread is scheduled, as [Counters] tells it.
const (
	fifo  = "fifo"  // real-time priority: no other process holds it up
	slice = "slice" // an ordinary thread that asked for short turns, which come sooner
	plain = "plain" // an ordinary thread
)

// RaiseProcs lets as many threads run Go code as the machine has cores, twice over, and
// returns that number. A program calls it once, at its start: with one thread a core, two
// busy goroutines keep the frame loop from getting a core back after its sleep for tens of
// milliseconds, whatever its priority. Whoever sets GOMAXPROCS in the environment
// has the last word.
func RaiseProcs() int {
	if os.Getenv("GOMAXPROCS") == "" {
		runtime.GOMAXPROCS(2 * runtime.NumCPU())
	}
	return runtime.GOMAXPROCS(0)
}
