package rules

import (
	"fmt"
	"regexp"
	"slices"
	"strings"

	"planfold/rules/document"
)

const syntaxError = "Syntax error: "

var (
	undefinedField = regexp.MustCompile(`^undefined field '([^']+)'`)
	undeclaredName = regexp.MustCompile(`^undeclared reference to '([^']+)'`)
	noOverload     = regexp.MustCompile(`^found no matching overload for '([^']+)' applied to '(.*)'$`)
	openText       = regexp.MustCompile(`^token recognition error at: '(["'].*)'$`)
	wholeObject    = regexp.MustCompile(`planfold\.(plan|item|operation|step|characteristic|occurrence)\b`)
	foreign        = regexp.MustCompile(`'(?i:and|or|not|=\s*)'`)
)

// plainly says what is wrong with a condition, and what to write instead, to people
// who know the plan and not CEL.
func (c *conditions) plainly(message, kind string) string {
	if m := undefinedField.FindStringSubmatch(message); m != nil {
		return c.unknownField(m[1], kind)
	}
	if m := undeclaredName.FindStringSubmatch(message); m != nil {
		if slices.Contains(c.seen(kind), m[1]) {
			return "a condition looks; it cannot make an object"
		}
		if near := document.Nearest(m[1], c.seen(kind)); near != "" && !slices.Contains(variables["part"], m[1]) {
			return fmt.Sprintf("%q is not known; did you mean %q?", m[1], near)
		}
		return fmt.Sprintf("%q is not known; with \"for: %s\" a condition sees %s; a text stands in quotes", m[1], kind, strings.Join(c.seen(kind), ", "))
	}
	if m := noOverload.FindStringSubmatch(message); m != nil {
		return fmt.Sprintf("%q takes no %s%s", strings.Trim(strings.ReplaceAll(m[1], "_", ""), "@"), typesPlainly.Replace(m[2]), instead(m[2]))
	}
	if m, ok := strings.CutPrefix(message, syntaxError); ok {
		return unreadable(m)
	}
	return typesPlainly.Replace(message) + instead(message)
}

// typesPlainly writes types as the reference does.
var typesPlainly = strings.NewReplacer("planfold.", "", ".()", "", "optional_type(", "perhaps(", "dyn", "anything")

func (c *conditions) unknownField(name, kind string) string {
	of := c.model.missed[name]
	known := c.model.fieldNames(of)
	for _, v := range c.seen(kind) {
		if v != of && !slices.Contains(constants, v) && c.model.fields[typeName(v)][name] != nil {
			return fmt.Sprintf("%s has no field %q; did you mean %q?", of, name, v+"."+name)
		}
	}
	if near := document.Nearest(name, known); near != "" {
		return fmt.Sprintf("%s has no field %q; did you mean %q?", of, name, near)
	}
	if len(known) == 0 {
		return fmt.Sprintf("%s has no field %q; the rules define none", of, name)
	}
	return fmt.Sprintf("%s has no field %q; it has %s", of, name, strings.Join(known, ", "))
}

// instead is what to write where the types do not fit.
func instead(types string) string {
	switch has := func(s string) bool { return strings.Contains(types, s) }; {
	case has("optional_type"):
		return "; what geometry taught may be unknown: add .orValue(…)"
	case has("list("):
		return "; a list is asked with .size(), .exists(x, …) or \"…\" in list"
	case has("null"):
		return "; what is not given is \"\", and has(…) tells whether it is given"
	case has("string") && wholeObject.MatchString(types):
		return fmt.Sprintf("; write %s.id to compare by the id", wholeObject.FindStringSubmatch(types)[1])
	case has("string") && (has("int") || has("double")):
		return "; decimal(…) is a text as a number"
	case has("int") && has("double"):
		return "; write 4.0 beside a number with decimals, and 4 beside a count"
	}
	return ""
}

func unreadable(message string) string {
	if m := openText.FindStringSubmatch(message); m != nil {
		return "a text without its closing quote: " + m[1]
	}
	// The list of all that could stand there helps no one.
	message, _, _ = strings.Cut(message, " expecting ")
	if strings.Contains(message, "'<EOF>'") {
		return "the condition ends where something is due"
	}
	if _, piece, ok := strings.Cut(message, "'"); ok {
		message = "'" + piece + " is not understood"
	}
	if foreign.MatchString(message) {
		message += "; write && for and, || for or, ! for not, == for equal"
	}
	return message
}
