package operate_test

import (
	"testing"

	"limn/cue"
	"limn/cue/operate"
)

func BenchmarkFill(b *testing.B) {
	e := engine(b, shoot("bow", "beam"), operate.Options{})
	e.Do(operate.Command{Verb: operate.Next})
	out := frames(2)
	b.ReportAllocs()
	k := int64(0)
	for b.Loop() {
		e.Fill(k, out)
		k++
	}
}

func BenchmarkSnapshot(b *testing.B) {
	e := engine(b, shoot("bow", "beam"), operate.Options{})
	e.Do(operate.Command{Verb: operate.Next})
	e.Fill(0, frames(2))
	var snap cue.Snapshot
	b.ReportAllocs()
	for b.Loop() {
		e.Snapshot(&snap)
	}
}
