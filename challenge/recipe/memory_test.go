package recipe

import (
	"runtime"
	"testing"

	"github.com/stretchr/testify/require"
)

// What a breakdown keeps in memory stays within twenty times its text, over
// the whole corpus.
func TestMemoryOfBreakdowns(t *testing.T) {
	var texts []string
	size := 0
	for _, f := range corpusFiles(t) {
		texts = append(texts, mustRead(t, f))
		size += len(texts[len(texts)-1])
	}
	held := make([]Breakdown, 0, len(texts))
	before := inUse()
	for _, text := range texts {
		held = append(held, Read(text))
	}
	kept := inUse() - before
	runtime.KeepAlive(held)
	t.Logf("%d texts of %d bytes are held in %d: %.1f times", len(texts), size, kept, float64(kept)/float64(size))
	require.Less(t, float64(kept), 20*float64(size))
}

// inUse is the memory that is still reachable, in bytes.
func inUse() int64 {
	runtime.GC()
	runtime.GC()
	var m runtime.MemStats
	runtime.ReadMemStats(&m)
	return int64(m.HeapAlloc) //nolint:gosec // far below the limit
}
