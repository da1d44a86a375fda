package main

import (
	"context"
	"errors"
	"io"
	"os"
	"os/signal"
	"syscall"

	"limn/dmx/pace"
)

// stdio is the three streams of a command. Commands reach the terminal through
// it alone, so that a test can hand in buffers or a pseudo-terminal.
type stdio struct {
	In       io.Reader
	Out, Err io.Writer
}

// errTerminated is the cause of a context ended by SIGTERM or SIGHUP: a service manager
// asked for a clean end, or the terminal was closed. Neither is a failure, and both
// leave the lights as the outputs say.
var errTerminated = errors.New("terminated")

func main() {
	pace.RaiseProcs()
	ctx, cancel := context.WithCancelCause(context.Background())
	signals := make(chan os.Signal, 1)
	signal.Notify(signals, os.Interrupt, syscall.SIGTERM, syscall.SIGHUP)
	go func() {
		s := <-signals
		// The first signal asks for a clean end. From here on the system's
		// own handling is back, so a second one ends the process at once.
		signal.Stop(signals)
		if s != os.Interrupt {
			cancel(errTerminated)
			return
		}
		cancel(context.Canceled)
	}()
	os.Exit(run(ctx, os.Args[1:], stdio{In: os.Stdin, Out: os.Stdout, Err: os.Stderr}))
}

// run carries out one command line and gives its exit status. It ends early,
// and cleanly, when ctx does.
func run(ctx context.Context, args []string, std stdio) int {
	root := newRoot(std)
	root.SetArgs(args)
	return report(std.Err, root.ExecuteContext(ctx))
}
