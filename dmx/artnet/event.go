package artnet

import "fmt"

// EventKind says what happened on the network.
type EventKind byte

// What is told of nodes.
const (
	NodeAppeared EventKind = iota + 1
	NodeMoved              // its outputs have other Port-Addresses
	NodeVanished           // it does not answer any more; nothing is sent there until it does
	NodeReturned
	NodeMerges // an output mixes two senders
	NodeSays   // a line of diagnostics
)

// Event is news of a node, in words for the operator.
type Event struct {
	Kind EventKind
	Node Node
	Text string // a line without its end, fit to be shown
}

func eventOf(kind EventKind, n *Node) Event {
	e := Event{Kind: kind, Node: *n}
	switch kind {
	case NodeAppeared:
		e.Text = fmt.Sprintf("%s is a %v that puts out %s", n, n.Style, n.outputs())
		if n.Style != StyleNode {
			e.Text = fmt.Sprintf("%s is a %v", n, n.Style)
		}
	case NodeMoved:
		e.Text = fmt.Sprintf("%s now puts out %s", n, n.outputs())
	case NodeVanished:
		e.Text = fmt.Sprintf("%s does not answer any more; check its power and its cable", n)
	case NodeReturned:
		e.Text = fmt.Sprintf("%s is back and puts out %s", n, n.outputs())
	case NodeMerges:
		for _, p := range n.Ports {
			if p.Output && p.Merging {
				e.Text = mergeText(n, p)
				break
			}
		}
	}
	return e
}

// mergeText has the words for an output with two senders.
func mergeText(n *Node, p NodePort) string {
	rule := "the higher value wins"
	if p.LTP {
		rule = "the later value wins"
	}
	return fmt.Sprintf("%s is sent Port-Address %s by two senders and mixes them (%s); stop the other one", n, FormatPortAddress(p.PortAddress), rule)
}
