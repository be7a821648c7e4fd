package step

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestDuration(t *testing.T) {
	for text, want := range map[string]string{
		"PT20M": "|||||20|", "P24M": "|24|||||", "P1Y2M3W4DT5H6M7S": "1|2|3|4|5|6|7",
		"PT0,5H": "||||0,5||", "PT0.5H": "||||0.5||", "P0.5D": "|||0.5|||", "P1,5Y": "1,5||||||",
	} {
		assert.Equal(t, want, strings.Join(Duration(text), "|"), text)
	}
	for _, text := range []string{"", "P", "PT", "P1DT", "20 min", "-PT20M", "PT.5H", "PT5.H", "PT1.2.3S", "P1H", "PT1D", "PT1M2H"} {
		assert.Nil(t, Duration(text), text)
	}
}
