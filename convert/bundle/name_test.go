package bundle

import (
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"
)

func TestNameKeepsPlainIdentifiers(t *testing.T) {
	for _, id := range []string{"OP-10", "a.b_c", "993466590.1", "CONSOLE", "0"} {
		assert.Equal(t, id, Name(id))
	}
}

func TestNameEscapesEveryOtherByte(t *testing.T) {
	assert.Equal(t, "step~207", Name("step 7"))
	assert.Equal(t, "a~2fb", Name("a/b"))
	assert.Equal(t, "N~c2~b7m", Name("N·m"))
	assert.Equal(t, "~7e", Name("~"))
}

// SHA-256 by coreutils: printf CON | sha256sum, and so on.
func TestNameOfReservedDottedAndLongIdentifiers(t *testing.T) {
	assert.Equal(t, "~~a3dbc4b6-CON", Name("CON"))
	assert.Regexp(t, `^~~[0-9a-f]{8}-aux\.txt$`, Name("aux.txt"))
	assert.Regexp(t, `^~~[0-9a-f]{8}-~2e~2e~2e$`, Name("..."))
	assert.Regexp(t, `^~~[0-9a-f]{8}-~2ehidden$`, Name(".hidden"))
	assert.Equal(t, "~~e3b0c442-", Name(""))
	assert.Len(t, Name(strings.Repeat("x", 81)), 2+8+1+60)
	assert.Equal(t, strings.Repeat("x", 80), Name(strings.Repeat("x", 80)))
}

func TestNamesTellLetterCaseApart(t *testing.T) {
	names := Names([]string{"S-1", "s-1", "S-2"})
	assert.Equal(t, "S-2", names[2])
	assert.NotEqual(t, strings.ToLower(names[0]), strings.ToLower(names[1]))
	assert.True(t, strings.HasPrefix(names[0], "~~"))
}

func TestNameIsSafeAndInjective(t *testing.T) {
	safe := regexp.MustCompile(`^[A-Za-z0-9_~-]([A-Za-z0-9._~-]*[A-Za-z0-9_~-])?$`)
	rapid.Check(t, func(t *rapid.T) {
		a, b := rapid.String().Draw(t, "a"), rapid.String().Draw(t, "b")
		if !safe.MatchString(Name(a)) || len(Name(a)) > 252 {
			t.Fatalf("%q gives %q", a, Name(a))
		}
		if a != b && Name(a) == Name(b) {
			t.Fatalf("%q and %q both give %q", a, b, Name(a))
		}
	})
}
