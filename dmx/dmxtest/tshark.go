package dmxtest

import (
	"bytes"
	"os"
	"os/exec"
	"strings"
	"testing"
)

// Tshark runs the dissector of Debian's package tshark, a witness from outside, and gives its
// output by lines. Without it the test is skipped; in CI it fails.
func Tshark(t testing.TB, args ...string) []string {
	t.Helper()
	tool, err := exec.LookPath("tshark")
	if err != nil {
		const reason = "tshark is not installed, so nobody else judges the packets: apt-get install tshark"
		if os.Getenv("CI") != "" {
			t.Fatal(reason)
		}
		t.Skip(reason)
	}
	var stderr bytes.Buffer
	cmd := exec.Command(tool, args...)
	cmd.Stderr = &stderr
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("tshark %q: %v\n%s", args, err, stderr.String())
	}
	text := strings.TrimRight(string(out), "\n")
	if text == "" {
		return nil
	}
	return strings.Split(text, "\n")
}
