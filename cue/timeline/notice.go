package timeline

import "fmt"

// Notice is what the operator is told in answer to a command.
type Notice struct {
	Text    string
	Refused bool // the command changed nothing
}

func told(format string, args ...any) []Notice {
	return []Notice{{Text: fmt.Sprintf(format, args...)}}
}

func refused(format string, args ...any) []Notice {
	return []Notice{{Text: fmt.Sprintf(format, args...), Refused: true}}
}
