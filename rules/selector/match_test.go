package selector

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"planfold/convert/plan"
)

// matched reads a document and returns the ids of the elements that are records
// when they are decided on as the reader does: at the start tag.
func matched(t *testing.T, pattern, text string) []string {
	t.Helper()
	m, err := CompileMatch(pattern, ns)
	require.NoError(t, err, pattern)
	ids := []string{}
	found, err := plan.Read(strings.NewReader(text), "t.xml", func(e *plan.Element) bool {
		if m.Matches(e) {
			ids = append(ids, e.Attributes[0].Value)
		}
		return e.Parent == nil // one record around, whose content is partly there
	}, func(*plan.Element) error { return nil })
	require.NoError(t, err)
	require.Empty(t, found)
	return ids
}

func TestMatches(t *testing.T) {
	const text = `<plan id="P" xmlns="urn:planfold:plan:1" xmlns:q="urn:other">
 <list id="L" draft="no"><item id="1"/><item id="2" class="bolt"/><q:item id="3"/><group id="G"><item id="4" class="bolt"/></group></list>
 <list id="M" draft="yes"><item id="5"/><item id="6" xmlns=""/></list>
</plan>`
	for pattern, want := range map[string][]string{
		"/p:plan":                            {"P"},
		"/*":                                 {"P"},
		"/plan":                              {},
		"/p:list":                            {},
		"/p:plan/p:list/p:item":              {"1", "2", "5"},
		"/*/*/*":                             {"1", "2", "3", "G", "5", "6"},
		"//p:item":                           {"1", "2", "4", "5"},
		"//item":                             {"6"},
		"//q:*":                              {"3"},
		"//p:list//p:item":                   {"1", "2", "4", "5"},
		"/p:plan//p:group/p:item":            {"4"},
		"/descendant::p:item":                {"1", "2", "4", "5"},
		"/p:plan/descendant::p:item":         {"1", "2", "4", "5"},
		"//p:item | //q:item | /p:plan":      {"P", "1", "2", "3", "4", "5"},
		"//p:item[@class]":                   {"2", "4"},
		"//p:item[@class = 'bolt']":          {"2", "4"},
		"//p:item[not(@class)]":              {"1", "5"},
		"//p:item[../@draft = 'yes']":        {"5"},
		"//p:list[@draft = 'no']/p:item":     {"1", "2"},
		"//p:list[@draft = 'no']//p:item":    {"1", "2", "4"},
		"//p:item[ancestor::*/@draft='no']":  {"1", "2", "4"},
		"//p:item[parent::p:group]":          {"4"},
		"//*[self::p:item][@class]":          {"2", "4"},
		"//*[local-name() = 'item']":         {"1", "2", "3", "4", "5", "6"},
		"//*[name(..) = 'p:plan']":           {"L", "M"},
		"//*[count(ancestor::*) = 3]":        {"4"},
		"//p:item[@id > 1 and @id < 5]":      {"2", "4"},
		"//*[starts-with(@id, 'M')]":         {"M"},
		"//*[string-length(@class) > 3]":     {"2", "4"},
		"/p:plan/p:list/p:group/p:item/p:no": {},
	} {
		assert.Equal(t, want, matched(t, pattern, text), pattern)
	}
}

// A pattern with many // takes no longer than its length times the depth demands.
func TestMatchesManyDescendants(t *testing.T) {
	m, err := CompileMatch(strings.Repeat("//a", 40)+"//b", nil)
	require.NoError(t, err)
	text := strings.Repeat("<a>", 200) + "<c/>" + strings.Repeat("</a>", 200)
	text = strings.Replace(text, "<c/>", "<b/>", 1)
	deep, err := CompileMatch("//x"+strings.Repeat("//a", 40)+"//b", nil)
	require.NoError(t, err)
	e := record(t, text, "b")
	assert.True(t, m.Matches(e))
	assert.False(t, deep.Matches(e))
}
