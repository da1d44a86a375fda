package serial

import (
	"fmt"
	"path/filepath"
	"strings"
)

// isPath says whether a user's name of an adapter is that of a port; otherwise it is a serial number or USB ids.
func isPath(name string) bool {
	if strings.ContainsAny(name, `/\`) {
		return true
	}
	digits, com := strings.CutPrefix(strings.ToUpper(name), "COM")
	return com && digits != "" && strings.Trim(digits, "0123456789") == ""
}

// isNamed says whether a user's words for an adapter, no path, mean this one.
func isNamed(a Adapter, name string) bool {
	return a.USB && name != "" && (strings.EqualFold(a.Serial, name) || strings.EqualFold(a.IDs(), name))
}

// choice is what an output knows when it looks for its adapter.
type choice struct {
	name  string                 // the user's: a path, a serial number, ids, or "" for the only one there is
	last  *Adapter               // the one it had before, if it had one
	taken func(a Adapter) string // the name of another output that has this one, or ""
}

// choose picks from a machine's ports the one an output is to open. An adapter that was had
// before is found wherever it is now. A path is the user's word: it is opened even if the
// list does not have it, as it has no pseudo-terminals and no ports of some boards.
func choose(list []Adapter, c choice) (Adapter, error) {
	if c.last != nil {
		if a, ok := again(list, c); ok {
			return a, nil
		}
	}
	if isPath(c.name) {
		a := at(list, c.name)
		if a.Means == MeansConsole || a.Means == MeansModem {
			return a, &kindError{a}
		}
		if owner := c.taken(a); owner != "" {
			return a, &takenError{a, owner}
		}
		return a, nil
	}
	var fit, taken, other []Adapter
	for _, a := range list {
		switch {
		case c.name != "" && !isNamed(a, c.name), c.name == "" && !a.Means.usable():
			if a.USB {
				other = append(other, a)
			}
		case c.taken(a) != "":
			taken = append(taken, a)
		default:
			fit = append(fit, a)
		}
	}
	switch {
	case len(fit) == 1 && (fit[0].Means == MeansConsole || fit[0].Means == MeansModem):
		return fit[0], &kindError{fit[0]}
	case len(fit) == 1:
		return fit[0], nil
	case len(fit) > 1:
		return Adapter{}, &severalError{c.name, fit}
	case len(taken) > 0:
		return taken[0], &takenError{taken[0], c.taken(taken[0])}
	}
	return Adapter{}, &noneError{c.name, other}
}

// again finds the adapter that an output had before. Where nothing but its make tells it, it must be the only one.
func again(list []Adapter, c choice) (Adapter, bool) {
	var alike []Adapter
	for _, a := range list {
		if a.same(*c.last) {
			return a, a.USB // a port of the board stays where it is
		}
		if a.alike(*c.last) && c.taken(a) == "" {
			alike = append(alike, a)
		}
	}
	if len(alike) == 1 {
		return alike[0], true
	}
	return Adapter{}, false
}

// at is the port of a path, with what the list knows of it. The path may be a link.
func at(list []Adapter, path string) Adapter {
	real := path
	if to, err := filepath.EvalSymlinks(path); err == nil {
		real = to
	}
	for _, a := range list {
		if a.Port == path || a.Port == real {
			a.Port = path
			return a
		}
	}
	return Adapter{Port: path}
}

// maxNamed is how many adapters a message names.
const maxNamed = 4

func nameSome(list []Adapter) string {
	var names []string
	for i, a := range list {
		if i == maxNamed {
			names = append(names, fmt.Sprintf("and %d more", len(list)-i))
			break
		}
		names = append(names, a.String())
	}
	return strings.Join(names, "; ")
}

// noneError says that no port fits.
type noneError struct {
	name  string
	other []Adapter // USB ports that do not fit
}

func (e *noneError) Error() string {
	switch {
	case e.name != "" && len(e.other) == 0:
		return fmt.Sprintf("there is no adapter %s; plug it in", e.name)
	case e.name != "":
		return fmt.Sprintf("there is no adapter %s; plug it in, or name one of these: %s", e.name, nameSome(e.other))
	case len(e.other) == 0:
		return "there is no USB adapter; plug it in, or name its port"
	}
	return fmt.Sprintf(`there is no USB adapter that is known here; if one of these is it, write its port and kind = "usb raw" for a plain line, "usb widget" if it frames packets itself: %s`,
		nameSome(e.other))
}

// severalError says that more than one port fits.
type severalError struct {
	name string
	fit  []Adapter
}

func (e *severalError) Error() string {
	which := "USB adapters"
	if e.name != "" {
		which = "adapters " + e.name
	}
	return fmt.Sprintf("there are %d %s; name one by its port or serial number: %s", len(e.fit), which, nameSome(e.fit))
}

// kindError says that a port is of a wrong kind.
type kindError struct{ adapter Adapter }

func (e *kindError) Error() string {
	return fmt.Sprintf("%s is %v, no DMX adapter; name another port", e.adapter.Port, e.adapter.Means)
}

// takenError says that another output has the adapter.
type takenError struct {
	adapter Adapter
	owner   string
}

func (e *takenError) Error() string {
	return fmt.Sprintf("output %q has the adapter %s; give each output an adapter of its own", e.owner, e.adapter.Port)
}
