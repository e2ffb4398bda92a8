package schedule

import (
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

const psplib = "../../../../shared/psplib"

// mustOptima reads the proved optima, or skips where the data is absent.
func mustOptima(t *testing.T) map[string]int {
	t.Helper()
	text, err := os.ReadFile(filepath.Join(psplib, "j30opt.csv"))
	if err != nil {
		t.Skip("PSPLIB instances are not there: ../shared/psplib")
	}
	optima := map[string]int{}
	for _, line := range strings.Split(strings.TrimSpace(string(text)), "\n")[1:] {
		f := strings.Split(line, ",")
		optima[f[0]], err = strconv.Atoi(f[3])
		require.NoError(t, err)
	}
	return optima
}

// stepsInASecond is what one second of search does at J30 on a quiet machine
// with two slow cores; counting steps keeps the test from depending on its
// neighbours. FAIRLADLE_LONG=1 counts the second itself.
const stepsInASecond = 85_000

// J30 of PSPLIB (R. Kolisch, A. Sprecher, European J. of Operational Research
// 96, 1997): every instance within a second, at least 45 of 48 proved.
func TestJ30(t *testing.T) {
	optima := mustOptima(t)
	require.Len(t, optima, 48)
	files, err := filepath.Glob(filepath.Join(psplib, "j30", "*.sm"))
	require.NoError(t, err)
	require.Len(t, files, 48)
	proved, best := 0, 0
	for _, file := range files {
		name := strings.TrimSuffix(filepath.Base(file), ".sm")
		f, err := os.Open(file)
		require.NoError(t, err)
		p, err := ReadPSPLIB(f)
		require.NoError(t, f.Close())
		require.NoError(t, err)
		opt, limit := Options{MaxSteps: stepsInASecond}, time.Minute
		if os.Getenv("FAIRLADLE_LONG") != "" {
			opt, limit = Options{}, time.Second
		}
		res := mustSolve(t, p, opt, limit)
		require.NotNil(t, res.Plan, name)
		require.GreaterOrEqual(t, res.Costs[0], optima[name], name)
		require.LessOrEqual(t, res.Bounds[0], optima[name], name)
		if res.Proved {
			proved++
			require.Equal(t, optima[name], res.Costs[0], name)
		}
		if res.Costs[0] == optima[name] {
			best++
		}
	}
	t.Logf("%d of 48 best, %d proved", best, proved)
	require.GreaterOrEqual(t, proved, 45)
	require.Equal(t, 48, best)
}
