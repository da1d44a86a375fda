package baseline

import (
	"embed"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"testing"
)

//go:embed testdata/*.c
var sources embed.FS

// build compiles one of the programs and gives its path.
func build(tb testing.TB, name string) string {
	tb.Helper()
	if runtime.GOOS != "linux" {
		tb.Skip("the C programs to measure against use Linux calls; run it there")
	}
	compiler, err := exec.LookPath("gcc")
	if err != nil {
		tb.Skip("no gcc, so there is nothing to measure against; install it (Debian: apt-get install gcc libc6-dev)")
	}
	source, err := fs.ReadFile(sources, "testdata/"+name+".c")
	if err != nil {
		tb.Fatal(err)
	}
	dir := tb.TempDir()
	path := filepath.Join(dir, name)
	if err := os.WriteFile(path+".c", source, 0o600); err != nil {
		tb.Fatal(err)
	}
	if out, err := exec.Command(compiler, "-O2", "-o", path, path+".c").CombinedOutput(); err != nil {
		tb.Fatalf("%v\n%s", err, out)
	}
	return path
}
