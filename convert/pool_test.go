package convert

import (
	"context"
	"sync/atomic"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Of two jobs that need all memory one waits, and the small ones behind it do not.
func TestLargeJobsDoNotStarveThePool(t *testing.T) {
	small, large := make(chan bool), make(chan bool, 2)
	giant := job{memory: 4 * memoryBudget, do: func() error {
		large <- true
		assert.Len(t, large, 1, "giants run one at a time")
		<-small // a small job runs beside it
		<-large
		return nil
	}}
	tiny := job{memory: 1000, do: func() error { small <- true; return nil }}
	var done atomic.Int32
	require.NoError(t, pool(context.Background(), 2, []job{giant, giant, tiny, tiny}, func(int) { done.Add(1) }))
	assert.EqualValues(t, 4, done.Load())
}
