package operate

import (
	"fmt"
	"math/big"
	"strings"
	"unicode"
)

// written is a time as written, and its exact value in seconds.
type written struct {
	text  string
	value *big.Rat
}

// units are those of a time, in seconds.
var units = map[string]*big.Rat{
	"s":   big.NewRat(1, 1),
	"ms":  big.NewRat(1, 1000),
	"min": big.NewRat(60, 1),
}

const timeCure = `the time comes first, as in "0s next" or "1 min 30 s dark"`

// maxDigits is the most characters of one number of a time.
const maxDigits = 40

// parseTime reads the time that s begins with, a number with its unit or
// several ("1 min 30 s"), and says how many bytes it took. It is kept as a
// fraction: no frame is early or late because a decimal has no exact float64.
func parseTime(s string) (t written, n int, bad *wrong) {
	sum := new(big.Rat)
	for {
		digits := leading(s[n:], isNumber)
		if digits == 0 {
			break
		}
		unitAt := n + digits + leading(s[n+digits:], isBlank)
		unitLen := leading(s[unitAt:], unicode.IsLetter)
		number, unit := s[n:n+digits], s[unitAt:unitAt+unitLen]
		size, known := units[strings.ToLower(unit)]
		value, ok := new(big.Rat).SetString(strings.TrimSuffix("0"+number, "."))
		switch {
		case !ok || digits > maxDigits || strings.Trim(number, ".") == "":
			return t, n, &wrong{n, fmt.Sprintf("%q is not a number", number), "write a time as in 2.5s"}
		case !known && (unit == "" || n+digits < unitAt):
			return t, n, &wrong{n, fmt.Sprintf("the time %s has no unit", number), fmt.Sprintf("write %ss, %[1]sms or %[1]smin", number)}
		case !known:
			return t, n, &wrong{unitAt, fmt.Sprintf("there is no unit %q", unit), "times are in s, ms or min"}
		}
		sum.Add(sum, value.Mul(value, size))
		t.text = strings.Join(strings.FieldsFunc(s[:unitAt+unitLen], isBlank), " ")
		n = unitAt + unitLen
		n += leading(s[n:], isBlank)
	}
	switch {
	case n == 0 && s != "" && strings.ContainsRune("-−–+", []rune(s)[0]):
		return t, n, &wrong{0, "a time has no sign", timeCure}
	case n == 0:
		word, _, _ := strings.Cut(s, " ")
		return t, n, &wrong{0, fmt.Sprintf("%q has no time", word), timeCure}
	case sum.Cmp(big.NewRat(MaxTime, 1)) > 0:
		return t, n, &wrong{0, fmt.Sprintf("%s is too late", t.text), "a program lasts at most a week"}
	}
	t.value = sum
	return t, n, nil
}

// leading is the number of bytes at the start of s whose characters are of a kind.
func leading(s string, of func(rune) bool) int {
	return len(s) - len(strings.TrimLeftFunc(s, of))
}

func isNumber(r rune) bool { return r >= '0' && r <= '9' || r == '.' }

func isBlank(r rune) bool { return strings.ContainsRune(blanks, r) }
