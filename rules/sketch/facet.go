package sketch

import (
	"encoding/xml"
	"hash/fnv"
	"regexp"
	"strconv"
	"strings"
	"unicode"

	"planfold/convert/step"
)

// Limits of what is kept of an export.
const (
	maxPaths  = 2_000
	maxValues = 1 << 20 // values that are remembered, of all facets together
	maxSample = 2_000   // values of a facet that are looked for elsewhere
	maxText   = 1 << 16 // bytes of one text
)

// facet is an attribute of the elements of a path, or their text, and what its
// values look like.
type facet struct {
	of      *path
	attr    xml.Name // zero: the text
	count   int      // of values that are not empty
	example string   // the first
	values  map[uint64]bool
	sample  []uint64
	missed  bool // values are no longer remembered
	twice   bool // a value comes again
	decimal int
	short   int // without white space
	words   int
	lang    int
	warns   int               // that begin with a signal word
	figures int               // of the longest value
	files   map[string]ending // by extension
	order   order
}

// ending is how many values end in an extension, and the first of them.
type ending struct {
	count   int
	example string
}

var (
	decimalValue = regexp.MustCompile(`^[+-]?[0-9]+([.,][0-9]+)?$`)
	fileValue    = regexp.MustCompile(`(?i)^[^<>"|?*]*\.(stl|obj|glb|gltf|stp|step|jpe?g|png|gif|svg|webp|pdf|mp4|webm|mov)$`)
	langValue    = regexp.MustCompile(`^[a-z]{2}([-_][A-Za-z]{2})?$`)
)

// learn looks at a value. It says how many values it remembered.
func (f *facet) learn(value string, room int) int {
	value = strings.Join(strings.Fields(value), " ")
	if value == "" {
		return 0
	}
	if f.count++; f.count == 1 {
		f.example = value
	}
	f.words += strings.Count(value, " ") + 1
	f.figures = max(f.figures, len(value))
	if !strings.ContainsRune(value, ' ') {
		f.short++
	}
	if decimalValue.MatchString(value) {
		f.decimal++
	}
	if step.BeginsWithSignalWord(value + ":") { // a word alone may be one in small letters
		f.warns++
	}
	if langValue.MatchString(value) {
		f.lang++
	}
	if end := extension(value); end != "" {
		if f.files == nil {
			f.files = map[string]ending{}
		}
		e := f.files[end]
		if e.count++; e.count == 1 {
			e.example = value
		}
		f.files[end] = e
	}
	return f.remember(value, room)
}

// extension is that of a name of a file, or empty.
func extension(value string) string {
	m := fileValue.FindStringSubmatch(value)
	if m == nil {
		return ""
	}
	return m[1]
}

func (f *facet) remember(value string, room int) int {
	h := hash(value)
	if len(f.sample) < maxSample {
		f.sample = append(f.sample, h)
	}
	if f.values[h] {
		f.twice = true
		return 0
	}
	if room <= 0 {
		f.missed = true
		return 0
	}
	if f.values == nil {
		f.values = map[uint64]bool{}
	}
	f.values[h] = true
	return 1
}

func hash(value string) uint64 {
	h := fnv.New64a()
	h.Write([]byte(value))
	return h.Sum64()
}

// number reports that all values are decimal numbers.
func (f *facet) number() bool { return f.count > 0 && f.decimal == f.count }

// file reports that nearly all values look like names of files.
func (f *facet) file() bool {
	n := 0
	for _, e := range f.files {
		n += e.count
	}
	return n > 0 && 10*n >= 8*f.count
}

// unique reports that each element of the path has a value of its own.
func (f *facet) unique(elements int) bool {
	return !f.twice && f.count == elements && f.short == f.count && f.figures <= 64 && !f.file()
}

// wordy is the mean number of words.
func (f *facet) wordy() int {
	if f.count == 0 {
		return 0
	}
	return f.words / f.count
}

// within reports that all of a facet's values are values of another one.
func (f *facet) within(in *facet) bool {
	for _, h := range f.sample {
		if !in.values[h] {
			return false
		}
	}
	return len(f.sample) > 0
}

// found is which part of a facet's values are values of another one, in hundredths.
func (f *facet) found(in *facet) int {
	if len(f.sample) == 0 {
		return 0
	}
	n := 0
	for _, h := range f.sample {
		if in.values[h] {
			n++
		}
	}
	return 100 * n / len(f.sample)
}

// shown is the example for a comment, cut short.
func (f *facet) shown() string { return shown(f.example) }

func shown(example string) string {
	const longest = 40
	var b strings.Builder
	n := 0
	for _, r := range example {
		if n++; n > longest {
			b.WriteString("…")
			break
		}
		if !unicode.IsPrint(r) {
			r = '�'
		}
		b.WriteRune(r)
	}
	return strconv.Quote(b.String())
}
