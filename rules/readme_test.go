package rules

import (
	"fmt"
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"planfold/rules/action"
)

// The tables of the reference are those that the code follows.
func TestReferenceIsTrue(t *testing.T) {
	text := string(readFile(t, "README.md"))
	want := text
	for name, table := range map[string]string{"fields": fieldTable(), "actions": actionTable(), "values": valueTable(), "variables": variableTable(), "assigned": assignedTable()} {
		section := regexp.MustCompile(`(?s)(<!-- generated: ` + name + ` -->\n).*?(<!-- end -->)`)
		require.True(t, section.MatchString(text), name)
		want = section.ReplaceAllStringFunc(want, func(s string) string {
			m := section.FindStringSubmatch(s)
			return m[1] + table + m[2]
		})
	}
	if *update {
		require.NoError(t, os.WriteFile("README.md", []byte(want), 0o644))
		return
	}
	assert.Equal(t, want, text, "go test ./rules -update rewrites the tables")
}

func variableTable() string {
	var b strings.Builder
	b.WriteString("| for | variables |\n|---|---|\n")
	for _, kind := range action.Kinds {
		fmt.Fprintf(&b, "| %s | %s |\n", kind, strings.Join(slices.Concat(variables[kind], constants), ", "))
	}
	return b.String()
}

func assignedTable() string {
	var b strings.Builder
	b.WriteString("| of | field | type | what it is |\n|---|---|---|---|\n")
	for _, f := range assignedFields {
		fmt.Fprintf(&b, "| %s | `%s` | %s | %s |\n", f.kind, f.name, strings.ReplaceAll(f.typ.String(), "planfold.", ""), f.says)
	}
	return b.String()
}

func fieldTable() string {
	var b strings.Builder
	b.WriteString("| record | field | type | what it is |\n|---|---|---|---|\n")
	for _, k := range kinds() {
		for i, f := range k.fields {
			name := k.name
			if i > 0 {
				name = ""
			}
			typ := f.typ.String()
			switch {
			case f.of != nil:
				typ = "records: " + f.of.name
			case f.allowed != nil:
				typ = strings.Join(f.allowed, " or ")
			}
			for _, n := range k.needed {
				if n == f.name {
					typ += " (needed)"
				}
			}
			fmt.Fprintf(&b, "| %s | `%s` | %s | %s |\n", name, f.name, typ, f.said(k))
		}
	}
	return b.String()
}

func actionTable() string {
	var b strings.Builder
	b.WriteString("| action | for | takes | does |\n|---|---|---|---|\n")
	for _, r := range action.Rows() {
		fmt.Fprintf(&b, "| `%s` | %s | %s | %s |\n", r.Name, strings.Join(r.For, ", "), r.Takes, r.Does)
	}
	return b.String()
}

func valueTable() string {
	var b strings.Builder
	b.WriteString("| key | meaning |\n|---|---|\n")
	for _, k := range valueKeys {
		fmt.Fprintf(&b, "| `%s` | %s |\n", k.name, k.says)
	}
	return b.String()
}
