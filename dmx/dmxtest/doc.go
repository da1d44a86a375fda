// Package dmxtest holds what tests of transports and of the send loop share: an
// in-memory [Output] that records, stalls and fails; a [Clock] for bubbles of
// testing/synctest; [Run], the conformance run that every transport passes; packets
// that others made ([Vectors]); a writer of capture files ([Pcap]) with [Tshark] to judge them;
// and a pseudo-terminal ([OpenPTY]).
//
// It is for tests only and knows no transport.
package dmxtest
