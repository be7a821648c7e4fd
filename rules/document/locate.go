package document

// locate finds where a character of a scalar's text stands in the source, by
// walking both side by side. What YAML took away (quotes, escapes, indentation,
// folded line ends) is stepped over. Where the two cannot be brought together the
// place of the scalar is given.
func (n *Node) locate(character int) (line, column int) {
	w := walk{lines: n.source.lines, line: n.Line - 1, column: n.Column - 1}
	w.open()
	text := []rune(n.Text)
	for i := 0; i <= min(character, len(text)-1); i++ {
		if !w.to(text[i]) {
			return n.Line, n.Column
		}
		if i == character {
			return w.line + 1, w.column + 1
		}
		w.step()
	}
	if len(text) == 0 {
		return n.Line, n.Column
	}
	return w.line + 1, w.column + 1
}

type walk struct {
	lines        []string
	line, column int
	quote        rune // ' or ", 0 when plain or block
	width        int  // of the character that was found, in the source
	split        int  // the line that characters holds, from 1; 0: none yet
	characters   []rune
}

// runes is the line that the walk is at.
func (w *walk) runes() []rune {
	if w.line >= len(w.lines) {
		return nil
	}
	if w.split != w.line+1 {
		w.split, w.characters = w.line+1, []rune(w.lines[w.line])
	}
	return w.characters
}

// open steps over what stands before the text: a quote or a block's header.
func (w *walk) open() {
	r := w.runes()
	if w.column >= len(r) {
		return
	}
	switch r[w.column] {
	case '\'', '"':
		w.quote = r[w.column]
		w.column++
	case '|', '>':
		w.line, w.column = w.line+1, 0
	}
}

// to moves on to the source of the character.
func (w *walk) to(want rune) bool {
	for w.line < len(w.lines) {
		r := w.runes()
		if w.column >= len(r) {
			w.width = 0
			if want == '\n' || want == ' ' {
				return true
			}
			w.line, w.column = w.line+1, 0
			continue
		}
		switch c := r[w.column]; {
		case w.quote == '"' && c == '\\':
			w.width = escapeWidth(r[w.column:])
			return true
		case w.quote == '\'' && c == '\'' && want == '\'':
			w.width = 2
			return true
		case c == want:
			w.width = 1
			return true
		case c == ' ' || c == '\t':
			w.column++
		default:
			return false
		}
	}
	return false
}

// step goes behind the character that was found.
func (w *walk) step() {
	if w.width == 0 {
		w.line, w.column = w.line+1, 0
		return
	}
	w.column += w.width
}

func escapeWidth(r []rune) int {
	if len(r) < 2 {
		return 1
	}
	return 2 + map[rune]int{'x': 2, 'u': 4, 'U': 8}[r[1]]
}
