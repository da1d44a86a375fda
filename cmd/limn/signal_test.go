//go:build unix

package main

import (
	"os"
	"os/exec"
	"syscall"
	"testing"
	"time"
)

// process is limn as a process of its own, for what only a process can show.
type process struct {
	*exec.Cmd
	out, err *transcript
}

func startProcess(t *testing.T, args ...string) *process {
	t.Helper()
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	// Under the name of limn the test binary is limn: see TestMain.
	p := &process{
		Cmd: &exec.Cmd{Path: self, Args: append([]string{"limn"}, args...)},
		out: newTranscript(), err: newTranscript(),
	}
	p.Stdout, p.Stderr = p.out, p.err
	if err := p.Start(); err != nil {
		t.Fatal(err)
	}
	limit := time.AfterFunc(patience, func() { p.Process.Kill() })
	t.Cleanup(func() {
		limit.Stop()
		p.Process.Kill()
		p.Wait()
	})
	return p
}

// ended gives how the process ended.
func (p *process) ended() syscall.WaitStatus {
	p.Wait()
	return p.ProcessState.Sys().(syscall.WaitStatus)
}

func TestSignals(t *testing.T) {
	_, addr := listener(t, "--artnet", "127.0.0.1:0")
	dir := shootWith(t, artNetTo(addr, "fade"))
	begin := func() *process {
		p := startProcess(t, "run", dir, "--headless", "--do", "0s next")
		p.out.says(t, "bow: fading")
		return p
	}

	p := begin()
	p.Process.Signal(os.Interrupt)
	p.err.says(t, "ending; bench: fade to dark")
	if st := p.ended(); !st.Exited() || st.ExitStatus() != statusInterrupted {
		t.Errorf("one Ctrl-C: %v\n%s", p.ProcessState, p.err)
	}

	p = begin()
	p.Process.Signal(syscall.SIGTERM)
	p.err.says(t, "ending; bench: fade to dark")
	if st := p.ended(); !st.Exited() || st.ExitStatus() != statusDone {
		t.Errorf("SIGTERM: %v\n%s", p.ProcessState, p.err)
	}

	p = begin()
	p.Process.Signal(os.Interrupt)
	p.err.says(t, "ending; bench: fade to dark")
	p.Process.Signal(os.Interrupt)
	if st := p.ended(); !st.Signaled() || st.Signal() != syscall.SIGINT {
		t.Errorf("a second Ctrl-C does not end it at once: %v\n%s", p.ProcessState, p.err)
	}
}

// A demo that is interrupted still prints its summary last.
func TestDemoInterrupted(t *testing.T) {
	p := startProcess(t, "demo", "--pace", "0.5s")
	p.out.says(t, "receiver reads")
	p.Process.Signal(os.Interrupt)
	if st := p.ended(); st.ExitStatus() != statusInterrupted {
		t.Errorf("status %v", p.ProcessState)
	}
	checkSummary(t, p.out.String())
}
