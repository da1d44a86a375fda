package main

import (
	"errors"
	"fmt"
	"os"
	"runtime/debug"
	"strings"

	"limn/fixtures/nearest"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
)

// version is set by the release build (-ldflags "-X main.version=...").
var version = ""

// Groups of the help, in the order of a working day.
const (
	groupSet     = "set"
	groupFigures = "figures"
	groupBench   = "bench"
)

// newRoot builds the command tree on these streams.
func newRoot(std stdio) *cobra.Command {
	root := &cobra.Command{
		Use:   "limn",
		Short: "Light glossy objects on a turntable set, angle by angle",
		Long: `limn lights glossy objects on a tabletop turntable set: one complete light for
each angle, written in stops, lux and kelvin, computed for the diodes you have,
and sent as Art-Net, sACN or serial DMX.`,
		Example: `  limn demo                # see it work, with nothing plugged in
  limn new harbour         # write a starter shoot to change
  limn check harbour       # every fault, with its line and cure`,
		Version:           versionText(),
		SilenceErrors:     true,
		SilenceUsage:      true,
		DisableAutoGenTag: true,
		Args:              unknownCommand,
		RunE: func(cmd *cobra.Command, _ []string) error {
			if err := cmd.Help(); err != nil {
				return err
			}
			if isShoot(".") {
				note(std.Err, "This folder is a shoot. Next: limn check   or   limn run")
			}
			return nil
		},
	}
	root.SetIn(std.In)
	root.SetOut(std.Out)
	root.SetErr(std.Err)
	root.SetUsageTemplate(usageTemplate(root))
	root.SetVersionTemplate("limn {{.Version}}\n")
	root.SetFlagErrorFunc(flagError)
	root.AddGroup(
		&cobra.Group{ID: groupSet, Title: "On set:"},
		&cobra.Group{ID: groupFigures, Title: "Figures:"},
		&cobra.Group{ID: groupBench, Title: "Bench:"},
	)
	root.SetHelpCommandGroupID(groupBench)
	root.SetCompletionCommandGroupID(groupBench)
	cobra.EnableCommandSorting = false
	root.AddCommand(
		newCheck(std), newRun(std), newNew(std), newMeasure(std), newFind(std),
		newMix(std), newColour(std), newCalc(std), newExpose(std), newFlicker(std), newFullSize(std), newPower(std), newReflect(std), newDraw(std), newSheet(std),
		newDemo(std), newTrace(std), newReplay(std), newListen(std),
	)
	return root
}

// isShoot says whether a folder looks like a shoot.
func isShoot(dir string) bool {
	_, err := os.Stat(rigFile(dir))
	return err == nil
}

func versionText() string {
	if version != "" {
		return version
	}
	if info, ok := debug.ReadBuildInfo(); ok && info.Main.Version != "" {
		return info.Main.Version
	}
	return "(devel)"
}

// unknownCommand refuses a word that names no subcommand, with the nearest one.
func unknownCommand(cmd *cobra.Command, args []string) error {
	if len(args) == 0 {
		return nil
	}
	var names []string
	for _, c := range cmd.Commands() {
		if c.IsAvailableCommand() {
			names = append(names, c.Name())
		}
	}
	return usagef(nearest.DidYouMean(args[0], names), "unknown command %q", args[0])
}

// flagError words what is wrong with a flag, with the nearest known one.
func flagError(cmd *cobra.Command, err error) error {
	help := fmt.Sprintf("%s --help lists the flags", cmd.CommandPath())
	var unknown *pflag.NotExistError
	if errors.As(err, &unknown) {
		if unknown.GetSpecifiedShortnames() != "" {
			return usagef(help, "unknown flag -%s", unknown.GetSpecifiedName())
		}
		var names []string
		cmd.Flags().VisitAll(func(f *pflag.Flag) { names = append(names, f.Name) })
		if near := nearest.Name(unknown.GetSpecifiedName(), names); near != "" {
			help = fmt.Sprintf("did you mean --%s?", near)
		}
		return usagef(help, "unknown flag --%s", unknown.GetSpecifiedName())
	}
	var value *pflag.InvalidValueError
	if errors.As(err, &value) {
		what, cure := complaint(value.Unwrap())
		if cure == "" {
			what, cure = fmt.Sprintf("%q: %s", value.GetValue(), what), help
		}
		return usagef(cure, "--%s: %s", value.GetFlag().Name, what)
	}
	var missing *pflag.ValueRequiredError
	if errors.As(err, &missing) {
		return usagef(help, "--%s needs a value", missing.GetFlag().Name)
	}
	return usagef(help, "%s", strings.TrimSuffix(err.Error(), "\n"))
}

// completeFolder lets the shell complete the name of a folder.
func completeFolder(_ *cobra.Command, args []string, _ string) ([]cobra.Completion, cobra.ShellCompDirective) {
	if len(args) > 0 {
		return nil, cobra.ShellCompDirectiveNoFileComp
	}
	return nil, cobra.ShellCompDirectiveFilterDirs
}

// must is for what only a wrong program can get wrong.
func must(err error) {
	if err != nil {
		panic(err)
	}
}

// noArgs and atMostOne word the number of arguments as this command does.
func noArgs(cmd *cobra.Command, args []string) error {
	if len(args) > 0 {
		return usagef("usage: "+cmd.UseLine(), "%q is one word too many", args[0])
	}
	return nil
}

func atMostOne(cmd *cobra.Command, args []string) error {
	if len(args) > 1 {
		return usagef("usage: "+cmd.UseLine()+"; quote names that hold a space", "%q is one word too many", args[1])
	}
	return nil
}
