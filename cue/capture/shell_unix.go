//go:build unix

package capture

import (
	"context"
	"os/exec"
	"syscall"
)

func shell(ctx context.Context, line string) *exec.Cmd {
	return exec.CommandContext(ctx, "/bin/sh", "-c", line)
}

// endAll ends with the command all it has started: a camera program left behind by its shell would hold the
// camera against the next try.
func endAll(cmd *exec.Cmd) {
	cmd.SysProcAttr = &syscall.SysProcAttr{Setpgid: true}
	cmd.Cancel = func() error { return syscall.Kill(-cmd.Process.Pid, syscall.SIGKILL) }
}
