package plan

// Limits of one export. They are far above any plan in use and keep a hostile
// one from taking the machine's memory or time.
const (
	maxDepth      = 256      // elements open at once
	maxAttributes = 1024     // of an element, declarations of namespaces included
	maxName       = 1 << 10  // bytes of a name
	maxTag        = 1 << 20  // bytes of a tag, a processing instruction or a document type
	maxText       = 16 << 20 // bytes of one text, CDATA section or comment
	maxRecord     = 64 << 20 // bytes of memory that a record and what it holds take, about
)

// What the reader takes an element, a text and an attribute to cost in memory,
// beyond their characters: the sizes of the structs and of their share of a slice.
const (
	elementCost   = 192
	textCost      = 64
	attributeCost = 64
)
