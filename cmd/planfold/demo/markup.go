package demo

import (
	"bytes"
	"encoding/xml"
	"strings"
)

// markup writes indented XML.
type markup struct {
	bytes.Buffer
	open []string
}

func (m *markup) indent() { m.WriteString(strings.Repeat("  ", len(m.open))) }

func (m *markup) tag(name string, attributes []string, end string) {
	m.WriteString("<" + name)
	for i := 0; i < len(attributes); i += 2 {
		if attributes[i+1] == "" {
			continue
		}
		m.WriteString(" " + attributes[i] + `="`)
		m.escape(attributes[i+1])
		m.WriteString(`"`)
	}
	m.WriteString(end)
}

func (m *markup) escape(text string) {
	// A bytes.Buffer takes everything.
	_ = xml.EscapeText(m, []byte(text))
}

// begin opens an element; attributes are names and values in turn, and those
// without a value are left out.
func (m *markup) begin(name string, attributes ...string) {
	m.indent()
	m.tag(name, attributes, ">\n")
	m.open = append(m.open, name)
}

func (m *markup) end() {
	name := m.open[len(m.open)-1]
	m.open = m.open[:len(m.open)-1]
	m.indent()
	m.WriteString("</" + name + ">\n")
}

// empty is an element without content.
func (m *markup) empty(name string, attributes ...string) {
	m.indent()
	m.tag(name, attributes, "/>\n")
}

// text is an element with text.
func (m *markup) text(name, text string, attributes ...string) {
	m.indent()
	m.tag(name, attributes, ">")
	m.escape(text)
	m.WriteString("</" + name + ">\n")
}

// rich is an element whose content is markup already.
func (m *markup) rich(name, content string, attributes ...string) {
	m.indent()
	m.tag(name, attributes, ">")
	m.WriteString(content + "</" + name + ">\n")
}

// both is one element in each language; empty words are left out.
func (m *markup) both(name string, w words) {
	if w.en == "" {
		return
	}
	m.text(name, w.en, "xml:lang", "en")
	m.text(name, w.de, "xml:lang", "de")
}
