package compare

import (
	"reflect"
	"strings"
	"sync"
	"unicode"
	"unicode/utf8"

	"planfold/convert/bundle"
	"planfold/convert/diag"
	"planfold/convert/step"
)

// typ is a type as the walk sees it.
type typ struct {
	is       reflect.Type
	form     form
	members  []member // of a structure, those of embedded ones included
	elem     *typ     // of a list, a pointer or a map
	identity identity
	origin   []int // index of a structure's own origin; nil: it has none
}

type form int

const (
	plain     form = iota // string, number, truth
	text                  // step.Text
	count                 // step.Count
	numbers               // an array
	structure             // a structure
	formList
	pointer
	mapping
)

type member struct {
	name  string
	field field
	index []int
	typ   *typ
}

// types is the table of all types that documents are made of, made when first needed.
var types = sync.OnceValue(func() map[reflect.Type]*typ {
	known := map[reflect.Type]*typ{}
	for _, root := range []reflect.Type{
		reflect.TypeFor[bundle.Step](), reflect.TypeFor[drawing](), reflect.TypeFor[head](), reflect.TypeFor[step.Operation](),
	} {
		typeOf(root, known)
	}
	return known
})

func typeOf(t reflect.Type, known map[reflect.Type]*typ) *typ {
	if k := known[t]; k != nil {
		return k
	}
	k := &typ{is: t, identity: identities[t]}
	known[t] = k
	switch t.Kind() {
	case reflect.Struct:
		switch t {
		case reflect.TypeFor[step.Text]():
			k.form = text
		case reflect.TypeFor[step.Count]():
			k.form = count
		default:
			k.form = structure
			k.add(t, nil, known)
		}
	case reflect.Slice:
		k.form, k.elem = formList, typeOf(t.Elem(), known)
	case reflect.Array:
		k.form = numbers
	case reflect.Pointer:
		k.form, k.elem = pointer, typeOf(t.Elem(), known)
	case reflect.Map:
		k.form, k.elem = mapping, typeOf(t.Elem(), known)
	}
	return k
}

// add lists the members of a structure as encoding/json sees them, and those that
// it does not see. What a value comes from, and where, is none of them.
func (k *typ) add(t reflect.Type, at []int, known map[reflect.Type]*typ) {
	for i := range t.NumField() {
		f := t.Field(i)
		index := append(at[:len(at):len(at)], i)
		name, _, _ := strings.Cut(f.Tag.Get("json"), ",")
		if name == "" || name == "-" {
			name = small(f.Name)
		}
		if name == "material3D" {
			name = "look" // as rules call it
		}
		switch {
		case !f.IsExported():
		case f.Type == reflect.TypeFor[step.Origin]():
			k.origin = index
		case f.Type == reflect.TypeFor[diag.Position]() || f.Type == reflect.TypeFor[diag.List]():
		case f.Anonymous:
			k.add(f.Type, index, known)
		default:
			row, ok := fields[t][name]
			if !ok {
				row.class = Safety // a member without a row is taken for the gravest
			}
			k.members = append(k.members, member{name, row, index, typeOf(f.Type, known)})
		}
	}
}

func small(name string) string {
	r, n := utf8.DecodeRuneInString(name)
	if strings.ToUpper(name) == name {
		return strings.ToLower(name)
	}
	return string(unicode.ToLower(r)) + name[n:]
}

func (k *typ) member(name string) *member {
	for i := range k.members {
		if k.members[i].name == name {
			return &k.members[i]
		}
	}
	return nil
}

// same reports whether two values are equal but for their origins. It allocates
// nothing, maps aside.
func (k *typ) same(a, b reflect.Value) bool {
	switch k.form {
	case text:
		return a.Field(0).String() == b.Field(0).String()
	case count:
		return a.Field(0).Int() == b.Field(0).Int()
	case structure:
		for i := range k.members {
			m := &k.members[i]
			if !m.typ.same(m.of(a), m.of(b)) {
				return false
			}
		}
		return true
	case formList:
		if a.Len() != b.Len() {
			return false
		}
		for i := range a.Len() {
			if !k.elem.same(a.Index(i), b.Index(i)) {
				return false
			}
		}
		return true
	case pointer:
		if a.IsNil() || b.IsNil() {
			return a.IsNil() == b.IsNil()
		}
		return a.Pointer() == b.Pointer() || k.elem.same(a.Elem(), b.Elem())
	case mapping:
		return k.sameMap(a, b)
	}
	return a.Equal(b)
}

func (k *typ) sameMap(a, b reflect.Value) bool {
	if a.Len() != b.Len() {
		return false
	}
	for all := a.MapRange(); all.Next(); {
		other := b.MapIndex(all.Key())
		if !other.IsValid() || !k.elem.same(all.Value(), other) {
			return false
		}
	}
	return true
}

// of is the member of a structure.
func (m *member) of(v reflect.Value) reflect.Value { return v.FieldByIndex(m.index) }
