package source

import (
	"errors"
	"math"
	"strconv"
	"strings"

	"planfold/convert/mesh"
)

// farthest is the largest coordinate taken, in metres. It keeps squares and
// cubes of lengths far from overflow.
const farthest = 1e9

// ErrCoordinate is a number that is no place: not finite or too far.
var ErrCoordinate = errors.New("not a finite number")

var (
	errNumber = errors.New("not a number")
	errComma  = errors.New("not a number; decimals take a point, not a comma")
)

// Number reads a decimal number of a text format. Hexadecimal floats and digit
// separators, which strconv takes, are refused.
func Number(b []byte) (float64, error) {
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
		return 0, ErrCoordinate
	}
	return 0, errNumber
}

// notANumber says what is wrong with s. Printf of one well-known run-time
// library writes 1.#INF, 1.#QNAN and -1.#IND.
func notANumber(s string) error {
	s = strings.ToLower(strings.TrimLeft(s, "+-"))
	if s == "nan" || s == "inf" || s == "infinity" || strings.HasPrefix(s, "nan(") || strings.HasPrefix(s, "1.#") {
		return ErrCoordinate
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
