package rules

import (
	"iter"
	"slices"
)

// joined are the records of one join, each with the texts that fields take from it.
// A plan may have as many of them as it has items, so that they lie close together.
type joined struct {
	byKey map[string]keyed
	keys  []joinedKey
	ends  []int32 // of texts, by record and slot
	texts []found
	slots int   // of each record
	count int32 // of records
}

// slotFor gives a value its place among those taken from the join's records. Where
// the rules repeat a part of themselves (a YAML alias), it is one place.
func (j *join) slotFor(v *value) {
	v.slot = slices.IndexFunc(j.values, func(o *value) bool { return o.place == v.place && o.markup == v.markup })
	if v.slot < 0 {
		v.slot = len(j.values)
		j.values = append(j.values, v)
	}
}

// keyed is the first and the last of a key's records, as indices into keys.
type keyed struct{ first, last int32 }

// joinedKey is a record under one of its keys, and the next one under that key.
type joinedKey struct{ record, next int32 }

// add adds a record with its texts, by slot, under one key or more.
func (j *joined) add(texts func(slot int) []found, keys []string) {
	for slot := range j.slots {
		j.texts = append(j.texts, texts(slot)...)
		j.ends = append(j.ends, int32(len(j.texts)))
	}
	for _, key := range keys {
		n := int32(len(j.keys))
		j.keys = append(j.keys, joinedKey{j.count, -1})
		c, known := j.byKey[key]
		if known {
			j.keys[c.last].next = n
		} else {
			c.first = n
		}
		c.last = n
		j.byKey[key] = c
	}
	j.count++
}

// records yields the records of a key, in the document's order. A join that found
// no record is nil, and yields none.
func (j *joined) records(key string) iter.Seq[int] {
	return func(yield func(int) bool) {
		if j == nil {
			return
		}
		c, known := j.byKey[key]
		for n := c.first; known && n >= 0; n = j.keys[n].next {
			if !yield(int(j.keys[n].record)) {
				return
			}
		}
	}
}

// has reports whether there is a record of that key.
func (j *joined) has(key string) bool {
	if j == nil {
		return false
	}
	_, known := j.byKey[key]
	return known
}

// of are the texts that a value takes from a record.
func (j *joined) of(record, slot int) []found {
	at, from := record*j.slots+slot, int32(0)
	if at > 0 {
		from = j.ends[at-1]
	}
	return j.texts[from:j.ends[at]]
}
