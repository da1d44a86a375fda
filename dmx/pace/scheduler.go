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

// procsPerCore is how many threads may run Go code for each core. When the frame thread wakes it needs a place among
// them, and a place may be held by a thread that the system keeps waiting for a core. With one or two a core they are all
// held now and then while other goroutines are busy, and the loop waits out somebody's turn of several milliseconds; with four
// it does not.
const procsPerCore = 4

// RaiseProcs lets four times as many threads run Go code as the machine has cores, and returns that number. A program
// calls it once, at its start: with one thread a core, two busy goroutines keep the frame loop from getting a core
// back after its sleep for tens of milliseconds, whatever its priority. Whoever sets GOMAXPROCS in the environment
// has the last word.
func RaiseProcs() int {
	if os.Getenv("GOMAXPROCS") == "" {
		runtime.GOMAXPROCS(procsPerCore * runtime.NumCPU())
	}
	return runtime.GOMAXPROCS(0)
}
