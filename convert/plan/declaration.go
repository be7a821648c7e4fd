package plan

import "regexp"

// declarationForm is the XML declaration (XML 1.0, production 23).
var declarationForm = regexp.MustCompile(`^<\?xml` +
	`[ \t\r\n]+version[ \t\r\n]*=[ \t\r\n]*(?:"1\.[0-9]+"|'1\.[0-9]+')` +
	`(?:[ \t\r\n]+encoding[ \t\r\n]*=[ \t\r\n]*(?:"([A-Za-z][A-Za-z0-9._-]*)"|'([A-Za-z][A-Za-z0-9._-]*)'))?` +
	`(?:[ \t\r\n]+standalone[ \t\r\n]*=[ \t\r\n]*(?:"(?:yes|no)"|'(?:yes|no)'))?` +
	`[ \t\r\n]*\?>`)

// declaration reads the XML declaration at the start of head: its length and the
// encoding it names; ok is false when there is one and it is not as it must be.
func declaration(head []byte) (length int, encoding string, ok bool) {
	if len(head) < 6 || string(head[:5]) != "<?xml" || !isSpace(head[5]) {
		return 0, "", true
	}
	m := declarationForm.FindSubmatch(head)
	if m == nil {
		return 0, "", false
	}
	return len(m[0]), string(m[1]) + string(m[2]), true
}
