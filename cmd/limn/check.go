package main

import (
	"fmt"
	"io"

	"github.com/spf13/cobra"

	"limn/cue"
	"limn/profiles/tomlfile"
)

func newCheck(std stdio) *cobra.Command {
	var asJSON bool
	cmd := &cobra.Command{
		Use:   "check [SHOOT]",
		Short: "Find every fault of a shoot, and list what was read",
		Long: `Reads a whole shoot and reports every fault at once, each with its file, line,
column and cure; then lists what was read, and what each light does if this
computer dies. Exit status 3 if there is a fault; warnings alone are 0.`,
		Example: `  limn check harbour
  limn check                      # the shoot in this folder
  limn check harbour --json`,
		GroupID: groupSet,
		Args:    atMostOne,

		ValidArgsFunction: completeFolder,
		RunE: func(_ *cobra.Command, args []string) error {
			dir, err := shootDir(args)
			if err != nil {
				return err
			}
			shoot, problems := loadShoot(dir)
			problems = append(problems, outputProblems(shoot)...)
			problems = append(problems, flickerProblems(shoot)...)
			if asJSON {
				return checkJSON(std.Out, dir, shoot, problems)
			}
			return checkText(std.Out, dir, shoot, problems)
		},
	}
	cmd.Flags().BoolVar(&asJSON, "json", false, "print one JSON object")
	return cmd
}

func checkText(w io.Writer, dir string, shoot *cue.Shoot, problems []tomlfile.Problem) error {
	errs, warnings := printProblems(w, problems)
	if errs > 0 || shoot == nil {
		fmt.Fprintf(w, "%s: %s, %s\n", clean(dir), count(errs, "fault"), count(warnings, "warning"))
		return said(statusFiles)
	}
	if len(problems) > 0 {
		fmt.Fprintln(w)
	}
	io.WriteString(w, listing(shoot))
	_, err := fmt.Fprintf(w, "\n%s: no fault, %s. Next: limn run %s\n", clean(dir), count(warnings, "warning"), clean(dir))
	return err
}

func checkJSON(w io.Writer, dir string, shoot *cue.Shoot, problems []tomlfile.Problem) error {
	errs, warnings := 0, 0
	list := make([]any, 0, len(problems))
	for _, p := range problems {
		severity := "error"
		if p.Warning {
			severity = "warning"
			warnings++
		} else {
			errs++
		}
		list = append(list, object{
			{"file", p.File},
			{"line", p.Line},
			{"column", p.Col},
			{"severity", severity},
			{"what", p.What},
			{"cure", p.Cure},
		})
	}
	ok := errs == 0 && shoot != nil
	o := object{
		{"version", jsonVersion},
		{"shoot", dir},
		{"ok", ok},
		{"errors", errs},
		{"warnings", warnings},
		{"problems", list},
	}
	if ok {
		o = append(o, listingObject(shoot)...)
	}
	if err := writeJSON(w, o); err != nil {
		return err
	}
	if !ok {
		return said(statusFiles)
	}
	return nil
}
