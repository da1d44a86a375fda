package timeline

// The hand-over between the two rounding rules, in codes added to the moving
// rule's, control by control. nil stands for zeros.
//
// All controls go the whole way together, in a straight line from one row to
// the other. Both rows mean the same light, so what lies between them does too,
// but for the rounding to whole codes; each control at a pace of its own would
// lead through other colours.

// approach is code a after n of steps steps toward b. It moves by at most one
// code a step if there are as many steps as codes between a and b.
func approach(a, b int, n, steps int64) int {
	switch {
	case n <= 0:
		return a
	case n >= steps:
		return b
	}
	twice := 2 * int64(b-a) * n
	if twice < 0 {
		return a - int((steps-twice)/(2*steps))
	}
	return a + int((steps+twice)/(2*steps))
}

// code is codes[j], nil being zeros.
func code(codes []int, j int) int {
	if codes == nil {
		return 0
	}
	return codes[j]
}

// walk is the number of steps from a to b at one code a step: the longest of
// all controls.
func walk(a, b []int) int64 {
	var most int64
	for j := range max(len(a), len(b)) {
		d := int64(code(a, j)) - int64(code(b, j))
		most = max(most, d, -d)
	}
	return most
}

// nilIfZero drops a row of zeros, so that later frames need not add it.
func nilIfZero(codes []int) []int {
	for _, c := range codes {
		if c != 0 {
			return codes
		}
	}
	return nil
}
