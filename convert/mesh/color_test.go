package mesh

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestLinearIsTheStandardsCurve(t *testing.T) {
	for i := range 256 {
		c := float64(i) / 255
		want := c / 12.92
		if c > 0.04045 {
			want = math.Pow((c+0.055)/1.055, 2.4)
		}
		assert.InDelta(t, want, Linear(c), 3e-15)
	}
	assert.Zero(t, Linear(-1))
	assert.Equal(t, 1.0, Linear(2))
}
