package plan

import "unicode/utf8"

// nameByte tells of ASCII characters whether they may start a name (2) or only go
// on with one (1). The colon is not among them: it separates the prefix.
var nameByte = func() (t [utf8.RuneSelf]byte) {
	for b := range t {
		switch {
		case 'a' <= b && b <= 'z', 'A' <= b && b <= 'Z', b == '_':
			t[b] = 2
		case '0' <= b && b <= '9', b == '-', b == '.':
			t[b] = 1
		}
	}
	return t
}()

// nameStarts are the ranges of characters beyond ASCII that may start a name, and
// nameGoesOn those that may only go on with one (XML 1.0, fifth edition,
// productions 4 and 4a).
var (
	nameStarts = [][2]rune{
		{0xC0, 0xD6},
		{0xD8, 0xF6},
		{0xF8, 0x2FF},
		{0x370, 0x37D},
		{0x37F, 0x1FFF},
		{0x200C, 0x200D},
		{0x2070, 0x218F},
		{0x2C00, 0x2FEF},
		{0x3001, 0xD7FF},
		{0xF900, 0xFDCF},
		{0xFDF0, 0xFFFD},
		{0x10000, 0xEFFFF},
	}
	nameGoesOn = [][2]rune{{0xB7, 0xB7}, {0x300, 0x36F}, {0x203F, 0x2040}}
)

func within(r rune, ranges [][2]rune) bool {
	for _, x := range ranges {
		if x[0] <= r && r <= x[1] {
			return true
		}
	}
	return false
}

// NameLength is the length of the name without a colon at the start of text
// (Namespaces in XML 1.0, production 4).
func NameLength[T []byte | string](text T) int {
	i := 0
	for i < len(text) {
		if b := text[i]; b < utf8.RuneSelf {
			if k := nameByte[b]; k == 0 || k == 1 && i == 0 {
				return i
			}
			i++
			continue
		}
		r, size := utf8.DecodeRuneInString(string(text[i:min(len(text), i+utf8.UTFMax)]))
		if !within(r, nameStarts) && (i == 0 || !within(r, nameGoesOn)) {
			return i
		}
		i += size
	}
	return i
}

// qName is the length of the name, with a prefix or without, at the start of text,
// and the length of the prefix; ok is false when there is none, or when what
// follows makes it none.
func qName(text []byte) (length, prefix int, ok bool) {
	length = NameLength(text)
	if length == 0 || length == len(text) || text[length] != ':' {
		return length, 0, length > 0
	}
	prefix = length
	n := NameLength(text[prefix+1:])
	length += 1 + n
	return length, prefix, n > 0 && (length == len(text) || text[length] != ':')
}

// names gives the same string for the same short text most of the time, so that
// names and values that come again and again take no memory each time. One that
// shares a place with another pushes it out.
type names [1 << 12]string

const shortName = 64

func (n *names) of(b []byte) string {
	if len(b) > shortName {
		return string(b)
	}
	h := uint32(2166136261) // FNV-1a
	for _, c := range b {
		h = (h ^ uint32(c)) * 16777619
	}
	s := &n[(h^h>>12)%uint32(len(n))]
	if *s != string(b) {
		*s = string(b)
	}
	return *s
}
