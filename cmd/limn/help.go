package main

import (
	"fmt"
	"strings"
	"text/tabwriter"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
)

func init() { cobra.AddTemplateFunc("flagList", flagList) }

// usageTemplate is cobra's own with another list of flags.
func usageTemplate(c *cobra.Command) string {
	t := c.UsageTemplate()
	for _, set := range []string{"LocalFlags", "InheritedFlags"} {
		t = strings.ReplaceAll(t, "{{."+set+".FlagUsages | trimTrailingWhitespaces}}", "{{flagList ."+set+"}}")
	}
	return t
}

// flagList lists flags one a line. The library's own list says =true|false
// behind every switch, which nobody writes.
func flagList(set *pflag.FlagSet) string {
	var b strings.Builder
	w := tabwriter.NewWriter(&b, 0, 0, 3, ' ', 0)
	set.VisitAll(func(f *pflag.Flag) {
		if f.Hidden {
			return
		}
		word, usage := pflag.UnquoteUsage(f)
		short := "    "
		if f.Shorthand != "" {
			short = "-" + f.Shorthand + ", "
		}
		name := "--" + f.Name
		if f.Value.Type() != "bool" {
			name += " " + word
			if d := f.DefValue; d != "" && d != "0" && d != "[]" {
				usage += fmt.Sprintf(" (default %s)", d)
			}
		}
		fmt.Fprintf(w, "  %s%s\t%s\n", short, name, usage)
	})
	w.Flush()
	return strings.TrimRight(b.String(), "\n")
}
