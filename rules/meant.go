package rules

import (
	"regexp"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"planfold/rules/document"
)

// token is a name in a path, or a text; what stands behind it says which.
var token = regexp.MustCompile(`'[^']*'|"[^"]*"|\$?@?(?:[\pL_][\pL\pN_.-]*:)?[\pL_][\pL\pN_.-]*(?:\(|::)?`)

// meant is the name in plans that a path most likely means by one that no plan has, or
// "": the same in another namespace, or the nearest. It is likely if it is the same, or
// if no rule looks at it.
func (v *Survey) meant(path string) (name string, likely bool) {
	return meantIn(v.looked.names, path)
}

// meantIn is meant among the names of elements and attributes; true are those of which no
// rule looks at some.
func meantIn(names map[nameOf]bool, path string) (name string, likely bool) {
	for _, t := range token.FindAllString(path, -1) {
		if strings.ContainsAny(t, `'"($`) || strings.HasSuffix(t, "::") || slices.Contains([]string{"and", "or", "div", "mod"}, t) {
			continue
		}
		attribute := strings.HasPrefix(t, "@")
		local := t[strings.IndexAny(t, ":")+1:]
		local = strings.TrimPrefix(local, "@")
		var same, near, unread []nameOf
		known := false
		for n, some := range names {
			known = known || n.name == t
			if strings.HasPrefix(n.name, "@") != attribute {
				continue
			}
			if n.local == local {
				same = append(same, n)
			}
			if alike(n.local, local) {
				if near = append(near, n); some {
					unread = append(unread, n)
				}
			}
		}
		if known {
			continue
		}
		if best := document.Nearest(t, namesIn(same)); best != "" {
			return best, true
		}
		if len(same) > 0 {
			return namesIn(same)[0], true
		}
		if best := document.Nearest(t, namesIn(unread)); best != "" {
			return best, true
		}
		if best := document.Nearest(t, namesIn(near)); best != "" {
			return best, false
		}
	}
	return "", false
}

// alike reports names that begin with the same letter: few slips hit that.
func alike(a, b string) bool {
	x, _ := utf8.DecodeRuneInString(a)
	y, _ := utf8.DecodeRuneInString(b)
	return unicode.ToLower(x) == unicode.ToLower(y)
}

// mean asks at the end of a message whether another name is meant.
func (v *Survey) mean(path string) string {
	if name, _ := v.meant(path); name != "" {
		return "; did you mean \"" + name + "\"?"
	}
	return ""
}

// namesIn are the names, sorted.
func namesIn(list []nameOf) []string {
	var out []string
	for _, n := range list {
		out = append(out, n.name)
	}
	slices.Sort(out)
	return out
}
