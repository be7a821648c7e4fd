package source

import (
	"errors"
	"math"
	"math/bits"
	"strconv"
	"strings"

	"planfold/convert/diag"
	"planfold/convert/mesh"
)

// farthest is the largest coordinate taken, in metres. It keeps squares and
// cubes of lengths far from overflow.
const farthest = 1e9

var (
	errCoordinate = errors.New("not a finite number")
	errNumber     = errors.New("not a number")
	errComma      = errors.New("not a number; decimals take a point, not a comma")
)

// tens are the powers of ten that a float64 holds exactly.
var tens = [...]float64{
	1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11,
	1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18, 1e19, 1e20, 1e21, 1e22,
}

// Prefix reads the plain decimal number that b starts with and says how many bytes
// it takes: 0 for what Number must look at. Up to 2^53 digits and power are exact,
// so that one multiplication or division rounds once, to the nearest float64 (W. D.
// Clinger, How to Read Floating Point Numbers Accurately, 1990); else whole numbers
// are divided.
func Prefix(b []byte) (v float64, length int) {
	i := 0
	negative := len(b) > 0 && b[0] == '-'
	if negative {
		i++
	}
	digits, start := uint64(0), i
	for ; i < len(b) && b[i]-'0' <= 9; i++ {
		digits = 10*digits + uint64(b[i]-'0')
	}
	count, power := i-start, 0
	if i < len(b) && b[i] == '.' {
		i++
		point := i
		for ; i < len(b) && b[i]-'0' <= 9; i++ {
			digits = 10*digits + uint64(b[i]-'0')
		}
		power = point - i
		count -= power
	}
	if count == 0 || count > 19 {
		return 0, 0
	}
	if i < len(b) && b[i]|0x20 == 'e' {
		e, n := exponent(b[i+1:])
		if n == 0 {
			return 0, 0
		}
		i, power = i+1+n, power+e
	}
	switch {
	case digits > 1<<53 && power < 0 && power >= -19:
		v = quotient(digits, -power)
	case digits > 1<<53 || power < 1-len(tens) || power >= len(tens):
		return 0, 0
	case power < 0:
		v = float64(digits) / tens[-power]
	default:
		v = float64(digits) * tens[power]
	}
	if negative {
		v = -v
	}
	return v, i
}

// quotient is a whole number, not 0, over a power of ten up to 19. Of its 63 bits or
// more the last stands for all that follow, so that they round as a whole.
func quotient(digits uint64, power int) float64 {
	divisor := uint64(tens[power]) // exact
	up, down := bits.LeadingZeros64(digits), bits.LeadingZeros64(divisor)
	digits <<= up
	q, rest := bits.Div64(digits>>1, digits<<63, divisor<<down)
	if rest > 0 {
		q |= 1
	}
	return float64(q) * math.Float64frombits(uint64(1023-63-up+down)<<52)
}

// exponent reads up to three digits with their sign.
func exponent(b []byte) (e, length int) {
	i := 0
	negative := false
	if len(b) > 0 && (b[0] == '-' || b[0] == '+') {
		negative = b[0] == '-'
		i++
	}
	start := i
	for ; i < len(b) && b[i]-'0' <= 9; i++ {
		if i-start == 3 {
			return 0, 0
		}
		e = 10*e + int(b[i]-'0')
	}
	if i == start {
		return 0, 0
	}
	if negative {
		e = -e
	}
	return e, i
}

// Number reads a decimal number of a text format. Hexadecimal floats and digit
// separators, which strconv takes, are refused.
func Number(b []byte) (float64, error) {
	if v, n := Prefix(b); n == len(b) && n > 0 {
		return v, nil
	}
	for _, c := range b {
		if c-'0' <= 9 || c == '.' || c == '-' || c == '+' || c|0x20 == 'e' {
			continue
		}
		return 0, notANumber(string(b))
	}
	v, err := strconv.ParseFloat(string(b), 64)
	switch {
	case err == nil:
		return v, nil
	case errors.Is(err, strconv.ErrRange):
		return 0, errCoordinate
	}
	return 0, errNumber
}

// Coordinate reads a coordinate, or says by which code it is none.
func Coordinate(b []byte) (float64, *diag.Code, error) {
	v, err := Number(b)
	switch {
	case errors.Is(err, errCoordinate):
		return v, diag.GeometryCoordinate, err
	case err != nil:
		return v, diag.GeometrySyntax, err
	}
	return v, nil, nil
}

// notANumber says what is wrong with s. Printf of one well-known run-time
// library writes 1.#INF, 1.#QNAN and -1.#IND.
func notANumber(s string) error {
	s = strings.ToLower(strings.TrimLeft(s, "+-"))
	if s == "nan" || s == "inf" || s == "infinity" || strings.HasPrefix(s, "nan(") || strings.HasPrefix(s, "1.#") {
		return errCoordinate
	}
	if strings.Count(s, ",") == 1 {
		return errComma
	}
	return errNumber
}

// Near reports whether p is finite and within farthest of the origin.
func Near(p mesh.Vec) bool {
	// A comparison with NaN is false.
	return math.Abs(p[0]) <= farthest && math.Abs(p[1]) <= farthest && math.Abs(p[2]) <= farthest
}
