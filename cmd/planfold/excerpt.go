package main

import (
	"bufio"
	"bytes"
	"fmt"
	"io"
	"maps"
	"slices"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"planfold/convert"
	"planfold/convert/diag"
	"planfold/rules"
)

// texts are the files that diagnostics point into, by the name that they use.
type texts map[string]func() (io.ReadCloser, error)

func ruleTexts(files []rules.File) texts {
	out := texts{}
	for _, f := range files {
		out[f.Name] = func() (io.ReadCloser, error) { return io.NopCloser(bytes.NewReader(f.Data)), nil }
	}
	return out
}

// planTexts leaves out plans of which several have one name.
func planTexts(plans []convert.Source) texts {
	out := texts{}
	for _, s := range plans {
		if _, twice := out[s.Base]; twice {
			out[s.Base] = nil
			continue
		}
		out[s.Base] = s.Open
	}
	return out
}

// lineOf is a place of a text.
type lineOf struct {
	file string
	line int
}

// widest is the longest line that is shown from; a plan may be one line.
const widest = 1 << 16

// lines reads the lines that diagnostics point at, each file once and no further
// than needed. A file that cannot be read now gives none.
func (t texts) lines(list diag.List) map[lineOf]string {
	wanted := map[string]map[int]bool{}
	for _, d := range list {
		p := d.Position
		if t[p.File] == nil || p.Line == 0 {
			continue
		}
		if wanted[p.File] == nil {
			wanted[p.File] = map[int]bool{}
		}
		wanted[p.File][p.Line] = true
	}
	out := map[lineOf]string{}
	for name, numbers := range wanted {
		if f, err := t[name](); err == nil {
			readLines(f, slices.Sorted(maps.Keys(numbers)), func(n int, text string) { out[lineOf{name, n}] = text })
			f.Close()
		}
	}
	return out
}

// readLines hands over the lines with the given numbers, which are sorted.
func readLines(r io.Reader, numbers []int, take func(int, string)) {
	b := bufio.NewReaderSize(r, widest)
	for line := 1; len(numbers) > 0; line++ {
		text, err := b.ReadSlice('\n')
		if line == numbers[0] {
			take(line, strings.TrimRight(strings.TrimPrefix(string(text), "\ufeff"), "\r\n"))
			numbers = numbers[1:]
		}
		for err == bufio.ErrBufferFull {
			_, err = b.ReadSlice('\n')
		}
		if err != nil {
			return
		}
	}
}

// printPlace shows the line that a position is in, with a caret below the column.
// Of a long line only what is around the column is shown.
func printPlace(w io.Writer, p diag.Position, lines map[lineOf]string) {
	text, ok := lines[lineOf{p.File, p.Line}]
	r := []rune(text)
	if !ok || strings.TrimSpace(text) == "" || p.Column < 1 || p.Column > len(r)+1 || !utf8.ValidString(text) {
		return
	}
	const around = 60
	at := p.Column - 1
	from, to := max(0, at-around), min(len(r), at+around)
	head, tail := "", ""
	if from > 0 {
		head = "…"
	}
	if to < len(r) {
		tail = "…"
	}
	number := strconv.Itoa(p.Line)
	fmt.Fprintf(w, "  %s | %s%s%s\n", number, head, printable(r[from:to]), tail)
	fmt.Fprintf(w, "  %s | %s^\n", strings.Repeat(" ", len(number)), strings.Repeat(" ", len([]rune(head))+at-from))
}

// printable has one column a character, and nothing that a terminal obeys.
func printable(r []rune) string {
	return strings.Map(func(c rune) rune {
		switch {
		case c == '\t':
			return ' '
		case !unicode.IsPrint(c):
			return '\ufffd'
		}
		return c
	}, string(r))
}
