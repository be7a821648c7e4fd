package plan

import (
	"bytes"
	"io"
	"regexp"

	"planfold/convert/diag"
)

// scan takes the token at the start of the window, and goes behind it.
func (r *reader) scan() (*fault, error) {
	s := r.source
	if s.token()[0] != '<' {
		return r.scanText()
	}
	if len(s.token()) == 1 {
		if err := s.fill(); err != nil {
			return r.explain(err, "a tag")
		}
	}
	switch s.token()[1] {
	case '/':
		return r.scanEndTag()
	case '?':
		return r.scanInstruction()
	case '!':
		return r.scanDeclaration()
	}
	return r.scanStartTag()
}

// scanDeclaration takes what starts with "<!".
func (r *reader) scanDeclaration() (*fault, error) {
	isComment, err := r.source.starts("<!--")
	if isComment {
		return r.scanComment()
	}
	isCDATA := false
	if err == nil || err == io.EOF {
		isCDATA, err = r.source.starts(cdataStart)
	}
	switch {
	case isCDATA:
		return r.scanCDATA()
	case err != nil:
		return r.explain(err, "a comment, a CDATA section or a document type")
	}
	return r.scanDocumentType()
}

// skip goes behind a token of n bytes.
func (r *reader) skip(n int) {
	r.at = r.at.after(r.source.token()[:n])
	r.source.start += n
}

// wrongAt places a fault in the token.
func (r *reader) wrongAt(i int, wrong *fault) *fault {
	r.at = r.at.after(r.source.token()[:i])
	return wrong
}

func (r *reader) scanText() (*fault, error) {
	n, err := r.source.index(0, '<')
	if err != nil && err != io.EOF {
		return r.explain(err, "")
	}
	if wrong := r.characters(r.source.token()[:n]); wrong != nil {
		return wrong, nil
	}
	r.skip(n)
	return nil, nil
}

// through finds a mark in the token, after its first bytes, and returns the offset
// behind it.
func (r *reader) through(first int, mark string) (int, error) {
	last := mark[len(mark)-1]
	for from := first + len(mark) - 1; ; {
		for len(r.source.token()) < from {
			if err := r.source.fill(); err != nil {
				return 0, err
			}
		}
		i, err := r.source.index(from, last)
		if err != nil {
			return 0, err
		}
		if from = i + 1; string(r.source.token()[from-len(mark):from]) == mark {
			return from, nil
		}
	}
}

func (r *reader) scanComment() (*fault, error) {
	n, err := r.through(len("<!--"), "--")
	if err == nil && len(r.source.token()) == n {
		err = r.source.fill()
	}
	if err != nil {
		return r.explain(err, "a comment")
	}
	if r.source.token()[n] != '>' {
		return r.wrongAt(n-2, malformed("two dashes inside of a comment")), nil
	}
	r.skip(n + 1)
	return nil, nil
}

func (r *reader) scanCDATA() (*fault, error) {
	n, err := r.through(len(cdataStart), "]]>")
	if err != nil {
		return r.explain(err, "a CDATA section")
	}
	if wrong := r.cdata(r.source.token()[:n]); wrong != nil {
		return wrong, nil
	}
	r.skip(n)
	return nil, nil
}

// scanInstruction checks a processing instruction; it is not kept.
func (r *reader) scanInstruction() (*fault, error) {
	const start = len("<?")
	n, err := r.through(start, "?>")
	text := r.source.token()[start:]
	if err == nil {
		text = text[:n-start-len("?>")]
	}
	length := NameLength(text)
	switch name, rest := text[:length], text[length:]; {
	case bytes.EqualFold(name, []byte("xml")):
		return malformed("an XML declaration that is not at the very start of the file"), nil
	case length == 0:
		return r.wrongAt(start, malformed("a processing instruction without a name")), nil
	case length > maxName:
		return limit("a name is longer than %d bytes", maxName), nil
	case len(rest) > 0 && !isSpace(rest[0]):
		return r.wrongAt(start+length, malformed("no white space behind the name of the processing instruction <?%s", shown(name))), nil
	case err != nil:
		return r.explain(err, "a processing instruction")
	}
	r.skip(n)
	return nil, nil
}

// scanDocumentType tolerates one declaration that declares nothing itself, before
// the root element. What it refers to is not read.
func (r *reader) scanDocumentType() (*fault, error) {
	is, err := r.source.starts("<!DOCTYPE")
	if err == nil && !is {
		return malformed("a markup declaration that is not a comment, a CDATA section or a document type"), nil
	}
	if err == nil && (r.hadRoot || r.hadType) {
		return malformed("a document type declaration that is not the first, or not before the root element"), nil
	}
	if err != nil {
		return r.explain(err, "a document type declaration")
	}
	n, err := r.typeEnd()
	text := r.source.token()
	if form := len(typeForm.Find(text[:n])); form < n {
		return r.wrongAt(form, malformed("the document type declaration is not as it must be")), nil
	}
	switch {
	case err != nil:
		return r.explain(err, "a document type declaration")
	case text[n] == '[':
		return r.wrongAt(n, &fault{diag.PlanEntity, "the document type declares entities or the like in the export itself"}), nil
	}
	r.hadType = true
	r.skip(n + 1)
	return nil, nil
}

// typeEnd finds the first ">" or "[" of a document type declaration that is in no
// quotes, or where the export ends, and then why.
func (r *reader) typeEnd() (int, error) {
	var quote byte
	for i := 0; ; {
		t := r.source.token()
		for ; i < len(t); i++ {
			switch b := t[i]; {
			case b == quote:
				quote = 0
			case quote != 0:
			case b == '"' || b == '\'':
				quote = b
			case b == '>' || b == '[':
				return i, nil
			}
		}
		if err := r.source.fill(); err != nil {
			return i, err
		}
	}
}

// typeForm is a document type declaration without an internal subset (XML 1.0,
// production 28), up to its end.
var typeForm = regexp.MustCompile(`^<!DOCTYPE[ \t\r\n]+[\pL_][\pL\pN_.·-]*(?::[\pL_][\pL\pN_.·-]*)?` +
	`(?:[ \t\r\n]+(?:SYSTEM|PUBLIC[ \t\r\n]+(?:"[-a-zA-Z0-9 \r\n'()+,./:=?;!*#@$_%]*"|'[-a-zA-Z0-9 \r\n()+,./:=?;!*#@$_%]*'))` +
	`[ \t\r\n]+(?:"[^"]*"|'[^']*'))?[ \t\r\n]*`)

func (r *reader) scanEndTag() (*fault, error) {
	n, err := r.source.index(0, '>')
	t := r.source.token()
	if err == nil {
		t = t[:n]
	}
	name := t[len("</"):]
	length, _, ok := qName(name)
	i := len("</") + length
	space := skipSpace(t[i:])
	switch {
	case !ok && i+space < len(t):
		return r.wrongAt(i+space, malformed("an end tag without a name")), nil
	case i+space < len(t):
		return r.wrongAt(i+space, malformed("an end tag </%s with more than a name", shown(name[:length]))), nil
	case err != nil:
		return r.explain(err, "an end tag")
	}
	r.endText()
	if wrong, err := r.close(name[:length]); wrong != nil || err != nil {
		return wrong, err
	}
	r.skip(n + 1)
	return nil, nil
}
