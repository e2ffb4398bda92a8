package schedule

import (
	"bytes"
	"os"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"github.com/stretchr/testify/require"
)

// stopwatch is the clock of the benchmark in tests.
func stopwatch() func() time.Duration {
	from := time.Now()
	return func() time.Duration { return time.Since(from) }
}

func TestBenchmarkTable(t *testing.T) {
	ft06, err := os.ReadFile("testdata/ft06.txt")
	require.NoError(t, err)
	root := fstest.MapFS{
		"a/ft06.txt":   {Data: ft06},
		"b/broken.sm":  {Data: []byte("no instance")},
		"b/readme.doc": {Data: []byte("not looked at")},
	}
	rows, err := Benchmark(t.Context(), root, 10*time.Second, stopwatch())
	require.NoError(t, err)
	require.Len(t, rows, 2)
	require.Equal(t, "ft06", rows[0].Instance)
	require.Equal(t, 55, rows[0].Makespan)
	require.True(t, rows[0].Proved)
	require.ErrorIs(t, rows[1].Err, ErrFormat)
	var out bytes.Buffer
	require.NoError(t, WriteTable(&out, rows))
	require.Equal(t, 3, strings.Count(out.String(), "\n"))
}

// FAIRLADLE_LONG=1 go test -run TestBenchmarkAll -v prints the whole table.
func TestBenchmarkAll(t *testing.T) {
	if os.Getenv("FAIRLADLE_LONG") == "" {
		t.Skip("set FAIRLADLE_LONG=1 for the benchmark table")
	}
	for _, dir := range []string{"testdata", psplib + "/j30"} {
		limit := 20 * time.Second
		if dir != "testdata" {
			limit = time.Second
		}
		rows, err := Benchmark(t.Context(), os.DirFS(dir), limit, stopwatch())
		require.NoError(t, err)
		var out bytes.Buffer
		require.NoError(t, WriteTable(&out, rows))
		t.Log("\n" + out.String())
	}
}

func FuzzReadPSPLIB(f *testing.F) {
	f.Add("PRECEDENCE RELATIONS:\n1 1 1 2\n2 1 0\nREQUESTS/DURATIONS:\n1 1 0 0\n2 1 3 1\nRESOURCEAVAILABILITIES:\n4\n")
	f.Fuzz(func(t *testing.T, text string) {
		if p, err := ReadPSPLIB(strings.NewReader(text)); err == nil {
			require.NoError(t, p.Validate())
		}
	})
}

func FuzzReadJobShop(f *testing.F) {
	f.Add("1 2\n0 3 1 4\n")
	f.Fuzz(func(t *testing.T, text string) {
		if p, err := ReadJobShop(strings.NewReader(text)); err == nil {
			require.NoError(t, p.Validate())
		}
	})
}
