// Package dialects holds the rule files that come with planfold: how plans of open
// standards, and of planfold's own dialect, are read. They assign nothing. Tests
// read the same files.
package dialects

import (
	"embed"
	"io/fs"
	"path"
)

//go:embed b2mml/rules.yaml b2mml-schedule/rules.yaml neutral/rules.yaml qif/rules.yaml
var files embed.FS

// Names lists the dialects, in order.
func Names() []string {
	found, err := fs.Glob(files, "*/rules.yaml")
	if err != nil {
		panic("dialects: internal error: " + err.Error())
	}
	var names []string
	for _, f := range found {
		names = append(names, path.Dir(f))
	}
	return names
}

// Rules is the rule file of a dialect.
func Rules(name string) ([]byte, bool) {
	text, err := files.ReadFile(path.Join(name, "rules.yaml"))
	return text, err == nil
}
