package step

import (
	"strings"
	"unicode"
	"unicode/utf8"
)

// Signal words of ANSI Z535.6 and ISO 3864-2, and what stands for them in other
// languages, by their first letter.
var signalWords = map[byte][]string{
	'a': {"attention", "avertissement", "achtung"},
	'c': {"caution"},
	'd': {"danger"},
	'g': {"gefahr"},
	'n': {"notice"},
	'v': {"vorsicht"},
	'w': {"warning", "warnung"},
}

// BeginsWithSignalWord reports a text that begins with a signal word which is set apart
// from what follows: in capitals, or by a mark behind it. A warning lamp warns of
// nothing. One word alone counts in capitals, as signal words are written: "warning" may
// be a kind of anything.
func BeginsWithSignalWord(text string) bool {
	for {
		text = strings.TrimLeftFunc(text, isBefore)
		tag, is := strings.CutPrefix(text, "<") // HTML written as text
		if !is {
			break
		}
		if _, text, is = strings.Cut(tag, ">"); !is {
			return false
		}
	}
	if len(text) < 6 {
		return false
	}
	for _, word := range signalWords[text[0]|0x20] {
		if len(text) >= len(word) && strings.EqualFold(text[:len(word)], word) {
			return setApart(text[:len(word)], text[len(word):])
		}
	}
	return false
}

// isBefore reports what may stand before a signal word: blanks, brackets, quotes, marks of
// a list, the sign.
func isBefore(c rune) bool {
	return unicode.IsSpace(c) || strings.ContainsRune("[(*!\"'„“”«»•·–—-⚠\ufe0f", c)
}

func setApart(word, rest string) bool {
	next, _ := utf8.DecodeRuneInString(rest)
	then := strings.TrimLeftFunc(rest, unicode.IsSpace) // French has a blank that holds before a colon
	switch {
	case unicode.IsLetter(next) || unicode.IsDigit(next) || strings.HasPrefix(rest, "-"):
		return false
	case word == strings.ToUpper(word):
		return true
	case then == "":
		return false
	}
	mark, _ := utf8.DecodeRuneInString(then)
	return strings.ContainsRune(":!.,;])*<–—-", mark)
}
