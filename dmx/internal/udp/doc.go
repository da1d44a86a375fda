// Package udp is what the network transports share: a socket that takes many packets in one call, and what a
// failed send means. It knows no protocol and no words.
package udp
