package compare

import (
	"strings"
	"unicode"
	"unicode/utf8"
)

// mostWordPairs bounds the work on one text; beyond it the text is shown whole.
const mostWordPairs = 4 << 20

// words shows how a text became another, word by word and without colour: what was
// taken out as [-old-], what was put in as {+new+}. Long stretches that stayed are
// cut in their middle.
func words(old, new string) string {
	list := wordDiff(old, new)
	var out strings.Builder
	for i, r := range list {
		if r.old != "" {
			out.WriteString("[-" + r.old + "-]")
		}
		if r.new != "" {
			out.WriteString("{+" + r.new + "+}")
		}
		out.WriteString(elide(r.kept, i == 0 && r.old+r.new == "", i == len(list)-1))
	}
	return out.String()
}

// contextLength is how much of a text that stayed is shown on each side of a change.
const contextLength = 60

func elide(s string, first, last bool) string {
	r := []rune(s)
	head, tail := contextLength, contextLength
	if first {
		head = 0
	}
	if last {
		tail = 0
	}
	if len(r) <= head+tail+3 {
		return s
	}
	return string(r[:head]) + "…" + string(r[len(r)-tail:])
}

// wordDiff aligns two texts; the first entry may be words that stayed alone.
func wordDiff(old, new string) []replacement {
	a, b := splitWords(old), splitWords(new)
	var head, tail int
	for head < min(len(a), len(b)) && a[head] == b[head] {
		head++
	}
	for tail < min(len(a), len(b))-head && a[len(a)-1-tail] == b[len(b)-1-tail] {
		tail++
	}
	var out []replacement
	if head > 0 {
		out = append(out, replacement{kept: strings.Join(a[:head], "")})
	}
	out = append(out, replaced(a[head:len(a)-tail], b[head:len(b)-tail])...)
	out[len(out)-1].kept += strings.Join(a[len(a)-tail:], "")
	return out
}

// splitWords cuts a text into words, numbers, runs of spaces and single other characters;
// joined they are the text again.
func splitWords(s string) []string {
	var out []string
	start, last := 0, 0
	for i, r := range s {
		k := kindOf(r)
		if k == 0 && inNumber(s[:i], s[i:]) {
			k = wordKind
		}
		if i > start && (k != last || k == 0) {
			out = append(out, s[start:i])
			start = i
		}
		last = k
	}
	if start < len(s) {
		out = append(out, s[start:])
	}
	return out
}

const (
	spaceKind = 1
	wordKind  = 2
)

func kindOf(r rune) int {
	switch {
	case unicode.IsSpace(r):
		return spaceKind
	case unicode.IsLetter(r) || unicode.IsDigit(r) || unicode.IsMark(r):
		return wordKind
	}
	return 0
}

// inNumber reports a point or comma between digits, and a sign before them that stands
// at the beginning or in an exponent: half a number says nothing.
func inNumber(before, from string) bool {
	r, n := utf8.DecodeRuneInString(from)
	next, _ := utf8.DecodeRuneInString(from[n:])
	last, n := utf8.DecodeLastRuneInString(before)
	switch {
	case !unicode.IsDigit(next):
		return false
	case r == '.' || r == ',':
		return unicode.IsDigit(last)
	case r == '-' || r == '+' || r == '−':
		first, _ := utf8.DecodeLastRuneInString(before[:len(before)-n])
		return kindOf(last) != wordKind || (last == 'e' || last == 'E') && unicode.IsDigit(first)
	}
	return false
}

// replacement is words that gave way to others, and those after them that stayed.
type replacement struct{ old, new, kept string }

// replaced aligns two texts by their longest common subsequence of words.
func replaced(a, b []string) []replacement {
	if len(a)*len(b) > mostWordPairs {
		return []replacement{{old: strings.Join(a, ""), new: strings.Join(b, "")}}
	}
	var out []replacement
	var r replacement
	i, j := 0, 0
	for _, pair := range common(len(a), len(b), func(i, j int) bool { return a[i] == b[j] }) {
		if (i < pair[0] || j < pair[1]) && r != (replacement{}) {
			out = append(out, r)
			r = replacement{}
		}
		r.old += strings.Join(a[i:pair[0]], "")
		r.new += strings.Join(b[j:pair[1]], "")
		r.kept += a[pair[0]]
		i, j = pair[0]+1, pair[1]+1
	}
	if i < len(a) || j < len(b) {
		if r.kept != "" {
			out = append(out, r)
			r = replacement{}
		}
		r.old, r.new = strings.Join(a[i:], ""), strings.Join(b[j:], "")
	}
	return joinOverSpaces(append(out, r))
}

// joinOverSpaces makes one replacement of several that only a space keeps apart: a
// rewritten phrase reads better whole than word against word.
func joinOverSpaces(list []replacement) []replacement {
	var out []replacement
	for _, r := range list {
		if n := len(out); n > 0 && strings.TrimSpace(out[n-1].kept) == "" && out[n-1].old+out[n-1].new != "" && r.old+r.new != "" {
			last := &out[n-1]
			last.old, last.new, last.kept = last.old+last.kept+r.old, last.new+last.kept+r.new, r.kept
			continue
		}
		out = append(out, r)
	}
	return out
}

// common is a longest common subsequence, as pairs of indexes.
func common(n, m int, same func(i, j int) bool) [][2]int {
	lengths := make([]int32, (n+1)*(m+1))
	at := func(i, j int) *int32 { return &lengths[i*(m+1)+j] }
	for i := n - 1; i >= 0; i-- {
		for j := m - 1; j >= 0; j-- {
			if same(i, j) {
				*at(i, j) = *at(i+1, j+1) + 1
			} else {
				*at(i, j) = max(*at(i+1, j), *at(i, j+1))
			}
		}
	}
	var out [][2]int
	for i, j := 0, 0; i < n && j < m; {
		switch {
		case same(i, j):
			out = append(out, [2]int{i, j})
			i, j = i+1, j+1
		case *at(i+1, j) >= *at(i, j+1):
			i++
		default:
			j++
		}
	}
	return out
}

// bag counts the words of a text, for likeness.
func bag(s string) map[string]int {
	out := map[string]int{}
	for _, w := range splitWords(s) {
		if strings.IndexFunc(w, func(r rune) bool { return unicode.IsLetter(r) || unicode.IsDigit(r) }) >= 0 {
			out[strings.ToLower(w)]++
		}
	}
	return out
}

// likeness of two bags of words, from 0 to 1: twice what they share to all that they
// hold (Dice 1945).
func likeness(a, b map[string]int) float64 {
	shared, all := 0, 0
	for w, n := range a {
		shared += min(n, b[w])
		all += n
	}
	for _, n := range b {
		all += n
	}
	if all == 0 {
		return 0
	}
	return 2 * float64(shared) / float64(all)
}

// alike is the likeness from which two texts are taken for versions of one.
const alike = 0.5
