package files

import (
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

var update = flag.Bool("update", false, "write the reports of testdata/broken anew; read them as a diff")

// Every folder of testdata/broken is a shoot with one class of fault. Its
// report is what check prints, line by line.
func TestBroken(t *testing.T) {
	shoots, err := os.ReadDir("testdata/broken")
	if err != nil || len(shoots) == 0 {
		t.Fatalf("no broken shoots: %v", err)
	}
	for _, e := range shoots {
		t.Run(e.Name(), func(t *testing.T) {
			dir := filepath.Join("testdata/broken", e.Name())
			shoot, problems := Load(e.Name(), os.DirFS(dir))
			var lines strings.Builder
			errors := 0
			for _, p := range problems {
				lines.WriteString(p.String() + "\n")
				if !p.Warning {
					errors++
				}
			}
			if len(problems) == 0 {
				t.Fatal("nothing found")
			}
			if (shoot == nil) != (errors > 0) {
				t.Errorf("%d errors, shoot given out: %t", errors, shoot != nil)
			}
			report := filepath.Join(dir, "report")
			if *update {
				if err := os.WriteFile(report, []byte(lines.String()), 0o644); err != nil {
					t.Fatal(err)
				}
			}
			want, err := os.ReadFile(report)
			if err != nil {
				t.Fatal(err)
			}
			if got := lines.String(); got != string(want) {
				t.Errorf("got:\n%s\nwant:\n%s", got, want)
			}
		})
	}
}
