package serial

// chips are the USB ids (vendor, product) of the chips that DMX adapters are built with. An id
// names the chip, never what is soldered behind it, so the ids decide which ports may be asked and the answer decides.
//
// Source of the ids: the public USB ID list, version 2025-07-26. Which of them are found in widgets
// too is common practice, no source.
var chips = map[[2]uint16]Means{
	{0x0403, 0x6001}: MeansEither, // single UART or FIFO
	{0x0403, 0x6010}: MeansEither, // dual
	{0x0403, 0x6011}: MeansEither, // quad
	{0x0403, 0x6014}: MeansEither, // single, high speed
	{0x0403, 0x6015}: MeansEither, // single, newer
	{0x067b, 0x2303}: MeansLine,
	{0x067b, 0x23a3}: MeansLine,
	{0x10c4, 0xea60}: MeansLine, // single
	{0x10c4, 0xea61}: MeansLine,
	{0x10c4, 0xea70}: MeansLine, // dual
	{0x10c4, 0xea71}: MeansLine, // quad
	{0x1a86, 0x5523}: MeansLine,
	{0x1a86, 0x7522}: MeansLine,
	{0x1a86, 0x7523}: MeansLine,
}

// modemDrivers are the kernel's drivers of mobile modems, which present themselves as serial ports
// (names from memory).
var modemDrivers = map[string]bool{"option": true, "option1": true, "qcserial": true, "sierra": true, "sierra_net": true, "hso": true, "ipw": true}

// means judges a port by what is known of it. A console is the lister's to find.
func means(a Adapter) Means {
	switch {
	case modemDrivers[a.Driver]:
		return MeansModem
	case !a.USB:
		return MeansBoard
	}
	return chips[[2]uint16{a.Vendor, a.Product}]
}
