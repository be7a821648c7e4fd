package compare

import (
	"slices"
)

// matcher finds the operations and steps of the old side again on the new.
type matcher struct {
	old, new   *edition
	operations map[string]string // old to new
	to, from   []int             // steps
	known      [2]map[int]summary
	renamed    renamed
}

func newMatcher(old, new *edition) *matcher {
	return &matcher{
		old: old, new: new, operations: map[string]string{}, to: none(len(old.steps)), from: none(len(new.steps)),
		known: [2]map[int]summary{{}, {}}, renamed: renamed{},
	}
}

// run matches operations, then steps within them, then those that are left over.
func (m *matcher) run() {
	olds, news := operationsOf(m.old), operationsOf(m.new)
	m.matchOperations(olds, news)
	for _, o := range olds.ids {
		if n, ok := m.operations[o]; ok {
			m.matchSteps(olds.steps[o], news.steps[n])
			m.known = [2]map[int]summary{{}, {}} // those of one operation at a time
		}
	}
	m.matchLeft()
	for i, j := range m.to {
		if j >= 0 && m.old.steps[i].id != m.new.steps[j].id {
			m.renamed.add(toStep, m.old.steps[i].id, m.new.steps[j].id)
		}
	}
}

// operationList is the operations of an edition in the order of their first steps.
type operationList struct {
	ids   []string
	steps map[string][]int
}

func operationsOf(e *edition) operationList {
	l := operationList{steps: map[string][]int{}}
	for i, s := range e.steps {
		if _, ok := l.steps[s.operation]; !ok {
			l.ids = append(l.ids, s.operation)
		}
		l.steps[s.operation] = append(l.steps[s.operation], i)
	}
	return l
}

func (m *matcher) summary(side, i int) summary {
	if s, ok := m.known[side][i]; ok {
		return s
	}
	var s summary
	if doc, _ := [2]*edition{m.old, m.new}[side].open(i); doc != nil {
		s = summarize(doc.step)
	}
	m.known[side][i] = s
	return s
}

// matchOperations goes by id; where an id is on one side only, by a title or a thing
// built that one operation of each side has, then by the words of the steps.
func (m *matcher) matchOperations(olds, news operationList) {
	var left, free []string
	for _, o := range olds.ids {
		if _, ok := news.steps[o]; ok {
			m.operations[o] = o
		} else {
			left = append(left, o)
		}
	}
	for _, n := range news.ids {
		if _, ok := olds.steps[n]; !ok {
			free = append(free, n)
		}
	}
	for _, key := range []func(summary) string{func(s summary) string { return s.title }, func(s summary) string { return s.builds }} {
		of := func(side int, l operationList, id string) string { return key(m.summary(side, l.steps[id][0])) }
		for _, o := range slices.Clone(left) {
			k := of(0, olds, o)
			mine := func(id string) bool { return of(0, olds, id) == k }
			theirs := func(id string) bool { return of(1, news, id) == k }
			if k != "" && countOf(left, mine) == 1 && countOf(free, theirs) == 1 {
				n := free[slices.IndexFunc(free, theirs)]
				m.rename(o, n, olds, news)
				left, free = without(left, o), without(free, n)
			}
		}
	}
	for _, o := range left {
		words := m.wordsOf(0, olds.steps[o])
		best, found := alike, ""
		for _, n := range free {
			if l := likeness(words, m.wordsOf(1, news.steps[n])); l > best {
				best, found = l, n
			}
		}
		if found != "" {
			m.rename(o, found, olds, news)
			free = without(free, found)
		}
	}
}

func countOf(list []string, is func(string) bool) int {
	n := 0
	for _, s := range list {
		if is(s) {
			n++
		}
	}
	return n
}

func without(list []string, s string) []string {
	return slices.DeleteFunc(slices.Clone(list), func(e string) bool { return e == s })
}

// rename takes an operation for another's; what is built goes by its name if it did.
func (m *matcher) rename(o, n string, olds, news operationList) {
	m.operations[o] = n
	m.renamed.add(toOperation, o, n)
	if m.summary(0, olds.steps[o][0]).builds == o && m.summary(1, news.steps[n][0]).builds == n {
		m.renamed.add(toItem, o, n)
	}
}

func (m *matcher) wordsOf(side int, steps []int) map[string]int {
	all := map[string]int{}
	for _, i := range steps {
		for w, n := range m.summary(side, i).words {
			all[w] += n
		}
	}
	return all
}

func (m *matcher) pair(i, j int) { m.to[i], m.from[j] = j, i }

// matchSteps matches the steps of one operation: by id, if the plan gave it; else by
// what they say, in their order.
func (m *matcher) matchSteps(olds, news []int) {
	byID := map[string]int{}
	for _, j := range news {
		byID[m.new.steps[j].id] = j
	}
	for _, i := range olds {
		s := m.old.steps[i]
		j, ok := byID[s.id]
		if ok && m.from[j] < 0 && (!s.derived() || s.digest != "" && s.digest == m.new.steps[j].digest) {
			m.pair(i, j)
		}
	}
	m.align(olds, news, func(a, b summary) bool { return a.content == b.content && a.content != "" }, true)
	for _, least := range []float64{0.8, alike} {
		m.align(olds, news, func(a, b summary) bool { return likeness(a.words, b.words) >= least }, false)
	}
}

// align pairs steps that are not yet paired without crossing those that are. Steps
// whose ids the plan gave are taken for one another only if sure.
func (m *matcher) align(olds, news []int, same func(a, b summary) bool, sure bool) {
	fits := func(i, j int) bool {
		if !sure && !m.old.steps[i].derived() && !m.new.steps[j].derived() {
			return false
		}
		return same(m.summary(0, i), m.summary(1, j))
	}
	for _, gap := range m.gaps(olds, news) {
		a, b := gap[0], gap[1]
		if len(a)*len(b) > mostWordPairs {
			continue
		}
		for _, p := range common(len(a), len(b), func(i, j int) bool { return fits(a[i], b[j]) }) {
			m.pair(a[p[0]], b[p[1]])
		}
	}
}

// gaps lists the unpaired steps between pairs that keep the order.
func (m *matcher) gaps(olds, news []int) [][2][]int {
	at := map[int]int{} // place of a new step in its operation
	for k, j := range news {
		at[j] = k
	}
	var out [][2][]int
	var a []int
	done := 0
	flush := func(until int) {
		var b []int
		for ; done < until; done++ {
			if m.from[news[done]] < 0 {
				b = append(b, news[done])
			}
		}
		if len(a) > 0 && len(b) > 0 {
			out = append(out, [2][]int{a, b})
		}
		a = nil
	}
	for _, i := range olds {
		k, paired := at[m.to[i]]
		switch {
		case m.to[i] < 0:
			a = append(a, i)
		case paired && k >= done:
			flush(k)
		}
	}
	flush(len(news))
	return out
}

// matchLeft finds steps that went to another operation: by an id that the plan gave,
// else by what they say, if one of each side says it.
func (m *matcher) matchLeft() {
	byID, byContent := map[string]int{}, map[string][]int{}
	left := map[string]int{}
	for i, j := range m.to {
		if j < 0 {
			left[m.summary(0, i).content]++
		}
	}
	if len(left) == 0 {
		return
	}
	for j, i := range m.from {
		if i < 0 {
			s := m.new.steps[j]
			if !s.derived() {
				byID[s.id] = j
			}
			c := m.summary(1, j).content
			byContent[c] = append(byContent[c], j)
		}
	}
	for i := range m.to {
		if m.to[i] >= 0 {
			continue
		}
		s := m.old.steps[i]
		c := m.summary(0, i).content
		if j, ok := byID[s.id]; ok && !s.derived() && m.from[j] < 0 {
			m.pair(i, j)
		} else if all := byContent[c]; c != "" && left[c] == 1 && len(all) == 1 && m.from[all[0]] < 0 {
			m.pair(i, all[0])
		}
	}
}

// inOrder marks the pairs that keep their order: a longest run of pairs that rises on
// both sides. The others moved.
func (m *matcher) inOrder() []bool {
	var pairs []int
	for i, j := range m.to {
		if j >= 0 {
			pairs = append(pairs, i)
		}
	}
	slices.SortStableFunc(pairs, func(a, b int) int { return m.old.steps[a].sequence - m.old.steps[b].sequence })
	kept := make([]bool, len(m.to))
	for _, k := range rising(len(pairs), func(k int) int { return m.new.steps[m.to[pairs[k]]].sequence }) {
		kept[pairs[k]] = true
	}
	return kept
}

// rising is a longest strictly rising subsequence, by patience sorting.
func rising(n int, value func(int) int) []int {
	var tops []int // by length less one: the index that ends the run with the least value
	before := make([]int, n)
	for k := range n {
		at, _ := slices.BinarySearchFunc(tops, value(k), func(top, v int) int { return value(top) - v })
		before[k] = -1
		if at > 0 {
			before[k] = tops[at-1]
		}
		if at == len(tops) {
			tops = append(tops, k)
		} else {
			tops[at] = k
		}
	}
	var out []int
	if len(tops) > 0 {
		for k := tops[len(tops)-1]; k >= 0; k = before[k] {
			out = append(out, k)
		}
	}
	slices.Reverse(out)
	return out
}
