package rules

import (
	"fmt"
	"io/fs"
	"path"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"cel.dev/cel-go/cel"
	"cel.dev/cel-go/common/types"
	"cel.dev/cel-go/common/types/ref"

	"planfold/convert/diag"
	"planfold/rules/document"
	"planfold/rules/table"
)

// Parameters, lists and tables are variables of every condition and template, with
// a field for each that the rule files define. A later file overrides them name by
// name, so that a line or a site changes a value and no rule.

// constantObjects stand for the variables; what they hold is in their types.
var constantObjects = map[string]*object{
	"parameters": {kind: "parameters"}, "lists": {kind: "lists"}, "tables": {kind: "tables"},
}

var (
	identifier = regexp.MustCompile(`^[A-Za-z_][A-Za-z0-9_]*$`)
	wholeText  = regexp.MustCompile(`^[-+]?(0|[1-9][0-9]*)$`)
	doubleText = regexp.MustCompile(`^[-+]?(0|[1-9][0-9]*)\.[0-9]+$`)
)

// constantsUsed are the variables that conditions and texts ask for. Those that none
// asks for are not handed to them: a map of more than eight variables costs as much
// again for each object.
func (c *compiler) constantsUsed() []string {
	var used []string
	for of := range c.conditions.shown().asked {
		if slices.Contains(constants, of.kind) && !slices.Contains(used, of.kind) {
			used = append(used, of.kind)
		}
	}
	slices.Sort(used)
	return used
}

func (c *compiler) constants(root *document.Node) {
	c.written = map[string]string{}
	c.define(root, "parameters", func(name string, n *document.Node) (*cel.Type, ref.Val) {
		if n.Kind == document.List {
			return c.listOf(n, "parameters."+name)
		}
		c.written[name] = n.Text
		return c.scalar(n, "parameters."+name)
	})
	c.define(root, "lists", func(name string, n *document.Node) (*cel.Type, ref.Val) {
		if !c.faults.Is(document.List, n, "lists."+name) {
			return nil, nil
		}
		return c.listOf(n, "lists."+name)
	})
	c.set.tables = map[string]*table.Table{}
	c.define(root, "tables", c.table)
}

// define makes the fields of one variable. What is at fault stays known, as
// anything, so that the conditions that use it are not reported as well.
func (c *compiler) define(root *document.Node, of string, value func(name string, n *document.Node) (*cel.Type, ref.Val)) {
	m := c.conditions.shown()
	m.open(of)
	n := root.Get(of)
	if n == nil || !c.faults.Is(document.Mapping, n, of) {
		return
	}
	if c.defined == nil {
		c.defined, c.lists = map[string][]*document.Node{}, listed{}
	}
	c.defined[of] = n.Keys
	for i, k := range n.Keys {
		if n.Values[i].Kind == document.List {
			c.lists[of+"."+k.Text] = n.Values[i].Values
		}
		if !identifier.MatchString(k.Text) || slices.Contains([]string{"in", "true", "false", "null"}, k.Text) {
			c.faults.Add(diag.RuleValueInvalid, k, "%q cannot be a name in conditions; use letters, digits and _", k.Text)
		}
		t, v := value(k.Text, n.Values[i])
		if t == nil {
			t = cel.DynType
		}
		m.add(of, k.Text, t, func(*object) any { return v })
	}
}

// scalar is a value with the type that it is written in.
func (c *compiler) scalar(n *document.Node, where string) (*cel.Type, ref.Val) {
	text := n.Text
	if n.Kind != document.Scalar || !n.Quoted || text == "" {
		if text = c.faults.Text(n, where); text == "" {
			return nil, nil
		}
	}
	if !n.Quoted {
		if i, err := strconv.ParseInt(text, 10, 64); err == nil && wholeText.MatchString(text) {
			return cel.IntType, types.Int(i)
		}
		if f, err := strconv.ParseFloat(text, 64); err == nil && doubleText.MatchString(text) {
			return cel.DoubleType, types.Double(f)
		}
		if text == "true" || text == "false" {
			return cel.BoolType, types.Bool(text == "true")
		}
	}
	return cel.StringType, types.String(text)
}

// listOf is a list of values of one type; whole numbers beside others with decimals
// count as such.
func (c *compiler) listOf(n *document.Node, where string) (*cel.Type, ref.Val) {
	of, values := cel.StringType, make([]ref.Val, len(n.Values))
	for i, e := range n.Values {
		t, v := c.scalar(e, fmt.Sprintf("%s[%d]", where, i))
		if t == nil {
			return nil, nil
		}
		if i > 0 && t != of && (t == cel.IntType || t == cel.DoubleType) && (of == cel.IntType || of == cel.DoubleType) {
			t = cel.DoubleType
			of = t
		}
		if i > 0 && t != of {
			c.faults.Add(diag.RuleValueInvalid, e, "%s holds %s and %s; quote what is a text", where, of, t)
			return nil, nil
		}
		of, values[i] = t, v
	}
	for i, v := range values {
		if whole, ok := v.(types.Int); ok && of == cel.DoubleType {
			values[i] = types.Double(whole)
		}
	}
	return cel.ListType(of), types.NewRefValList(c.conditions.model, values)
}

// table reads a table from beside the rule file that names it.
func (c *compiler) table(name string, n *document.Node) (*cel.Type, ref.Val) {
	where := "tables." + name
	if !c.faults.Keys(n, where, tableKeys.names()...) {
		return nil, nil
	}
	at := c.faults.Need(n, "file", where)
	file, key := c.faults.Text(at, where+".file"), c.faults.Text(c.faults.Need(n, "key", where), where+".key")
	if file == "" || key == "" {
		return nil, nil
	}
	data, ok := c.beside(at, file)
	if !ok {
		return nil, nil
	}
	c.tables = append(c.tables, data)
	t := table.Read(besideName(at.Position(-1).File, file), data, key, c.faults)
	c.set.tables[name] = t
	if t == nil {
		return nil, nil
	}
	return c.rows(where, t)
}

// beside reads a file that a rule file names, from the folder of that rule file.
func (c *compiler) beside(n *document.Node, name string) ([]byte, bool) {
	i := slices.IndexFunc(c.files, func(f File) bool { return f.Name == n.Position(-1).File })
	clean := path.Clean(strings.ReplaceAll(name, `\`, "/"))
	switch {
	case !fs.ValidPath(clean) || clean == "." || strings.Contains(clean, ":"):
		c.faults.Add(diag.RuleTableMissing, n, "%q does not name a file in the folder of the rule file", name)
		return nil, false
	case i < 0 || c.files[i].Beside == nil:
		c.faults.Add(diag.RuleTableMissing, n, "%q cannot be read: there is no folder beside these rules", name)
		return nil, false
	}
	data, err := fs.ReadFile(c.files[i].Beside, clean)
	if err != nil {
		c.faults.Add(diag.RuleTableMissing, n, "%q cannot be read from the folder of the rule file: %v", name, reasonOf(err))
		return nil, false
	}
	return data, true
}

// reasonOf is an error without the path of the machine in it.
func reasonOf(err error) error {
	if p, ok := err.(*fs.PathError); ok {
		return p.Err
	}
	return err
}

// besideName is how diagnostics name a file beside a rule file.
func besideName(ruleFile, name string) string {
	return ruleFile[:strings.LastIndexAny(ruleFile, `/\`)+1] + name
}

// rows shows a table to conditions as a map from its keys to rows, which are objects
// with a text in each column.
func (c *compiler) rows(kind string, t *table.Table) (*cel.Type, ref.Val) {
	m := c.conditions.model
	for i, column := range t.Columns {
		m.add(kind, column, cel.StringType, func(o *object) any { return o.record.(*table.Row).Cells[i] })
	}
	byKey := map[string]any{}
	for _, r := range t.Rows {
		byKey[r.Key] = &object{kind: kind, record: r}
	}
	return cel.MapType(cel.StringType, cel.ObjectType(typeName(kind))), types.NewStringInterfaceMap(m, byKey)
}
