package selector

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"planfold/convert/plan"
)

const watched = `<op kind="real" spare="1"><title lang="en">Fit</title><file url="a.stl" size="3"/><file url="b.png"/>
<note>n</note><step id="S-1"><text>t</text></step></op>`

func collect(into *[]string) Seen {
	return func(e *plan.Element, attribute int) {
		name := e.Name.Local
		if attribute >= 0 {
			name += "/@" + e.Attributes[attribute].Name.Local
		}
		*into = append(*into, name)
	}
}

func TestWatchTellsWhatAPathAsksFor(t *testing.T) {
	e := record(t, watched, "op")
	for path, want := range map[string]string{
		"title":                            "title",
		"title/text()":                     "title",
		"@kind":                            "op/@kind",
		"file[@url='b.png']":               "file file/@url",
		"file[substring(@url,1)='']/@size": "file/@url",
		"title | note":                     "note title",
		"step[text]/@id":                   "step/@id text",
		"concat(title, @kind)":             "op/@kind title",
		"count(file)":                      "file",
		"title[string-length() > 9]":       "title",
		"file[local-name()='file'][name(..)='op']/@url": "file file/@url op",
		"local-name(note)":                  "note",
		"step/text[ancestor::op/@spare]":    "op/@spare text",
		"gone":                              "",
		"boolean(note) or title":            "note",
		"(file)[2]/@url":                    "file/@url",
		"sum(file[1]/@size) + number(note)": "file/@size note",
	} {
		p, err := Compile(path, nil)
		require.NoError(t, err, path)
		var told []string
		got := p.Watch(e, collect(&told))
		slices.Sort(told)
		assert.Equal(t, want, strings.Join(slices.Compact(told), " "), path)
		assert.Equal(t, fmt.Sprint(p.Select(e)), fmt.Sprint(got), "watching changes nothing")
	}
}

func TestWatchTellsOfThePredicatesOfAPattern(t *testing.T) {
	e := record(t, watched, "op").Content[5].Element
	require.Equal(t, "step", e.Name.Local)
	m, err := CompileMatch("//op[@kind='real']/step[@id] | //step[@gone] | //note", nil)
	require.NoError(t, err)
	var told []string
	assert.True(t, m.Watch(e, collect(&told)))
	slices.Sort(told)
	assert.Equal(t, []string{"op/@kind", "step/@id"}, told)
	assert.False(t, m.Watch(e.Parent, collect(&told)))
	assert.Len(t, told, 2)
}
