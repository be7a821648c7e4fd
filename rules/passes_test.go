package rules

import (
	"bytes"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"planfold/convert/plan"
)

// thorough are passes that leave nothing out.
var thorough = passes{joinsForHead: true, planWhole: true}

// A plan says the same, whether or not its passes leave out what they can.
func TestPassesLeaveOutNothingThatIsRead(t *testing.T) {
	const xml = `<plan id="P" rev="B"><name>n<i>!</i></name>
<items><item id="I-1"><unit>KGM</unit><name>nut</name></item><item id="I-2" unit="C62"><name>nut</name><item id="I-3"/></item></items>
<note>kept</note><rev>C</rev>
<op kind="real"><id>O-1</id><step id="S-1"><part item="I-1"/><part item="I-2"/></step><op kind="real" id="O-2"><id>O-2</id><step id="S-2"/></op></op>
<op kind="void"><id>O-3</id><step id="S-3"/></op></plan>`
	const top = "planfold: 1\nread:\n  plan: {match: /plan, id: '@id', "
	for _, c := range []struct {
		rules string
		want  passes // but for the plan's paths
	}{
		{
			"revision: rev, title: name}\n  items: {match: //item, id: '@id', title: name}\n  operations: {match: //op, id: '@id', steps: {each: step, id: '@id'}}\n",
			passes{joinsAtTag: true, outlineAtTag: true},
		},
		{
			"revision: '@rev', title: 'items/item/name'}\n  operations: {match: //op, where: '@kind = \"real\"', id: id, steps: {each: step, id: '@id'}}\n",
			passes{joinsAtTag: true},
		},
		{
			"title: {path: name, lang: 'i'}}\n  operations: {match: //op, where: id != \"O-3\", id: '@id', steps: {each: step, id: '@id'}}\n",
			passes{joinsAtTag: true},
		},
		{
			"title: {languages: {en: name, de: note}}}\n  operations: {match: //op, id: '@id', steps: {each: step, id: '@id', parts: {each: part, item: '@item', unit: {join: items, by: '@item', path: '@unit'}}}}\njoins: {items: {match: //item, key: '@id'}}\n",
			passes{joinsAtTag: true, outlineAtTag: true},
		},
		{
			"title: name}\n  operations: {match: //op, id: '@id', steps: {each: step, id: '@id', parts: {each: part, item: '@item', unit: {join: items, by: '@item', path: unit}}}}\njoins: {items: {match: //item, key: '@id'}}\n",
			passes{outlineAtTag: true},
		},
		{
			"title: name}\n  items: {match: //item, id: '@id', material: {join: items, by: '@id', path: '@unit'}}\n  operations: {match: //op, id: '@id', steps: {each: step, id: '@id'}}\njoins: {items: {match: //item, key: '@id'}}\n",
			passes{joinsAtTag: true, outlineAtTag: true, joinsForHead: true},
		},
		{
			"title: .}\n  operations: {match: //op, id: {join: ops, by: '@kind', path: '@id', first: true}, steps: {each: step, id: '@id'}}\njoins: {ops: {match: //op, key: '@kind'}}\n",
			passes{joinsAtTag: true, outlineAtTag: true, joinsForHead: true},
		},
		{
			"title: name}\n  operations: {match: //op, id: '@id', steps: {each: step, id: '@id', parts: {each: part, item: '@item', unit: {join: [items, named], by: ['@item', name], path: '@unit'}}}}\njoins: {items: {match: //item, key: '@id'}, named: {match: //item, key: '\"nut\"'}}\n",
			passes{outlineAtTag: true},
		},
		{
			"title: name}\n  items: {match: //item, id: '@id', attachments: {each: name, join: items, by: ../@id, file: .}}\n  operations: {match: //op, id: '@id', steps: {each: step, id: '@id'}}\njoins: {items: {match: //item, key: '@id'}}\n",
			passes{outlineAtTag: true, joinsForHead: true},
		},
		{
			"title: name}\n  items: {match: //item, id: '@id', total: {path: '@id', plus: {join: items, by: '@id', path: unit}}}\n  operations: {match: //op, id: '@id', steps: {each: step, id: '@id'}}\njoins: {items: {match: //item, key: '@id'}}\n",
			passes{outlineAtTag: true, joinsForHead: true},
		},
	} {
		s := rulesOf(t, top+c.rules)
		paths := s.passes.plan
		s.passes.plan = nil
		assert.Equal(t, c.want, s.passes, c.rules)
		s.passes.plan = paths
		few := s.of(t, "plan.xml", []byte(xml), nil)
		s.passes = thorough
		assert.Equal(t, s.of(t, "plan.xml", []byte(xml), nil), few, c.rules)
	}
}

func TestPassesBuildLittleOfTheNeutralDialect(t *testing.T) {
	s := compiled(t, neutralRules)
	h := newHead(s.mapping("plan.xml"))
	taken := map[plan.Take][]string{}
	_, err := plan.Pick(bytes.NewReader(readFile(t, dialects+"neutral/plan.xml")), "plan.xml", func(e *plan.Element) plan.Take {
		take := h.pick(e)
		if take != plan.Inside {
			taken[take] = append(taken[take], e.Name.Local)
		}
		return take
	}, h.take)
	require.NoError(t, err)
	assert.Subset(t, []string{"items", "structures", "views", "operations"}, taken[plan.Aside])
	assert.Subset(t, []string{"operation"}, taken[plan.Start])
	assert.Subset(t, []string{"plan", "item", "occurrence", "view"}, taken[plan.Whole])
	assert.Len(t, taken, 3)
}
