package tomlfile

import "slices"

// asked is a list of the keys that were asked for, told by its last one. Tables of
// a kind are asked for the same keys in the same order, so they share one list.
type asked struct {
	key    string
	before *asked // nil = nobody asked for anything yet
	after  []*asked
}

// with is the list with the key in it.
func (a *asked) with(key string) *asked {
	for _, next := range a.after { // what others asked for next was not asked for before
		if next.key == key {
			return next
		}
	}
	for b := a; b.before != nil; b = b.before {
		if b.key == key {
			return a
		}
	}
	next := &asked{key: key, before: a}
	a.after = append(a.after, next)
	return next
}

// keys are those asked for, in that order.
func (a *asked) keys() []string {
	var out []string
	for ; a.before != nil; a = a.before {
		out = append(out, a.key)
	}
	slices.Reverse(out)
	return out
}
