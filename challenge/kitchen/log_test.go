package kitchen

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

func TestLogBesidePlan(t *testing.T) {
	s := roastAndGratin()
	sheet := mustPlan(t, s)
	var roast Row
	for _, r := range sheet.Rows {
		if r.ID == "0:roast" {
			roast = r
		}
	}
	log := Log{{Task: "0:roast", Start: roast.Start.Add(3 * time.Minute), End: roast.End().Add(8 * time.Minute), Word: "still raw at the time"}}
	for _, c := range log.Compare(sheet) {
		if c.ID == "0:roast" {
			require.Equal(t, 3, c.Later)
			require.Equal(t, 5, c.Longer)
		} else {
			require.Zero(t, c.Longer)
		}
	}
	tasks := log.Correct(s.Dishes[0].Tasks, func(id string) string { return "0:" + id })
	require.Equal(t, 65, tasks[1].Minutes)
	require.Equal(t, 60, s.Dishes[0].Tasks[1].Minutes)
}
