package udp

import (
	"fmt"
	"testing"

	"limn/dmx/internal/baseline"
)

// BenchmarkSend is the bare send path against sendmmsg in C: ready packets of ArtDmx's size, to nodes of eight universes,
// and, which is the hardest case, of one. of-c is the figure.
func BenchmarkSend(b *testing.B) {
	const size = 530
	for _, c := range []struct{ packets, nodes int }{{64, 8}, {1024, 128}, {64, 64}} {
		for _, path := range []string{batched, segmented} {
			b.Run(fmt.Sprintf("%d to %d/%.7s", c.packets, c.nodes, path), func(b *testing.B) {
				to := baseline.Sinks(b, c.nodes)
				inC := baseline.NewSender(b, size, c.packets, to)
				each := c.packets / c.nodes
				msgs := make([]Message, c.packets)
				for i := range msgs {
					msgs[i].Buffers = [][]byte{make([]byte, size)}
				}
				var socks []Socket
				for _, a := range to {
					s, err := Dial(a)
					if err != nil {
						b.Fatal(err)
					}
					b.Cleanup(func() { s.Close() })
					if path == batched {
						Plain(s)
					} else if s.Path() != segmented {
						b.Skip("this kernel has no UDP segmentation")
					}
					socks = append(socks, s)
				}
				inC.Compare(b, c.packets, func() {
					for i, s := range socks {
						for left := msgs[i*each : (i+1)*each]; len(left) > 0; {
							n, err := s.Write(left)
							if err != nil {
								b.Fatal(err)
							}
							left = left[n:]
						}
					}
				})
			})
		}
	}
}
