// Package artnettest holds a virtual Art-Net node: it answers polls, keeps what it is sent, can be moved to other
// Port-Addresses, switched off and on again. Tests, and demonstrations with nothing plugged in, use it.
//
// 127.0.0.2, 127.0.0.3 and so on are nodes of their own on one port, as devices on a network are. A node listens where it is told to and nowhere
// else. It refuses to know what slots mean.
package artnettest
