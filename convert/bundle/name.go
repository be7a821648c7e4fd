package bundle

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"strings"
)

const longestName = 80

// Name turns an identifier into a name that every file system takes and that
// needs no decoding in a URL. Different identifiers get different names; names
// that differ in letter case alone are the caller's to tell apart (see Names).
func Name(id string) string {
	plain := escape(id)
	if plain == "" || len(plain) > longestName || reserved(plain) || plain[0] == '.' || plain[len(plain)-1] == '.' {
		return digestName(id)
	}
	return plain
}

// Names gives each identifier its name. Identifiers that are equal under case
// folding all take the form with a digest.
func Names(ids []string) []string {
	folded := map[string]int{}
	for _, id := range ids {
		folded[strings.ToLower(Name(id))]++
	}
	out := make([]string, len(ids))
	for i, id := range ids {
		out[i] = Name(id)
		if folded[strings.ToLower(out[i])] > 1 {
			out[i] = digestName(id)
		}
	}
	return out
}

func escape(id string) string {
	var b strings.Builder
	for _, c := range []byte(id) {
		if c >= 'A' && c <= 'Z' || c >= 'a' && c <= 'z' || c >= '0' && c <= '9' || strings.IndexByte("._-", c) >= 0 {
			b.WriteByte(c)
		} else {
			fmt.Fprintf(&b, "~%02x", c)
		}
	}
	return b.String()
}

func digestName(id string) string {
	sum := sha256.Sum256([]byte(id))
	head := escape(id)
	head = head[:min(len(head), 60)]
	body := strings.Trim(head, ".")
	left := len(head) - len(strings.TrimLeft(head, "."))
	right := len(head) - left - len(body)
	return "~~" + hex.EncodeToString(sum[:4]) + "-" + strings.Repeat("~2e", left) + body + strings.Repeat("~2e", right)
}

// reserved reports device names of some systems, with or without an extension.
func reserved(name string) bool {
	base, _, _ := strings.Cut(strings.ToUpper(name), ".")
	switch base {
	case "CON", "PRN", "AUX", "NUL":
		return true
	}
	return len(base) == 4 && (base[:3] == "COM" || base[:3] == "LPT") && base[3] >= '0' && base[3] <= '9'
}
