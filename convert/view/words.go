package view

import (
	_ "embed"
	"encoding/json"
	"html/template"
	"slices"
	"strings"
	"unicode"

	"planfold/convert/step"
)

//go:embed words.json
var wordsText []byte

// words are the page's own, the same in the browser and on paper.
var words = func() (w struct {
	Signals     map[string]map[string][]string // words by language and level
	Pieces      []string                       // unit codes, UN/ECE Recommendation 20: one, each, piece
	RightToLeft []string
	Languages   map[string]map[string]string
},
) {
	if err := json.Unmarshal(wordsText, &w); err != nil {
		panic("view: internal error: words.json: " + err.Error())
	}
	return w
}()

// language is the one that a document is written in.
type language string

func primary(lang string) string {
	lang, _, _ = strings.Cut(strings.ToLower(lang), "-")
	return lang
}

// own is the language of the page's own words: English where there are none.
func (l language) own() string {
	if words.Languages[primary(string(l))] == nil {
		return "en"
	}
	return primary(string(l))
}

func (l language) word(key string) string {
	if w := words.Languages[l.own()][key]; w != "" {
		return w
	}
	return words.Languages["en"][key]
}

func direction(lang string) string {
	if slices.Contains(words.RightToLeft, primary(lang)) {
		return "rtl"
	}
	return "ltr"
}

// chosen is the text to show: in the very language, else in one of its kind, else the first.
func (l language) chosen(texts step.Texts) *step.Localized {
	if len(texts) == 0 {
		return nil
	}
	at := slices.IndexFunc(texts, func(t step.Localized) bool { return strings.EqualFold(t.Lang, string(l)) })
	if at < 0 {
		at = slices.IndexFunc(texts, func(t step.Localized) bool { return primary(t.Lang) == primary(string(l)) })
	}
	return &texts[max(at, 0)]
}

// say writes a text with its language, where that is another than the document's.
func (l language) say(texts step.Texts) template.HTML {
	t := l.chosen(texts)
	if t == nil {
		return ""
	}
	text := template.HTMLEscapeString(t.Text.Value)
	if t.Lang == "" || primary(t.Lang) == l.own() {
		return template.HTML(text)
	}
	return template.HTML(`<span lang="` + template.HTMLEscapeString(t.Lang) + `" dir="` + direction(t.Lang) + `">` + text + `</span>`)
}

// gravity is how grave a signal word is: the gravest of what is known of it in the
// languages that it is given in; "other" where nothing is.
func gravity(texts step.Texts) string {
	for _, level := range []string{"danger", "warning", "caution", "notice"} {
		for _, t := range texts {
			if levelOf(t) == level {
				return level
			}
		}
	}
	return "other"
}

// levelOf looks a signal word up in its language: the same word means less in one than in
// another. Without a language it must mean the same in all that have it.
func levelOf(t step.Localized) string {
	found, word := "", letters(t.Text.Value)
	for lang, levels := range words.Signals {
		if t.Lang != "" && lang != primary(t.Lang) {
			continue
		}
		for level, known := range levels {
			if !slices.Contains(known, word) {
				continue
			}
			if found != "" && found != level {
				return "other"
			}
			found = level
		}
	}
	return found
}

func letters(s string) string {
	return strings.Map(func(c rune) rune {
		if unicode.IsLetter(c) {
			return unicode.ToLower(c)
		}
		return -1
	}, s)
}

// duration writes a duration of ISO 8601 with the language's short units; what is none
// stays as it is.
func (l language) duration(iso string) string {
	found := step.Duration(iso)
	if found == nil {
		return iso
	}
	var out []string
	for i, unit := range strings.Fields(l.word("durationUnits")) {
		if n := found[i]; n != "" {
			out = append(out, n+"\u00a0"+unit)
		}
	}
	return strings.Join(out, " ")
}
