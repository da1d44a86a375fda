package rdmtest

import (
	"encoding/binary"
	"sync"
	"time"

	"limn/dmx/artnet"
	"limn/dmx/rdm"
)

// Faults are what goes wrong on the way. Counts are of the answers that come next.
type Faults struct {
	Lose       int                       // answers of devices that do not arrive
	Spoil      int                       // ... that arrive with a wrong checksum
	Busy       int                       // ... that refuse because the device is busy
	Double     bool                      // every answer arrives twice
	Timer      time.Duration             // every answer is put off for so long, then waits in the device's queue
	NoQueue    bool                      // ... but devices know no queue: they are to be asked again
	Parts      int                       // bytes of an answer at a time, 0: all
	Refuse     map[rdm.PID]rdm.Reason    // what devices refuse
	Data       map[rdm.PID]func() []byte // what devices say instead
	Forge      bool                      // wrong answers come before the right one: of other devices, questions, parameters, lines
	TableBusy  int                       // requests for the table that are answered with "not ready"
	TableLose  int                       // parts of the table that do not arrive
	TableTotal int                       // the count the table claims, if not 0
}

// Node is a virtual node with one output. Its methods may be called from any goroutine.
type Node struct {
	portAddress uint16
	block       int // devices in a part of the table

	mu      sync.Mutex
	devices []*Device
	faults  Faults
	asked   []rdm.Message // of devices, without their data's room
	flushed int
}

// NewNode makes a node whose output has a Port-Address and these devices on its line, which are its own from then on.
// block is how many devices a part of its table has, 0 as many as fit.
func NewNode(portAddress uint16, block int, devices ...*Device) *Node {
	if block == 0 {
		block = rdm.MaxBlock
	}
	return &Node{portAddress: portAddress, block: block, devices: devices}
}

// SetFaults changes what goes wrong from now on.
func (n *Node) SetFaults(f Faults) {
	n.mu.Lock()
	defer n.mu.Unlock()
	n.faults = f
}

// Asked are the messages to devices that arrived, answered or not.
func (n *Node) Asked() []rdm.Message {
	n.mu.Lock()
	defer n.mu.Unlock()
	return append([]rdm.Message(nil), n.asked...)
}

// Flushed counts the searches that were asked for.
func (n *Node) Flushed() int {
	n.mu.Lock()
	defer n.mu.Unlock()
	return n.flushed
}

// Address is the start address of device i, and whether it is identifying itself.
func (n *Node) Address(i int) (address int, identifying bool) {
	n.mu.Lock()
	defer n.mu.Unlock()
	return n.devices[i].Address, n.devices[i].identifying
}

// Answer gives the datagrams that answer one, none for what is not for this node's output or not understood.
func (n *Node) Answer(b []byte) [][]byte {
	n.mu.Lock()
	defer n.mu.Unlock()
	op, err := artnet.Kind(b)
	if err != nil {
		return nil
	}
	switch op {
	case artnet.OpTodRequest:
		var r rdm.TodRequest
		if r.Decode(b) == nil && r.Asks(n.portAddress) {
			return n.table()
		}
	case artnet.OpTodControl:
		var c rdm.TodControl
		if c.Decode(b) == nil && c.PortAddress == n.portAddress {
			if c.Flush {
				n.flushed++
			}
			return n.table()
		}
	case artnet.OpRdm:
		var c rdm.Carried
		if c.Decode(b) == nil && c.PortAddress == n.portAddress {
			return n.carry(c.Message)
		}
	}
	return nil
}

// table gives the parts of the table.
func (n *Node) table() [][]byte {
	d := rdm.TodData{PortAddress: n.portAddress, Port: 1, BindIndex: 1, Total: len(n.devices)}
	if n.faults.TableTotal != 0 {
		d.Total = n.faults.TableTotal
	}
	if n.faults.TableBusy > 0 {
		n.faults.TableBusy--
		d.NotReady, d.Total = true, 0
		return [][]byte{d.AppendTo(nil)}
	}
	var out [][]byte
	for first := 0; first == 0 || first < len(n.devices); first += n.block {
		d.UIDs = d.UIDs[:0]
		for _, dev := range n.devices[first:min(first+n.block, len(n.devices))] {
			d.UIDs = append(d.UIDs, dev.UID)
		}
		d.Block = first / n.block
		if n.faults.TableLose > 0 {
			n.faults.TableLose--
			continue
		}
		out = append(out, d.AppendTo(nil))
		if n.faults.Double {
			out = append(out, d.AppendTo(nil))
		}
	}
	return out
}

// carry brings a message to its device, and the answer back.
func (n *Node) carry(m rdm.Message) [][]byte {
	n.asked = append(n.asked, m)
	var dev *Device
	for _, d := range n.devices {
		if d.UID == m.Dest {
			dev = d
		}
	}
	if dev == nil || dev.Deaf || m.Class != rdm.Get && m.Class != rdm.Set {
		return nil
	}
	a := n.answer(dev, m)
	if n.faults.Lose > 0 {
		n.faults.Lose--
		return nil
	}
	packet := (&rdm.Carried{PortAddress: n.portAddress, Message: a}).AppendTo(nil)
	if n.faults.Spoil > 0 {
		n.faults.Spoil--
		packet[len(packet)-1] ^= 1
	}
	var out [][]byte
	if n.faults.Forge {
		out = forged(n.portAddress, a)
	}
	out = append(out, packet)
	if n.faults.Double {
		out = append(out, packet)
	}
	return out
}

// answer is what a device answers.
func (n *Node) answer(d *Device, m rdm.Message) rdm.Message {
	a := rdm.Message{
		Dest: m.Source, Source: d.UID, Transaction: m.Transaction, Port: byte(rdm.Ack), SubDevice: m.SubDevice, Class: m.Class + 1, PID: m.PID,
	}
	refuse := func(r rdm.Reason) rdm.Message {
		a.Port, a.Data = byte(rdm.Nack), binary.BigEndian.AppendUint16(nil, uint16(r))
		return a
	}
	switch reason, refused := n.faults.Refuse[m.PID]; {
	case refused:
		return refuse(reason)
	case n.faults.Busy > 0:
		n.faults.Busy--
		return refuse(rdm.BufferFull)
	case m.PID == rdm.QueuedMessage && n.faults.NoQueue:
		return refuse(rdm.UnknownPID)
	case m.PID == rdm.QueuedMessage && len(d.queue) == 0:
		a.PID = rdm.StatusMessages
		return a
	case m.PID == rdm.QueuedMessage:
		a, d.queue = d.queue[0], d.queue[1:]
		a.Transaction = m.Transaction
		return a
	case m.Class == rdm.Set:
		if reason, ok := d.set(m.PID, m.Data); !ok {
			return refuse(reason)
		}
	default:
		data, reason, ok := d.get(m.PID, m.Data)
		if !ok {
			return refuse(reason)
		}
		if say := n.faults.Data[m.PID]; say != nil {
			data = say()
		}
		a.Data = n.part(d, data, &a)
	}
	if n.faults.Timer > 0 && !d.putOff[m.PID] {
		if d.putOff == nil {
			d.putOff = make(map[rdm.PID]bool)
		}
		d.putOff[m.PID] = n.faults.NoQueue // else it is put off each time
		if !n.faults.NoQueue {
			d.queue = append(d.queue, a)
		}
		a.Port = byte(rdm.AckTimer)
		a.Data = binary.BigEndian.AppendUint16(nil, uint16(n.faults.Timer/(100*time.Millisecond)))
	}
	return a
}

// part cuts an answer into parts, of which each question gets the next.
func (n *Node) part(d *Device, data []byte, a *rdm.Message) []byte {
	size := n.faults.Parts
	if size == 0 {
		return data
	}
	data = data[min(d.part*size, len(data)):]
	if len(data) > size {
		d.part++
		a.Port = byte(rdm.AckOverflow)
		return data[:size]
	}
	d.part = 0
	return data
}

// forged are answers that must not be believed: each differs from the right one where it counts.
func forged(portAddress uint16, right rdm.Message) [][]byte {
	wrong := make([]byte, len(right.Data))
	for i := range wrong {
		wrong[i] = 'X'
	}
	right.Data = wrong
	var out [][]byte
	for _, spoil := range []func(c *rdm.Carried){
		func(c *rdm.Carried) { c.PortAddress ^= 1 },
		func(c *rdm.Carried) { c.Message.Source = rdm.MakeUID(rdm.Prototype, 0xbad) },
		func(c *rdm.Carried) { c.Message.Dest = rdm.MakeUID(rdm.Prototype, 0xbad) },
		func(c *rdm.Carried) { c.Message.Transaction -= 7 },
		func(c *rdm.Carried) { c.Message.Transaction++ },
		func(c *rdm.Carried) { c.Message.PID = rdm.StatusMessages },
		func(c *rdm.Carried) { c.Message.Class-- },
		func(c *rdm.Carried) { c.Message.SubDevice = 1 },
	} {
		c := rdm.Carried{PortAddress: portAddress, Message: right}
		spoil(&c)
		out = append(out, c.AppendTo(nil))
	}
	return out
}
