package dmx_test

import (
	"os"
	"os/exec"
	"testing"
)

// Clocks, sockets and ports differ between systems; that what we cannot run here
// still compiles and passes vet is the least we can know.
func TestOtherSystemsCompile(t *testing.T) {
	if testing.Short() {
		t.Skip("compiles for two other systems, which takes a while: left out by -short")
	}
	for _, system := range []string{"darwin", "windows"} {
		cmd := exec.Command("go", "vet", "limn/dmx/...")
		cmd.Env = append(os.Environ(), "GOOS="+system, "CGO_ENABLED=0")
		if out, err := cmd.CombinedOutput(); err != nil {
			t.Errorf("%s: %v\n%s", system, err, out)
		}
	}
}
