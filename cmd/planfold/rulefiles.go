package main

import (
	"io"
	"os"
	"path/filepath"
	"strings"

	"planfold/rules"
	"planfold/testdata/dialects"
)

const rulesUsage = "rule file, or the name of a dialect that comes with planfold; repeat to layer them, later ones over earlier ones"

const effectiveUsage = "leave out what does not hold for this serial number, or date (YYYY-MM-DD)"

// ruleFiles reads the rule files that -r names.
func ruleFiles(names []string) ([]rules.File, error) {
	var files []rules.File
	open := folders{}
	for _, name := range names {
		data, shared, err := ruleFile(name)
		if err != nil {
			return nil, err
		}
		beside, err := open.open(filepath.Dir(name))
		if err != nil {
			return nil, err
		}
		files = append(files, rules.File{Name: name, Data: data, Beside: beside.FS, Shared: shared})
	}
	return files, nil
}

// ruleFile reads a file, or where a bare name is none, the dialect of that name.
func ruleFile(name string) (data []byte, shared bool, err error) {
	bare := filepath.Base(name) == name && filepath.Ext(name) == ""
	if info, err := os.Stat(name); bare && (err != nil || info.IsDir()) {
		if data, known := dialects.Rules(name); known {
			return data, true, nil
		}
		return nil, false, usage("there is no rule file %q, and no dialect of that name comes with planfold; those that do are %s",
			name, strings.Join(dialects.Names(), ", "))
	}
	if data, err = os.ReadFile(name); err != nil {
		return nil, false, usage("read rules: %w", err)
	}
	return data, false, nil
}

// printRules prints a rule file as it is, with its comments.
func printRules(w io.Writer, names, plans []string) error {
	if len(names) != 1 || len(plans) > 0 {
		return usage("--print prints one rule file; give -r once, and no plan")
	}
	data, _, err := ruleFile(names[0])
	if err != nil {
		return err
	}
	_, err = w.Write(data)
	return err
}
