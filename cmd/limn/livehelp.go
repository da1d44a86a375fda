package main

import (
	"fmt"
	"io"
	"strings"
	"text/tabwriter"

	"limn/cue/operate"
)

// deskWords are the words that only a person at the line mode needs.
var deskWords = operate.Chapter{Title: "At this desk", Commands: []operate.Usage{
	{Command: "Enter", Help: "go on: confirm what hands were asked to do, else next; ask an open question again"},
	{Command: "1, 2 ...", Help: "the answer of that number to the question that was asked"},
	{Command: "status", Help: "say again what the light is doing, how it is trimmed, and what hands must do"},
	{Command: "checklist", Help: "what to look at before this cue is taken again: marks, camera, warm-up, what was approved"},
	{Command: "help WORD", Help: "the part of this page with that word: help trim"},
	{Command: "quit", Help: "end the run; Ctrl-C and Ctrl-D do the same"},
}}

// writeHelp lists the words of the line mode, or of it the chapters that have a word.
func writeHelp(w io.Writer, about string) {
	chapters := append(operate.Grammar(), deskWords)
	if about != "" {
		var some []operate.Chapter
		for _, c := range chapters {
			if chapterHas(c, about) {
				some = append(some, c)
			}
		}
		if some != nil {
			chapters = some
		} else {
			note(w, "%11sno command has the word %q; these are all there are", "", about)
		}
	}
	tw := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	for i, c := range chapters {
		if i > 0 {
			fmt.Fprintln(tw)
		}
		fmt.Fprintf(tw, "%s\n", c.Title)
		for _, u := range c.Commands {
			fmt.Fprintf(tw, "  %s\t%s\n", u.Command, u.Help)
		}
	}
	tw.Flush()
	if about == "" {
		fmt.Fprintln(w, "\nLIGHT is a source, a group, a role (key, fill, edge, background, accent) or everything.")
		fmt.Fprintln(w, "STOPS are written 1/3 stop or 1 1/2 stops; LEVEL is 60 %, -1 stop, key -2 stops, 850 lx or off.")
		fmt.Fprintln(w, "A ; parts commands. A name in quotes may hold any sign.")
	}
}

func chapterHas(c operate.Chapter, word string) bool {
	word = strings.ToLower(word)
	if strings.Contains(strings.ToLower(c.Title), word) {
		return true
	}
	for _, u := range c.Commands {
		for _, w := range strings.Fields(strings.ToLower(u.Command)) {
			if w == word {
				return true
			}
		}
	}
	return false
}
