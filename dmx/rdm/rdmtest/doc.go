// Package rdmtest holds a virtual Art-Net node with virtual RDM devices on its line: it tells its table, carries messages
// to its devices and their answers back, and can lose, double, spoil, refuse and put them off. Tests, and
// demonstrations with nothing plugged in, use it.
//
// [Node.Answer] is a function from datagram to datagrams, so that a test needs no network; [Listen] puts nodes on
// loopback, and [Beside] next to something else that listens there already. It refuses to send beyond loopback.
package rdmtest
