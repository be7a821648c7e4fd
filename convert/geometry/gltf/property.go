package gltf

import (
	"math"
	"strconv"

	"planfold/convert/diag"
)

// The methods here read properties by type. An absent property is value -1; of
// one that is not as the specification has it, they fail and return a zero.

var kinds = map[byte]string{'{': "an object", '[': "an array", '"': "a string", '0': "a number", 't': "a boolean", 'f': "a boolean", 'n': "null"}

func (r *reader) kind(v int, want byte) bool {
	if r.stopped() || v < 0 {
		return false
	}
	got := r.values[v].kind
	if got == 'f' {
		got = 't'
	}
	if got != want {
		r.fail(diag.GltfValue, v, "%s stands where %s should", kinds[r.values[v].kind], kinds[want])
		return false
	}
	return true
}

// need is a member that must be there.
func (r *reader) need(object int, name string) int {
	if !r.kind(object, '{') {
		return -1
	}
	v := r.field(object, name)
	if v < 0 {
		r.fail(diag.GltfValue, object, "%q is missing", name)
	}
	return v
}

// array lists the elements of an array; none of an absent one.
func (r *reader) array(v int) (out []int) {
	if v < 0 || !r.kind(v, '[') {
		return nil
	}
	for e := v + 1; e < int(r.values[v].next); e = int(r.values[e].next) {
		out = append(out, e)
	}
	return out
}

// objects lists a member of the root that is an array of objects.
func (r *reader) objects(name string) []int {
	list := r.array(r.field(0, name))
	for _, v := range list {
		if !r.kind(v, '{') {
			return nil
		}
	}
	return list
}

func (r *reader) str(v int) string {
	if v < 0 || !r.kind(v, '"') {
		return ""
	}
	return r.unquote(v)
}

func (r *reader) boolean(v int) bool {
	return v >= 0 && r.kind(v, 't') && r.values[v].kind == 't'
}

func (r *reader) number(v int) float64 {
	if v < 0 || !r.kind(v, '0') {
		return 0
	}
	n, err := strconv.ParseFloat(string(r.data[r.values[v].start:r.values[v].end]), 64)
	if err != nil {
		r.fail(diag.GltfValue, v, "%.40s is too large", r.data[r.values[v].start:r.values[v].end])
	}
	return n
}

// numberOr is a number, or what stands for it when it is absent.
func (r *reader) numberOr(v int, absent float64) float64 {
	if v < 0 {
		return absent
	}
	return r.number(v)
}

// numbers is an array of just so many.
func (r *reader) numbers(v int, out []float64) {
	list := r.array(v)
	if len(list) != len(out) {
		r.fail(diag.GltfValue, v, "the array has %d numbers, not %d", len(list), len(out))
		return
	}
	for i, e := range list {
		out[i] = r.number(e)
	}
}

// integer is a whole number from least to most.
func (r *reader) integer(v int, least, most int64) int {
	n := r.number(v)
	if r.stopped() {
		return 0
	}
	if n != math.Trunc(n) || n < float64(least) || n > float64(most) {
		r.fail(diag.GltfValue, v, "%v is not a whole number from %d to %d", n, least, most)
		return 0
	}
	return int(n)
}

func (r *reader) integerOr(v int, absent int, least, most int64) int {
	if v < 0 {
		return absent
	}
	return r.integer(v, least, most)
}

// index refers to one of a list; -1 when absent.
func (r *reader) index(v, length int, of string) int {
	if v < 0 {
		return -1
	}
	i := r.integer(v, 0, math.MaxInt32)
	if !r.stopped() && i >= length {
		r.fail(diag.GltfReference, v, "%s %d is meant; the file has %d", of, i, length)
	}
	if r.stopped() {
		return -1
	}
	return i
}
