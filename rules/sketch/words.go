package sketch

import (
	"slices"
	"strings"
	"unicode"
)

// role is what a name suggests.
type role []string

// Words of names, in lower case, that planning systems use.
var (
	operationWords  = role{"operation", "operations", "op", "segment", "process", "activity", "task", "routing", "stage", "arbeitsgang", "vorgang"}
	stepWords       = role{"step", "instruction", "workstep", "substep", "schritt", "arbeitsschritt", "etape"}
	stepListWords   = role{"steps", "worksteps", "instructions", "schritte", "arbeitsschritte"}
	itemWords       = role{"item", "material", "component", "article", "part", "artikel", "teil"}
	idWords         = role{"id", "ident", "identifier", "key", "number", "no", "nr", "code", "uid", "sku"}
	numberWords     = role{"number", "no", "nr", "num", "sequence", "seq", "pos", "position"}
	orderWords      = role{"order", "rank", "sequence", "seq", "sort", "n"}
	titleWords      = role{"title", "name", "label", "caption", "heading", "titel", "bezeichnung", "designation", "short"}
	textWords       = role{"text", "instruction", "instructions", "description", "descr", "desc", "body", "content", "detail", "details", "anweisung", "beschreibung", "long"}
	revisionWords   = role{"revision", "rev"}
	issueWords      = role{"issue", "edition", "index"}
	documentWords   = role{"doc", "document", "plan"}
	headWords       = role{"head", "header", "heading", "meta", "info", "kopf"}
	statusWords     = role{"status", "state"}
	langWords       = role{"lang", "language", "locale", "sprache"}
	quantityWords   = role{"quantity", "qty", "menge", "anzahl", "amount"}
	unitWords       = role{"unit", "uom", "einheit", "measure"}
	classWords      = role{"class", "category", "type", "klasse"}
	findWords       = role{"find", "balloon", "callout"}
	precedeWords    = role{"predecessor", "predecessors", "previous", "after", "depends", "follows"}
	buildWords      = role{"builds", "produces", "makes"}
	productWords    = role{"product"}
	kindWords       = role{"type", "kind", "use", "usage"}
	noteWords       = role{"note", "notes", "remark", "comment", "property", "parameter"}
	hazardWords     = role{"hazard", "hazards", "warning", "caution", "danger", "safety", "gefahr", "warnung", "attention", "care", "peril", "risk"}
	measureWords    = role{"nominal", "lower", "upper", "min", "max", "minimum", "maximum", "tolerance", "limit", "limits", "target", "torque", "characteristic", "measure"}
	confirmWords    = role{"signoff", "sign", "approval", "stamp", "witness", "confirmation"}
	placementWords  = role{"placement", "matrix", "transform", "transformation", "occurrence", "camera", "view"}
	workCentreWords = role{"workcentre", "workcenter", "workstation", "bench", "station", "centre"}
)

// suggests reports that a name has one of the words.
func (r role) suggests(name string) bool {
	if slices.Contains(r, strings.ToLower(name)) {
		return true
	}
	return slices.ContainsFunc(split(name), func(w string) bool { return slices.Contains(r, w) })
}

// ends reports that the last word of a name is one of the words: an orderId is an
// id, an idMax is none.
func (r role) ends(name string) bool {
	words := split(name)
	return slices.Contains(r, strings.ToLower(name)) || len(words) > 0 && slices.Contains(r, words[len(words)-1])
}

// split takes a name apart: partNumber, PART_NUMBER and part-number have two words.
func split(name string) []string {
	var words []string
	var word []rune
	end := func() {
		if len(word) > 0 {
			words = append(words, strings.ToLower(string(word)))
		}
		word = nil
	}
	runes := []rune(name)
	for i, r := range runes {
		upper := unicode.IsUpper(r) && i > 0 && (!unicode.IsUpper(runes[i-1]) || i+1 < len(runes) && unicode.IsLower(runes[i+1]))
		if upper || !unicode.IsLetter(r) {
			end()
		}
		if unicode.IsLetter(r) {
			word = append(word, r)
		}
	}
	end()
	return words
}
