package unit

import (
	"encoding/csv"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"planfold/testdata/open"
)

// Against the published list of UN/ECE Recommendation 20 (datasets/unece-units-of-measure).
func TestEveryCodeIsThatOfTheRecommendation(t *testing.T) {
	f, err := os.Open(open.Path(t, "units/data/units-of-measure.csv"))
	require.NoError(t, err)
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	require.Equal(t, []string{"Status", "CommonCode"}, rows[0][:2])
	require.Equal(t, "Symbol", rows[0][5])
	valid := 0
	for _, row := range rows[1:] {
		symbol, known := Symbol(row[1])
		assert.Equal(t, row[0] != "X", known, "code %s", row[1])
		if known {
			valid++
			if row[1] == one {
				require.Equal(t, "1", row[5])
				assert.Empty(t, symbol)
				continue
			}
			assert.Equal(t, strings.Join(strings.Fields(row[5]), " "), symbol, "code %s", row[1])
		}
	}
	assert.Len(t, symbols(), valid, "and no other")
}

func TestWhatOnlyLooksLikeACodeIsNone(t *testing.T) {
	for _, code := range []string{"", "KG", "mm", "C62 ", "\n", "Nm"} {
		_, known := Symbol(code)
		assert.False(t, known, "%q", code)
	}
	symbol, known := Symbol("NU")
	assert.Equal(t, "N·m", symbol)
	assert.True(t, known)
}
