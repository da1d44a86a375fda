package main

import (
	"fmt"
	"os"
	"path/filepath"

	"limn/cue"
	"limn/dmx/sacn"
)

// senders knows who we are in sACN.
type senders struct {
	base sacn.CID // of this user on this computer; zero: not read yet
	own  map[sacn.CID]bool
}

// cid is the sender that an output is: the same in every run, another for each output.
func (s *senders) cid(shoot, output string, news func(string)) sacn.CID {
	if s.base == (sacn.CID{}) {
		file, err := cidFile()
		if err == nil {
			s.base, err = sacn.LoadCID(file)
		}
		if err != nil {
			s.base = sacn.NewCID()
			news(fmt.Sprintf("warning: the number that sACN senders are told apart by cannot be kept (%v): receivers take this run for another sender than the last", err))
		}
		s.own = map[sacn.CID]bool{}
	}
	c := sacn.DeriveCID(s.base, shoot, output)
	s.own[c] = true
	return c
}

// cidFile is where the number is kept: state that is neither settings nor cache, by
// the XDG base directory specification.
func cidFile() (string, error) {
	dir := os.Getenv("XDG_STATE_HOME")
	if !filepath.IsAbs(dir) { // as the specification has it
		home, err := os.UserHomeDir()
		if err != nil {
			return "", err
		}
		dir = filepath.Join(home, ".local", "state")
	}
	return filepath.Join(dir, "limn", "cid"), nil
}

func groupsOf(o *cue.Output) sacn.Groups {
	var g sacn.Groups
	if o.IP4 || o.Multicast() && !o.IP6 {
		g |= sacn.Groups4
	}
	if o.IP6 {
		g |= sacn.Groups6
	}
	return g
}

func (os *outputs) openSACN(o *cue.Output) (opened, error) {
	to, hosts, lights := destinations(o.To, sacn.Port)
	source := o.Source
	if source == "" {
		source = "limn " + os.shoot.Subject.Name
	}
	priority := o.Priority
	out, err := sacn.New(sacn.Config{
		Name: o.Name, To: to, Hosts: hosts, Groups: groupsOf(o), Interface: o.Interface, Hops: o.Hops,
		Universes: universes(o.Universes), Offset: o.Offset, Priority: &priority, Source: source,
		CID: os.senders.cid(os.shoot.Subject.Name, o.Name, os.news), Sync: uint16(o.SyncUniverse),
		Terminate: o.OnExit != cue.Leave, // leave means that the light stays
	})
	if err != nil {
		return opened{}, err
	}
	lights = lights || o.Multicast() && (o.Interface == "" || !loopback(o.Interface))
	return opened{out, lights}, nil
}
