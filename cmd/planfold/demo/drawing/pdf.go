package drawing

import (
	"bytes"
	"fmt"
	"strings"
)

// PDF is a one-page data sheet after ISO 32000-1: a heading, and rows of a name
// and its text; a row without a name is a heading of its own. Characters beyond
// Latin-1 become question marks.
func PDF(heading string, rows [][2]string) []byte {
	content := page(heading, rows)
	objects := []string{
		"<< /Type /Catalog /Pages 2 0 R /Lang (en) >>",
		"<< /Type /Pages /Kids [3 0 R] /Count 1 >>",
		"<< /Type /Page /Parent 2 0 R /MediaBox [0 0 595 842] /Contents 4 0 R /Resources << /Font << /F 5 0 R /B 6 0 R >> >> >>",
		fmt.Sprintf("<< /Length %d >>\nstream\n%s\nendstream", len(content), content),
		"<< /Type /Font /Subtype /Type1 /BaseFont /Helvetica /Encoding /WinAnsiEncoding >>",
		"<< /Type /Font /Subtype /Type1 /BaseFont /Helvetica-Bold /Encoding /WinAnsiEncoding >>",
	}
	var b bytes.Buffer
	b.WriteString("%PDF-1.4\n%\xe2\xe3\xcf\xd3\n")
	at := make([]int, len(objects))
	for i, o := range objects {
		at[i] = b.Len()
		fmt.Fprintf(&b, "%d 0 obj\n%s\nendobj\n", i+1, o)
	}
	start := b.Len()
	fmt.Fprintf(&b, "xref\n0 %d\n0000000000 65535 f \n", len(objects)+1)
	for _, o := range at {
		fmt.Fprintf(&b, "%010d 00000 n \n", o)
	}
	fmt.Fprintf(&b, "trailer\n<< /Size %d /Root 1 0 R >>\nstartxref\n%d\n%%%%EOF\n", len(objects)+1, start)
	return b.Bytes()
}

func page(heading string, rows [][2]string) string {
	var b strings.Builder
	text := func(font string, size, x, y int, s string) {
		fmt.Fprintf(&b, "BT /%s %d Tf %d %d Td (%s) Tj ET\n", font, size, x, y, pdfText(s))
	}
	text("B", 18, 50, 780, heading)
	b.WriteString("0.11 0.37 0.54 RG 1.5 w 50 768 m 545 768 l S\n")
	y := 742
	for _, r := range rows {
		if r[0] == "" {
			y -= 10
			text("B", 12, 50, y, r[1])
			y -= 20
			continue
		}
		text("B", 10, 50, y, r[0])
		for _, l := range wrapped(r[1], 68) {
			text("F", 10, 190, y, l)
			y -= 14
		}
		y -= 4
	}
	return b.String()
}

// wrapped breaks text into lines of about n characters.
func wrapped(text string, n int) []string {
	var lines []string
	line := ""
	for _, w := range strings.Fields(text) {
		if line != "" && len(line)+len(w) >= n {
			lines = append(lines, line)
			line = ""
		}
		line = strings.TrimSpace(line + " " + w)
	}
	return append(lines, line)
}

// pdfText escapes s for a PDF string. Latin-1 is the same in the fonts' encoding.
func pdfText(s string) string {
	var b strings.Builder
	for _, r := range s {
		switch {
		case r == '(' || r == ')' || r == '\\':
			b.WriteByte('\\')
			b.WriteByte(byte(r))
		case r < 0x80 || r >= 0xa0 && r <= 0xff:
			b.WriteByte(byte(r))
		default:
			b.WriteByte('?')
		}
	}
	return b.String()
}
