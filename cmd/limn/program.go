package main

import (
	"errors"
	"fmt"
	"io"
	"strings"
	"time"

	"github.com/spf13/pflag"

	"limn/cue"
	"limn/cue/operate"
	"limn/fixtures/quantity"
)

// programFlags are the two ways to hand in a program of commands.
type programFlags struct{ do, doFile string }

func (p *programFlags) add(fl *pflag.FlagSet) {
	fl.StringVar(&p.do, "do", "", "a `PROGRAM` of commands with their times: \"0s next; 6s go beam; 12s dark\"")
	fl.StringVar(&p.doFile, "do-file", "", "the same from `FILE`, one command a line or several (- for standard input)")
}

func (p *programFlags) given() bool { return p.do != "" || p.doFile != "" }

// read gives the program, nil if there is none.
func (p *programFlags) read(shoot *cue.Shoot, std stdio) ([]operate.Timed, error) {
	name, text := "--do", p.do
	switch {
	case p.do != "" && p.doFile != "":
		return nil, usagef("join the two programs in one", "both --do and --do-file are given")
	case p.doFile != "":
		f, err := openFile(p.doFile, std)
		if err != nil {
			return nil, err
		}
		defer f.Close()
		// One byte more than a program may have, so that the grammar can say so.
		b, err := io.ReadAll(io.LimitReader(f, operate.MaxProgram+1))
		if err != nil {
			return nil, fmt.Errorf("reading %s: %w", p.doFile, pathCause(err))
		}
		name, text = p.doFile, string(b)
	case p.do == "":
		return nil, nil
	}
	program, err := operate.ParseProgram(name, text, shoot)
	if err != nil {
		return nil, p.refused(err, std)
	}
	return program, nil
}

// refused says all that is wrong with a program: a fault of the command line or
// of a file, by where it came from.
func (p *programFlags) refused(err error, std stdio) error {
	status := statusUsage
	if p.doFile != "" {
		status = statusFiles
	}
	var faults operate.Faults
	if !errors.As(err, &faults) {
		return failuref(status, "", "%v", err)
	}
	for _, line := range strings.Split(faults.Error(), "\n") {
		note(std.Err, "%s", line)
	}
	return failuref(status, "", "the program has %s; nothing was played", count(len(faults), "fault"))
}

// duration is a flag that takes a time the way the files do: "20s", "1 min 30 s".
type duration struct {
	seconds float64
	text    string
}

func (d *duration) String() string { return d.text }
func (d *duration) Type() string   { return "TIME" }

func (d *duration) Set(text string) error {
	q, err := quantity.ParseDuration(text)
	if err != nil {
		return err
	}
	d.seconds, d.text = q.Seconds, text
	return nil
}

func (d *duration) given() bool { return d.text != "" }

func (d *duration) std() time.Duration { return time.Duration(d.seconds * float64(time.Second)) }
