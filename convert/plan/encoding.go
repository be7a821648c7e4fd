package plan

import (
	"encoding/binary"
	"strings"
	"unicode/utf16"
	"unicode/utf8"

	"golang.org/x/text/encoding/charmap"
)

// decoder turns bytes of the export into UTF-8, appended to to. It returns how
// many bytes it took (fewer than there are when a character is not complete yet)
// and what is wrong with the next one, if it cannot go on.
type decoder func(to, from []byte) (decoded []byte, taken int, wrong string)

func utf8Decoder(to, from []byte) ([]byte, int, string) {
	n := len(from)
	for k := 1; k < utf8.UTFMax && k <= n; k++ {
		if utf8.RuneStart(from[n-k]) {
			if !utf8.FullRune(from[n-k:]) {
				n -= k
			}
			break
		}
	}
	if utf8.Valid(from[:n]) {
		return append(to, from[:n]...), n, ""
	}
	for n = 0; ; {
		r, size := utf8.DecodeRune(from[n:])
		if r == utf8.RuneError && size <= 1 {
			return append(to, from[:n]...), n, "bytes that are not UTF-8; is another encoding meant?"
		}
		n += size
	}
}

func utf16Decoder(order binary.ByteOrder) decoder {
	return func(to, from []byte) ([]byte, int, string) {
		n := 0
		for ; n+2 <= len(from); n += 2 {
			r := rune(order.Uint16(from[n:]))
			if utf16.IsSurrogate(r) {
				if n+4 > len(from) {
					break
				}
				if r = utf16.DecodeRune(r, rune(order.Uint16(from[n+2:]))); r == utf8.RuneError {
					return to, n, "half a surrogate pair in UTF-16"
				}
				n += 2
			}
			to = utf8.AppendRune(to, r)
		}
		return to, n, ""
	}
}

func charmapDecoder(m *charmap.Charmap) decoder {
	return func(to, from []byte) ([]byte, int, string) {
		for _, b := range from {
			to = utf8.AppendRune(to, m.DecodeByte(b))
		}
		return to, len(from), ""
	}
}

func asciiDecoder(to, from []byte) ([]byte, int, string) {
	for n, b := range from {
		if b >= utf8.RuneSelf {
			return append(to, from[:n]...), n, "a byte that is not US-ASCII"
		}
	}
	return append(to, from...), len(from), ""
}

// byteDecoder finds the decoder of a declared encoding that has ASCII in it.
func byteDecoder(declared string) (decoder, bool) {
	switch strings.ToLower(declared) {
	case "", "utf-8", "utf8":
		return utf8Decoder, true
	case "us-ascii", "ascii":
		return asciiDecoder, true
	case "iso-8859-1", "latin1", "latin-1", "iso_8859-1":
		return charmapDecoder(charmap.ISO8859_1), true
	case "iso-8859-15", "latin-9", "iso_8859-15":
		return charmapDecoder(charmap.ISO8859_15), true
	case "windows-1252", "cp1252", "cp-1252":
		return charmapDecoder(charmap.Windows1252), true
	}
	return nil, false
}

// sniff tells UTF-16 from encodings that have ASCII in them, and the length of
// the byte order mark (XML 1.0, appendix F).
func sniff(head []byte) (order binary.ByteOrder, mark int) {
	is := func(prefix string) bool { return strings.HasPrefix(string(head[:min(4, len(head))]), prefix) }
	switch {
	case is("\xEF\xBB\xBF"):
		return nil, 3
	case is("\xFF\xFE"):
		return binary.LittleEndian, 2
	case is("\xFE\xFF"):
		return binary.BigEndian, 2
	case is("<\x00?\x00"):
		return binary.LittleEndian, 0
	case is("\x00<\x00?"):
		return binary.BigEndian, 0
	}
	return nil, 0
}
