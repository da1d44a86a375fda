package main

import (
	"bufio"
	"io"
	"testing"

	"limn/cue/operate"
	"limn/fixtures"
)

// kittiwakeFrame is a frame of the Kittiwake shoot with light in it, and a JSON
// trace to print it by.
func kittiwakeFrame(tb testing.TB) (*jsonTrace, *operate.Frame) {
	tb.Helper()
	shoot, _ := loadShoot(kittiwakeDir)
	if shoot == nil {
		tb.Fatal("Kittiwake does not load")
	}
	program, err := operate.ParseProgram("", `0s go "bow at dusk"`, shoot)
	if err != nil {
		tb.Fatal(err)
	}
	r, err := fixtures.NewRenderer(shoot.Rig)
	if err != nil {
		tb.Fatal(err)
	}
	t := newJSONTrace(shoot, r.Universes(), bufio.NewWriterSize(io.Discard, 1<<16), false, true)
	var last operate.Frame
	if _, err := operate.Trace(shoot, program, 44, func(f *operate.Frame) error { last = *f; return nil }); err != nil {
		tb.Fatal(err)
	}
	return t, &last
}

func TestTraceFrameAllocatesNothing(t *testing.T) {
	trace, f := kittiwakeFrame(t)
	trace.frame(f) // the buffers grow once
	trace.frame(f)
	if n := testing.AllocsPerRun(100, func() { trace.frame(f) }); n != 0 {
		t.Errorf("%v allocations a frame", n)
	}
}

func BenchmarkTraceFrame(b *testing.B) {
	trace, f := kittiwakeFrame(b)
	b.ReportAllocs()
	for b.Loop() {
		if err := trace.frame(f); err != nil {
			b.Fatal(err)
		}
	}
}
