package sketch

import (
	"cmp"
	"fmt"
	"maps"
	"regexp"
	"slices"
	"strings"
)

// geometryFormats are the extensions of geometry; others are of documents.
var geometryFormats = regexp.MustCompile(`(?i)^(stl|obj|glb|gltf|stp|step)$`)

// files takes what looks like names of files: of an item geometry and documents, of
// the work documents.
func (w *writer) files(depth int, record *path, item bool) {
	var geometry, documents []string
	for _, p := range record.all() {
		if record == w.guess.operation && record != w.guess.step && p.in(w.guess.step) {
			continue
		}
		for _, f := range p.facets {
			ends, write := f.files, w.fileOf
			if !f.file() {
				ends, write = w.guess.leads(f), w.fileBy
			}
			if len(ends) == 0 || f == w.guess.itemID {
				continue
			}
			w.used[f] = true
			shape, document := extensions(ends)
			if len(shape) > 0 && item {
				geometry = append(geometry, write(record, f, shape, len(document) > 0))
			}
			if len(document) > 0 || len(shape) > 0 && !item {
				documents = append(documents, write(record, f, document, len(shape) > 0))
			}
		}
	}
	for _, list := range []struct {
		field   string
		entries []string
	}{{"geometry", geometry}, {"attachments", documents}} {
		if len(list.entries) > 0 {
			w.line(depth, "%s:", list.field)
			w.line(depth+1, "%s", strings.Join(list.entries, "\n"+strings.Repeat("  ", depth+1)))
		}
	}
}

func (w *writer) fileOf(record *path, f *facet, ends []string, some bool) string {
	each, file := w.below(record, f.of), "."
	if f.attr.Local != "" {
		file = w.attribute(f)
	}
	where := ""
	if some && len(ends) > 0 {
		var any []string
		for _, e := range ends {
			any = append(any, fmt.Sprintf("substring(%s, string-length(%s) - %d) = '.%s'", file, file, len(e), e))
		}
		where = ", where: " + quoted(strings.Join(any, " or "))
	}
	return fmt.Sprintf("- {each: %s%s, file: %s} # %s", quoted(each), where, quoted(file), w.namedFiles(f, ends))
}

// fileBy reaches a file in a list of files. What it leads to is not divided.
func (w *writer) fileBy(record *path, f *facet, ends []string, some bool) string {
	list := w.guess.refers[f].to.owner()
	file := w.guess.fileOf(list)
	w.used[file] = true
	entry := fmt.Sprintf("- {each: %s, join: %s, by: ., file: %s} # %s", quoted(w.relative(record, f)), w.join[list], quoted(w.relative(list, file)),
		w.reason(f, fmt.Sprintf("%d in 100 are keys of %s, there %s", w.guess.refers[f].part, w.absolute(list), strings.Join(ends, ", "))))
	if some {
		return "# " + entry + "; it leads to geometry and to documents: take it once they are told apart"
	}
	return entry
}

func extensions(files map[string]ending) (geometry, documents []string) {
	for _, e := range slices.Sorted(maps.Keys(files)) {
		if geometryFormats.MatchString(e) {
			geometry = append(geometry, e)
		} else {
			documents = append(documents, e)
		}
	}
	return geometry, documents
}

// namedFiles is the reason of a path whose values look like files, with one that ends so.
func (w *writer) namedFiles(f *facet, ends []string) string {
	n, example := 0, ""
	for _, e := range ends {
		n += f.files[e].count
		example = cmp.Or(example, f.files[e].example)
	}
	return fmt.Sprintf("named like files; %s, such as %s", many(n, "value"), shown(example))
}
