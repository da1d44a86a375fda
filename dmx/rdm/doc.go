// Package rdm speaks RDM (ANSI E1.20) to lights behind an Art-Net node: who is there, what they call
// themselves, which slots they listen to; and it sets a start address when it is told to.
//
// The node searches its line by itself and keeps the table of devices, so a [Client] only reads the table
// (ArtTodRequest, ArtTodData) and has single messages carried to a device and back (ArtRdm). It owns no
// socket: what it sends goes through a function, what arrives is given to [Client.Hear]. So whoever holds the
// one socket on Art-Net's port serves it, and [Listen] does where nobody else does.
//
// Nothing is sent before a method is called, and only methods whose names begin with Set change a light.
// A search by the node, and every message, takes its time on the line between two packets of levels; some lights flicker
// at that (common practice, no source), so this is for setting up, not for a running shot.
//
// Numbers: start addresses count from 1 to 512 as in DMX512, modes from 1, Port-Addresses from 0 as in
// package artnet. Whatever arrives is bounded in count, size and time, and refused whole if a part of it is wrong.
//
// The package refuses to know what slots mean and what a rig is: [Compare] is given what a file says.
//
// Figures marked as from memory were not checked against the standard's text; the ids of parameters and the reasons of
// refusals are those of an outside dissector.
package rdm
