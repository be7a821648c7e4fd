package rules

import (
	"fmt"
	"maps"
	"reflect"
	"slices"
	"strings"

	"cel.dev/cel-go/cel"
	"cel.dev/cel-go/common/types"
	"cel.dev/cel-go/common/types/ref"

	"planfold/convert/step"
)

// model shows the step model to conditions: an object type for each kind of
// record, by the same tables that reading follows. Texts are strings (of several
// languages the first), quantities and limits strings too: decimal() turns them to
// numbers. What is not given is empty; facts, which may be unknown, are optionals.
type model struct {
	*types.Registry
	fields map[string]map[string]*types.FieldType
	missed map[string]string // fields asked for in vain, and of which kind
	asked  map[fieldOf]bool  // fields asked for; nil when the rules are compiled
}

// close ends the notes of what is asked for: programs that are made later, to tell why
// a condition is false, are made by several plans at a time.
func (m *model) close() { m.asked, m.missed = nil, nil }

// typeName keeps the types of objects apart from the variables.
func typeName(kind string) string { return "planfold." + kind }

// object is a record as conditions see it.
type object struct {
	kind   string
	record any
	plan   *step.Plan
}

// fact is what is known of the item that a condition is about.
type fact struct {
	step.Fact
	known bool
}

func newModel() *model {
	m := &model{Registry: types.NewEmptyRegistry(), fields: map[string]map[string]*types.FieldType{}, missed: map[string]string{}, asked: map[fieldOf]bool{}}
	for _, k := range kinds() {
		for _, f := range k.fields {
			if t := celType(f); t != nil {
				m.add(k.name, f.name, t, func(o *object) any { return shown(o, f) })
			}
		}
	}
	m.add("part", "item", cel.ObjectType(typeName("item")), func(o *object) any {
		return &object{"item", itemOf(o.plan, o.record.(*step.Part).Item), o.plan}
	})
	m.add("part", "partsOf", cel.StringType, func(o *object) any { return o.record.(*step.Part).PartsOf })
	for _, f := range assignedFields {
		m.add(f.kind, f.name, f.typ, func(o *object) any { return f.get(o.record) })
	}
	m.addFact("triangles", cel.IntType, func(f step.Fact) ref.Val { return types.Int(f.Triangles) })
	m.addFact("digest", cel.StringType, func(f step.Fact) ref.Val { return types.String(f.Digest) })
	m.addFact("bounds", cel.ListType(cel.DoubleType), func(f step.Fact) ref.Val { return types.NewDynamicList(m, f.Bounds[:]) })
	return m
}

// itemOf is the item of an id; one that knows its id alone if the plan has no such
// item.
func itemOf(p *step.Plan, id step.Text) *step.Item {
	if i := p.Items[id.Value]; i != nil {
		return i
	}
	return &step.Item{ID: id}
}

func celType(f *field) *cel.Type {
	switch f.typ {
	case text, decimal, texts:
		return cel.StringType
	case list, notes:
		return cel.ListType(cel.StringType)
	case records:
		return cel.ListType(cel.ObjectType(typeName(f.of.name)))
	}
	return nil
}

// shown is the value of a field as conditions see it.
func shown(o *object, f *field) any {
	if f.typ == records {
		var out []any
		for _, r := range f.entries(o.record) {
			out = append(out, &object{f.of.name, r, o.plan})
		}
		return out
	}
	switch v := f.at(o.record).(type) {
	case *step.Text:
		return v.Value
	case *step.Texts:
		return v.First()
	case *[]step.Text:
		out := make([]string, len(*v))
		for i, t := range *v {
			out[i] = t.Value
		}
		return out
	case *[]step.Texts:
		out := make([]string, len(*v))
		for i, t := range *v {
			out[i] = t.First()
		}
		return out
	}
	panic("rules: internal error: field " + f.name + " cannot be shown")
}

// open makes a kind of object known that may have no field.
func (m *model) open(kind string) {
	if k := typeName(kind); m.fields[k] == nil {
		m.fields[k] = map[string]*types.FieldType{}
	}
}

func (m *model) add(kind, name string, t *cel.Type, get func(*object) any) {
	m.open(kind)
	m.fields[typeName(kind)][name] = &types.FieldType{
		Type:    t,
		IsSet:   func(o any) bool { return !empty(get(o.(*object))) },
		GetFrom: func(o any) (any, error) { return get(o.(*object)), nil },
	}
}

func (m *model) addFact(name string, t *cel.Type, get func(step.Fact) ref.Val) {
	m.add("facts", name, cel.OptionalType(t), func(o *object) any {
		f := o.record.(*fact)
		if !f.known {
			return types.OptionalNone
		}
		return types.OptionalOf(get(f.Fact))
	})
}

func empty(v any) bool {
	switch v := v.(type) {
	case string:
		return v == ""
	case []string:
		return len(v) == 0
	case []any:
		return len(v) == 0
	case bool:
		return !v
	case int:
		return v == 0
	case *types.Optional:
		return !v.HasValue()
	}
	return false
}

// fieldNames lists the fields of a kind of object, sorted.
func (m *model) fieldNames(kind string) []string {
	return slices.Sorted(maps.Keys(m.fields[typeName(kind)]))
}

// FindStructType makes the objects known to the checker.
func (m *model) FindStructType(name string) (*types.Type, bool) {
	if m.fields[name] == nil {
		return m.Registry.FindStructType(name)
	}
	return types.NewTypeTypeWithParam(types.NewObjectType(name)), true
}

// FindStructFieldType finds a field of an object.
func (m *model) FindStructFieldType(name, field string) (*types.FieldType, bool) {
	if f := m.fields[name]; f != nil {
		t, ok := f[field]
		if kind := strings.TrimPrefix(name, typeName("")); m.asked != nil {
			m.asked[fieldOf{kind, field}] = true
			if !ok {
				m.missed[field] = kind
			}
		}
		return t, ok
	}
	return m.Registry.FindStructFieldType(name, field)
}

// NativeToValue leaves objects as they are.
func (m *model) NativeToValue(v any) ref.Val {
	switch v := v.(type) {
	case *object:
		return v
	case []any:
		return types.NewDynamicList(m, v)
	}
	return m.Registry.NativeToValue(v)
}

// ConvertToNative is not offered: objects stay inside conditions.
func (o *object) ConvertToNative(t reflect.Type) (any, error) {
	return nil, fmt.Errorf("a %s is no %v", o.kind, t)
}

// ConvertToType knows the type of the object alone.
func (o *object) ConvertToType(t ref.Type) ref.Val {
	if t == types.TypeType {
		return types.NewObjectType(typeName(o.kind))
	}
	return types.NewErr("a %s is no %s", o.kind, t.TypeName())
}

// Equal holds for the same record.
func (o *object) Equal(other ref.Val) ref.Val {
	p, ok := other.(*object)
	return types.Bool(ok && o.record == p.record)
}

// Type names the object.
func (o *object) Type() ref.Type { return types.NewObjectType(typeName(o.kind)) }

// Value is what field access is handed.
func (o *object) Value() any { return o }
