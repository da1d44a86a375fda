package pace

import (
	"fmt"
	"testing"

	"limn/dmx"
	"limn/dmx/artnet"
	"limn/dmx/internal/baseline"
)

// fader stands for the engine: every slot of every universe is on a fade of its own, from one level to another, in 16 bits.
type fader struct {
	from, span [][dmx.Slots]uint16
	idle       bool // no fades: one slot of each universe changes, and the engine costs nothing
}

func newFader(universes int, idle bool) *fader {
	f := &fader{from: make([][dmx.Slots]uint16, universes), span: make([][dmx.Slots]uint16, universes), idle: idle}
	for u := range f.from {
		for s := range f.from[u] {
			f.from[u][s] = uint16((257*u + 771*s) % 40_000)
			f.span[u][s] = uint16((7*u + 97*s) % 20_000)
		}
	}
	return f
}

func (f *fader) fill(k int64, frames []dmx.Frame) bool {
	if !f.idle {
		t := uint32(k<<9) & 0xffff // a fade lasts 128 frames
		for u := range frames {
			frame, from, span := &frames[u], &f.from[u], &f.span[u]
			for s := range frame {
				frame[s] = byte((uint32(from[s]) + uint32(span[s])*t>>16) >> 8)
			}
		}
	}
	for u := range frames { // no universe is ever the same twice
		frames[u][0] = byte(k)
	}
	return true
}

func BenchmarkFader(b *testing.B) {
	f, frames := newFader(1024, false), make([]dmx.Frame, 1024)
	k := int64(0)
	for b.Loop() {
		f.fill(k, frames)
		k++
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(k*1024), "ns/universe")
}

// BenchmarkEngineToSocket is a frame's whole way on one thread: levels computed, compared, left in the mailbox, taken from it,
// encoded as ArtDmx, numbered and sent to nodes of eight universes each. The measure is a program in C that sends
// ready packets, all the same, and does nothing else: of-c is how many packets we send in the time of one of its own. "handed" leaves the computing out.
func BenchmarkEngineToSocket(b *testing.B) {
	const perNode, packetSize = 8, 530
	for _, n := range []int{64, 1024} {
		for _, engine := range []string{"fading", "handed"} {
			for _, path := range []string{"batches", "segments"} {
				b.Run(fmt.Sprintf("%d/%s/%s", n, engine, path), func(b *testing.B) {
					to := baseline.Sinks(b, n/perNode)
					inC := baseline.NewSender(b, packetSize, n, to)
					universes := make([]dmx.Universe, n)
					var nodes []dmx.Output
					for i, at := range to {
						own := make([]dmx.Universe, perNode)
						for j := range own {
							own[j] = dmx.Universe(i*perNode + j + 1)
						}
						copy(universes[i*perNode:], own)
						o, err := artnet.NewOutput(artnet.Config{To: to[i : i+1], Universes: own, NoSegments: path == "batches"})
						if err != nil {
							b.Fatal(err)
						}
						b.Cleanup(func() { o.Close() })
						if said := o.Paths()[0]; said != at.String()+": batches" == (path == "batches") {
							b.Skipf("this system sends %s", said)
						}
						nodes = append(nodes, o)
					}
					l, err := New(Config{Universes: universes, Outputs: nodes, Fill: newFader(n, engine == "handed").fill})
					if err != nil {
						b.Fatal(err)
					}
					k := int64(0)
					inC.Compare(b, n, func() {
						l.frame(k, Offset(k))
						for _, o := range l.outlets {
							o.send(o.box.take())
						}
						k++
					})
					for _, o := range l.outlets {
						if o.sent.Load() != k || o.errors.Load() != 0 {
							b.Errorf("%d of %d frames were sent, %d errors", o.sent.Load(), k, o.errors.Load())
						}
					}
				})
			}
		}
	}
}
