package table

import (
	"encoding/csv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"planfold/rules/document"
)

func read(t *testing.T, text, key string) (*Table, []string) {
	t.Helper()
	var faults document.Faults
	table := Read("t.csv", []byte(text), key, &faults)
	var said []string
	for _, d := range faults.List() {
		said = append(said, d.String())
	}
	return table, said
}

func TestTablesAreReadHoweverTheyAreSeparated(t *testing.T) {
	for _, text := range []string{"k,v\na,\"1,5\"\nb,2\n", "\ufeffk;v\r\na;1,5\r\nb; 2 \r\n", "k\tv\na\t1,5\nb\t2"} {
		table, faults := read(t, text, "k")
		require.Empty(t, faults)
		assert.Equal(t, []string{"k", "v"}, table.Columns)
		assert.Equal(t, []string{"a", "1,5"}, table.Row("a").Cells)
		assert.Equal(t, []string{"b", "2"}, table.Row("b").Cells)
		assert.Nil(t, table.Row("c"))
	}
}

func TestFaultsStandAtTheirCharacter(t *testing.T) {
	for text, want := range map[string]string{
		"k,v\nä,1\nä,2\n":          `t.csv:3:1: error RULE_TABLE_KEY: the key "ä" stands in line 2 already`,
		"v,k\nää,a\nöö,\n":         "t.csv:3:4: error RULE_TABLE_KEY: the row has no key",
		"k,v\nää,\"1\"2\n":         "t.csv:2:6: error RULE_TABLE_MALFORMED",
		"k,v\nää,1,3\n":            "t.csv:2:6: error RULE_TABLE_MALFORMED: the row has 3 cells, and the table 2 columns",
		"k,v\na\xe4,1\n":           "t.csv:2:2: error RULE_TABLE_MALFORMED: the table is not in UTF-8",
		"key,v\n":                  `t.csv:1:1: error RULE_TABLE_KEY: the table has no column "k"`,
		"k,k\n":                    `t.csv:1:3: error RULE_TABLE_MALFORMED: a column named "k" stands here already`,
		"k,v\n\"a\n\nb\",1\na,2,3": "t.csv:5:5: error RULE_TABLE_MALFORMED",
	} {
		table, faults := read(t, text, "k")
		assert.Nil(t, table, text)
		require.NotEmpty(t, faults, text)
		assert.Contains(t, faults[0], want, text)
	}
}

// The standard library's reader is the second opinion on what the cells are.
func FuzzRead(f *testing.F) {
	for _, s := range []string{"k,v\na,1\n", "k;v\na;1\n", "k,v\n\"a\"\"\",\n", "\ufeffk\n", "k,v\na\n", "k\n\xff"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		var faults document.Faults
		table := Read("t.csv", []byte(text), "k", &faults)
		if (table == nil) != faults.Any() {
			t.Fatal("a table with faults, or none without", faults.List())
		}
		for _, d := range faults.List() {
			if d.Position.Line < 1 || d.Position.Column < 1 {
				t.Fatal(d)
			}
		}
		if table == nil {
			return
		}
		c := csv.NewReader(strings.NewReader(strings.TrimPrefix(text, "\ufeff")))
		c.Comma = separator([]byte(strings.TrimPrefix(strings.SplitN(text, "\n", 2)[0], "\ufeff")))
		rows, err := c.ReadAll()
		if err != nil || len(rows) != len(table.Rows)+1 {
			t.Fatal(err, len(rows), len(table.Rows))
		}
		for _, r := range table.Rows {
			if table.Row(r.Key) != r || r.Key == "" {
				t.Fatal(r)
			}
		}
	})
}
