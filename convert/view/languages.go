package view

import (
	"encoding/json"
	"maps"
	"path"
	"slices"
	"strings"

	"planfold/convert/bundle"
)

// Languages are those that the steps of an edition speak, sorted. What is damaged is left out.
func (t *Tree) Languages(edition string) ([]string, error) {
	var m bundle.Manifest
	text, err := t.ReadFile(edition + "/bundle.json")
	if err != nil {
		return nil, machine(damage(edition, err))
	}
	if json.Unmarshal(text, &m) != nil {
		return nil, nil
	}
	spoken := map[string]bool{}
	for _, s := range m.Steps {
		text, err := t.ReadFile(path.Join(edition, "steps", s.Folder, "step.json"))
		if err := machine(damage(s.Folder, err)); err != nil {
			return nil, err
		}
		var step any
		if err == nil && json.Unmarshal(text, &step) == nil {
			languagesIn(step, spoken)
		}
	}
	return slices.Sorted(maps.Keys(spoken)), nil
}

func languagesIn(value any, spoken map[string]bool) {
	switch v := value.(type) {
	case []any:
		for _, e := range v {
			languagesIn(e, spoken)
		}
	case map[string]any:
		if lang, ok := v["lang"].(string); ok {
			spoken[lang] = true
		}
		for _, e := range v {
			languagesIn(e, spoken)
		}
	}
}

// Speaks reports whether one of languages is lang, or of its kind.
func Speaks(languages []string, lang string) bool {
	return slices.ContainsFunc(languages, func(l string) bool { return strings.EqualFold(primary(l), primary(lang)) })
}
