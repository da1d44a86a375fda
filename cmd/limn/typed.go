package main

import (
	"context"
	"errors"
	"io"
	"strings"
)

// typedLines reads an operator's lines in a goroutine of its own and closes the
// channel at the end of the input. A line too long to be a command arrives as "?",
// which no grammar knows. The goroutine ends with ctx, or, when a read cannot be
// broken off, with the next line.
func typedLines(ctx context.Context, in io.Reader) <-chan string {
	out := make(chan string)
	go func() {
		defer close(out)
		lines := newLineReader(in)
		for {
			line, err := lines.next()
			text := strings.TrimSpace(string(line))
			if errors.Is(err, errLongLine) {
				text = "?"
			} else if err != nil {
				return
			}
			select {
			case out <- text:
			case <-ctx.Done():
				return
			}
		}
	}()
	return out
}
