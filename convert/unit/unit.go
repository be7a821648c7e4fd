// Package unit knows the codes of units of measure and the symbols they are
// written with: pcs, mm, N·m. It converts nothing; quantities stay as the plan has
// them.
//
// Rests on: UN/ECE Recommendation 20, Codes for Units of Measure Used in
// International Trade. Codes marked there as deleted are not known here: some of
// them spell another unit's usual symbol (KG was a keg).
package unit

import (
	_ "embed"
	"strings"
	"sync"
)

// codes.txt lists the codes without a symbol, then, behind an empty line, one code
// with its symbol a line.
//
//go:embed codes.txt
var codes string

var symbols = sync.OnceValue(func() map[string]string {
	out := map[string]string{}
	bare, written, _ := strings.Cut(codes, "\n\n")
	for _, code := range strings.Fields(bare) {
		out[code] = ""
	}
	for line := range strings.Lines(written) {
		code, symbol, _ := strings.Cut(strings.TrimSuffix(line, "\n"), " ")
		out[code] = symbol
	}
	return out
})

// one is the code of a count. The Recommendation's symbol for it is "1", which beside
// a quantity would be read as a digit of it: "4 1".
const one = "C62"

// Symbol is the symbol of a code, empty if it has none to be shown, and whether there
// is such a code.
func Symbol(code string) (symbol string, known bool) {
	symbol, known = symbols()[code]
	if code == one {
		symbol = ""
	}
	return symbol, known
}
