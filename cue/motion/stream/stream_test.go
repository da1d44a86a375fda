package stream_test

import (
	"context"
	"errors"
	"fmt"
	"io"
	"math"
	"net"
	"slices"
	"strings"
	"testing"

	"go.uber.org/goleak"

	"limn/cue/motion/stream"
)

func TestMain(m *testing.M) { goleak.VerifyTestMain(m) }

func TestParse(t *testing.T) {
	for line, want := range map[string]stream.Sample{
		"35.21":                              {Azimuth: 35.21},
		" 35.21\r\n":                         {Azimuth: 35.21},
		"-10":                                {Azimuth: 350},
		"+725":                               {Azimuth: 5},
		"360":                                {Azimuth: 0},
		"-1e-300":                            {Azimuth: 0},
		"3.521e1":                            {Azimuth: 35.21},
		`{"azimuth":35.21}`:                  {Azimuth: 35.21},
		`{"azimuth":-90,"t":12.5,"rpm":"x"}`: {Azimuth: 270, T: 12.5, HasT: true},
	} {
		if got, err := stream.Parse([]byte(line)); err != nil || got != want {
			t.Errorf("%q: %+v, %v; want %+v", line, got, err, want)
		}
	}
	for _, line := range []string{
		"", " ", "nan", "NaN", "inf", "-Inf", "1e7", "1e999", "0x10", "1_0", "35,21", "35.21 36", "abc",
		`{"azimuth":"35"}`, `{"azimuth":null}`, `{}`, `{"azimuth":1e999}`, `{"azimuth":35`, `{"azimuth":1e7}`, `[35]`,
		`{"azimuth":35} 36`, "{" + strings.Repeat(" ", stream.MaxLine) + "}",
	} {
		if got, err := stream.Parse([]byte(line)); err == nil {
			t.Errorf("%q is read as %+v", line, got)
		}
	}
}

func FuzzParse(f *testing.F) {
	for _, line := range []string{"35.21", "-1e-300", "nan", `{"azimuth":35.21,"t":1}`, `{"azimuth":1e999}`, "{", ""} {
		f.Add([]byte(line))
	}
	f.Fuzz(func(t *testing.T, line []byte) {
		s, err := stream.Parse(line)
		if err == nil && !(s.Azimuth >= 0 && s.Azimuth < 360 && !math.Signbit(s.Azimuth)) {
			t.Errorf("%q is read as %g", line, s.Azimuth)
		}
		if err == nil && s.HasT && (math.IsNaN(s.T) || math.IsInf(s.T, 0)) {
			t.Errorf("%q has the time %g", line, s.T)
		}
	})
}

// Lines are heard in their order whatever pieces they come in; what is none is counted.
func TestRead(t *testing.T) {
	text := "1\n\n2\r\nx\n" + strings.Repeat("9", 3*stream.MaxLine) + "\n3\n" + strings.Repeat("8", stream.MaxLine+1) + "\n4"
	for _, piece := range []int{1, 7, 1 << 20} {
		var c stream.Counts
		var got []float64
		err := stream.Read(&pieces{strings.NewReader(text), piece}, &c, func(s stream.Sample) { got = append(got, s.Azimuth) })
		if err != nil || !slices.Equal(got, []float64{1, 2, 3, 4}) || c.Good() != 4 || c.Bad() != 3 {
			t.Errorf("in pieces of %d: %v, %d good, %d bad, %v", piece, got, c.Good(), c.Bad(), err)
		}
	}
	broken := errors.New("the line was pulled")
	var c stream.Counts
	err := stream.Read(io.MultiReader(strings.NewReader("5\n6"), failing{broken}), &c, func(stream.Sample) {})
	if !errors.Is(err, broken) || c.Good() != 2 {
		t.Errorf("%v, %d good", err, c.Good())
	}
}

type pieces struct {
	r io.Reader
	n int
}

func (p *pieces) Read(b []byte) (int, error) { return p.r.Read(b[:min(len(b), p.n)]) }

type failing struct{ err error }

func (f failing) Read([]byte) (int, error) { return 0, f.err }

func TestListen(t *testing.T) {
	l, err := stream.Listen(":0", false)
	if err != nil {
		t.Fatal(err)
	}
	if !l.Addr().Addr().IsLoopback() {
		t.Fatalf("it listens at %s", l.Addr())
	}
	ctx, cancel := context.WithCancel(t.Context())
	heard := make(chan float64, 10)
	ended := make(chan error)
	go func() { ended <- l.Run(ctx, func(s stream.Sample) { heard <- s.Azimuth }) }()
	conn, err := net.Dial("udp", l.Addr().String())
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Close()
	for _, datagram := range []string{"35.21", "bad", strings.Repeat("1\n", 2000), "{\"azimuth\":-90}\n10\n", "20"} {
		if _, err := conn.Write([]byte(datagram)); err != nil {
			t.Fatal(err)
		}
	}
	for _, want := range []float64{35.21, 270, 10, 20} {
		if got := <-heard; got != want {
			t.Errorf("heard %g, want %g", got, want)
		}
	}
	if l.Good() != 4 || l.Bad() != 2 {
		t.Errorf("%d good, %d bad", l.Good(), l.Bad())
	}
	cancel()
	if err := <-ended; err != nil {
		t.Errorf("ended with %v", err)
	}
}

func TestListenRefuses(t *testing.T) {
	for _, address := range []string{"", "x", "127.0.0.1", "127.0.0.1:99999", "somewhere.example:9000", "0.0.0.0:0", "[::]:0", "192.0.2.1:0"} {
		if l, err := stream.Listen(address, false); err == nil {
			l.Close()
			t.Errorf("%q is listened at", address)
		}
	}
	if l, err := stream.Listen("localhost:0", false); err != nil {
		t.Error(err)
	} else {
		l.Close()
	}
}

func ExampleRead() {
	var c stream.Counts
	told := strings.NewReader("35.21\n{\"azimuth\": 35.80}\nnan\n")
	if err := stream.Read(told, &c, func(s stream.Sample) { fmt.Printf("%.2f°\n", s.Azimuth) }); err != nil {
		fmt.Println(err)
	}
	fmt.Println(c.Bad(), "was none")
	// Output:
	// 35.21°
	// 35.80°
	// 1 was none
}
