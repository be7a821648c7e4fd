package selector

import (
	"errors"
	"testing"

	"github.com/stretchr/testify/assert"
)

// refusal is an expression that must be refused, with the column and a part of
// what is said.
type refusal struct {
	expr    string
	column  int
	message string
}

func refuse(t *testing.T, cases []refusal, compile func(string) error) {
	t.Helper()
	for _, c := range cases {
		err := compile(c.expr)
		var e *Error
		if assert.True(t, errors.As(err, &e), "%s: %v", c.expr, err) {
			assert.Equal(t, c.column, e.Column, "%s: %s", c.expr, e.Message)
			assert.Contains(t, e.Message, c.message, c.expr)
		}
	}
}

func TestCompileRefusesWhatIsNotXPath(t *testing.T) {
	refuse(t, []refusal{
		{"", 1, "the end where a name"},
		{"  ", 3, "the end"},
		{"op]", 3, "too much"},
		{"a b c", 3, "operator is due"},
		{"a[", 3, "the end"},
		{"a[1", 4, `"]" is due`},
		{"a[]", 3, "where a name"},
		{"(a", 3, `")" is due`},
		{"a)", 2, "too much"},
		{"a/", 3, "the end"},
		{"a//", 4, "the end"},
		{"a///b", 4, "where a name"},
		{"@", 2, "the end"},
		{"@@id", 2, "where a name"},
		{"a@id", 2, "too much"},
		{"'x", 1, "closing quote"},
		{"a = \"x", 5, "closing quote"},
		{"$x", 1, "no variables"},
		{"a/$x", 3, "where a name"},
		{"#", 1, "no meaning"},
		{"é = ü ~", 7, "no meaning"},
		{"p:", 2, "without a name"},
		{":a", 1, "no meaning"},
		{"a::b", 1, "no axis"},
		{"x:title", 1, `prefix "x" is not declared`},
		{"größe/x:title", 7, `prefix "x"`},
		{"foo(1)", 1, "no function"},
		{"p:foo(1)", 1, "no function"},
		{"ends-with(@a, 'b')", 1, "no function"},
		{"id('x')", 1, "not available"},
		{"comment()", 1, "no node that is kept"},
		{"a/processing-instruction('x')", 3, "no node that is kept"},
		{"text(1)", 6, `")" is due`},
		{"count()", 1, "takes 1 argument, not 0"},
		{"count(1)", 1, "takes nodes"},
		{"true(1)", 1, "takes 0 arguments"},
		{"concat('a')", 1, "at least 2"},
		{"substring('a')", 1, "2 to 3"},
		{"starts-with('a', 'b', 'c')", 1, "takes 2"},
		{"contains('a' 'b')", 14, `"," is due`},
		{"contains('a',", 14, "the end"},
		{"1 | a", 3, "needs nodes"},
		{"a | 'x'", 3, "needs nodes"},
		{"'x'[1]", 4, "needs nodes"},
		{"1/a", 2, "needs nodes"},
		{".[1]", 2, "a predicate cannot follow"},
		{"..[@a]", 3, "a predicate cannot follow"},
		{"a and", 6, "the end"},
		{"= 1", 1, "where a name"},
		{"1 = = 2", 5, "where a name"},
		{"a or or b", 9, "operator is due"},
		{"1.2.3", 4, "too much"},
		{"a,b", 2, "too much"},
		{"namespace::p", 1, "namespace axis"},
	}, func(s string) error { _, err := Compile(s, ns); return err })
}

func TestCompileRefusesPathsThatLeaveTheRecord(t *testing.T) {
	refuse(t, []refusal{
		{"/p:plan", 1, "leaves the record"},
		{"/", 1, "leaves the record"},
		{"//p:item", 1, "leaves the record"},
		{"p:part[@item = //p:item/@id]", 16, "leaves the record"},
		{"../p:title", 4, "leaves the record"},
		{"../../@id | ../*", 16, "leaves the record"},
		{"..//p:title", 5, "leaves the record"},
		{"ancestor::p:plan/p:title", 18, "leaves the record"},
		{"ancestor-or-self::*/p:title", 21, "leaves the record"},
		{"p:step/ancestor::p:x/p:y", 22, "leaves the record"},
		{"p:step/../../p:y", 14, "leaves the record"},
		{"@id/../../p:x", 11, "leaves the record"},
		{"following::p:x", 1, "leave the record"},
		{"p:step/preceding::p:x", 8, "leave the record"},
		{"following-sibling::p:x", 1, "beside the record"},
		{"p:step[../preceding-sibling::*]", 11, "beside the record"},
		{"..", 1, "boolean("},
		{"ancestor::p:plan", 1, "boolean("},
		{"@id | ancestor::p:plan", 5, "boolean("},
		{"string(..)", 8, "content of an element around"},
		{". = ../x", 8, "leaves the record"},
		{".. = 'x'", 1, "content of an element around"},
		{"ancestor::*[normalize-space() = 'x']/@id", 13, "content of an element around"},
		{"ancestor::*[. = 'x']/@id", 13, "content of an element around"},
		{"concat(@id, ancestor::p:x)", 13, "content of an element around"},
		{"sum(ancestor::*) > 1", 5, "content of an element around"},
		{"(../..)[p:x]/@id", 9, "leaves the record"},
	}, func(s string) error { _, err := Compile(s, ns); return err })
	for _, s := range []string{
		".", "..//@id", "../@id", "ancestor::*/@*", "p:a/../p:b", ".//p:a/../p:b", "p:a/ancestor::p:b/@id", "boolean(..)",
		"count(ancestor::*)", "name(ancestor::*[1])", "not(ancestor::p:x[@y]) and @z", "p:a/following-sibling::p:b[1]",
		"self::p:a/p:b", "p:a/self::node()/p:b", "@id/..", "ancestor::*[@id = 'x']/@n", "lang('en')",
	} {
		_, err := Compile(s, ns)
		if s == "..//@id" {
			assert.Error(t, err) // attributes of everything beside the record
			continue
		}
		assert.NoError(t, err, s)
	}
}

func TestCompileMatchRefusesWhatAStartTagDoesNotTell(t *testing.T) {
	refuse(t, []refusal{
		{"", 1, "the end"},
		{"item", 1, "starts with / or //"},
		{"/a | item", 6, "starts with / or //"},
		{"@id", 1, "starts with / or //"},
		{"/", 1, "names an element"},
		{"'x'", 1, "is a path from the document"},
		{"(//a)[1]", 1, "is a path from the document"},
		{"(//a)/b", 1, "is a path from the document"},
		{"count(//a)", 1, "is a path from the document"},
		{"//a/@id", 5, "not an attribute"},
		{"//@id", 3, "not an attribute"},
		{"//text()", 3, "not an attribute or a text"},
		{"//node()", 3, "write * for any"},
		{"/a/..", 4, "goes down"},
		{"/a/.", 4, "goes down"},
		{"/a/parent::b", 4, "goes down"},
		{"/a/following-sibling::b", 4, "goes down"},
		{"//a[1]", 5, "a position needs"},
		{"/a/b[2]/c", 6, "a position needs"},
		{"//a[@n + 1]", 8, "a position needs"},
		{"//a[position() = 1]", 5, "position() needs"},
		{"//a[last()]", 5, "a position needs"},
		{"//a[@x and last() > 1]", 12, "last() needs"},
		{"//a[b]", 5, "content of an element is not read yet"},
		{"//a[b/@c]", 5, "content of an element is not read yet"},
		{"//a[.//b]", 8, "content of an element is not read yet"},
		{"//a[. = 'x']", 5, "content of an element is not read yet"},
		{"//a[text()]", 5, "content of an element is not read yet"},
		{"//a[string() = 'x']", 5, "content of an element is not read yet"},
		{"//a[normalize-space(..) = 'x']", 21, "content of an element is not read yet"},
		{"//a[../b]", 8, "content of an element is not read yet"},
		{"//a[contains(., 'x')]", 14, "content of an element is not read yet"},
		{"//a[following-sibling::b]", 5, "beside are not known"},
		{"//a[count(b) = 1]", 11, "content of an element is not read yet"},
		{"//a[//b]", 5, "leaves the record"},
		{"//a]", 4, "too much"},
	}, func(s string) error { _, err := CompileMatch(s, ns); return err })
}
