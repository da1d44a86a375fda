package timeline

// The hand-over between the two rounding rules, in codes added to the moving
// rule's, control by control. nil stands for zeros.

// approach is a after n steps of at most one toward b.
func approach(a, b int, n int64) int {
	if n <= 0 {
		return a
	}
	d := int64(b) - int64(a)
	return a + int(min(max(d, -n), n))
}

// code is codes[j], nil being zeros.
func code(codes []int, j int) int {
	if codes == nil {
		return 0
	}
	return codes[j]
}

// walk is the number of steps approach needs from a to b: the longest of all
// controls.
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
