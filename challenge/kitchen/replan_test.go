package kitchen

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// cookedUntil writes the log of a cook who keeps to the sheet until now.
func cookedUntil(sheet RunSheet, now time.Time) Log {
	var log Log
	for _, r := range sheet.Rows {
		if r.ID == "" || !r.Start.Before(now) {
			continue
		}
		e := LogEntry{Task: r.ID, Start: r.Start}
		if !r.End().After(now) {
			e.End = r.End()
		}
		log = append(log, e)
	}
	return log
}

func rowOf(t require.TestingT, sheet RunSheet, id string) Row {
	for _, r := range sheet.Rows {
		if r.ID == id {
			return r
		}
	}
	require.Fail(t, "no row "+id)
	return Row{}
}

// mustReplan plans again from a log that followed the sheet, and has the checker
// look at it.
func mustReplan(t *testing.T, s Service, was RunSheet, log Log, now time.Time) (RunSheet, string) {
	t.Helper()
	again, says, err := Replan(t.Context(), s, was, log, now)
	require.NoError(t, err)
	require.Empty(t, Check(s, again, now))
	return again, says.String()
}

func TestAsPlanned(t *testing.T) {
	s := roastAndGratin()
	sheet := mustPlan(t, s)
	now := time.Date(2027, 1, 30, 17, 20, 0, 0, time.UTC)
	again, says := mustReplan(t, s, sheet, cookedUntil(sheet, now), now)
	require.Equal(t, "Nothing else moves; the plates are on the table at 18:00, as planned.", says)
	require.Equal(t, rowOf(t, sheet, "1:plate").Start, rowOf(t, again, "1:plate").Start)
}

// The gratin burns at 17:46 and is sliced and baked again: 25 minutes and 45
// minutes for one cook, in an oven that is still hot, then plating; the joint's
// plates are done while it bakes. It cannot be served before 17:46 + 25 + 45 + 4,
// and needs no more, so 19:00.
func TestBurntGratin(t *testing.T) {
	s := roastAndGratin()
	sheet := mustPlan(t, s)
	now := time.Date(2027, 1, 30, 17, 46, 0, 0, time.UTC)
	log := cookedUntil(sheet, now)
	for i := range log {
		if log[i].Task == "1:slice" || log[i].Task == "1:bake" {
			log[i].Again = 1
		}
	}
	from := time.Now()
	again, says := mustReplan(t, s, sheet, log, now)
	require.Less(t, time.Since(from), 8*time.Second) // a second; more on a busy machine
	require.Equal(t, "19:00", again.Serve.Format("15:04"))
	require.Equal(t, "17:46", rowOf(t, again, "1:slice+1").Start.Format("15:04"))
	require.Equal(t, "18:11", rowOf(t, again, "1:bake+1").Start.Format("15:04"))
	require.Contains(t, says, "60 minutes later than planned")
}

func TestLateAndSkip(t *testing.T) {
	s := roastAndGratin()
	sheet := mustPlan(t, s)
	now := rowOf(t, sheet, "1:bake").Start.Add(time.Minute)
	log := cookedUntil(sheet, now)
	for i := range log {
		if log[i].Task == "1:bake" {
			log[i].Longer = 30
		}
	}
	late, says := mustReplan(t, s, sheet, log, now)
	require.Contains(t, says, "20 minutes later than planned") // ten were free
	require.Equal(t, "18:20", late.Serve.Format("15:04"))

	skip, _ := mustReplan(t, s, sheet, append(log, LogEntry{Task: "0:rest", Skipped: true}), now)
	require.Zero(t, rowOf(t, skip, "0:rest").Minutes)
}

// Whatever has happened by any moment, the new plan starts nothing before now
// and has nobody do two things at once from then on.
func TestReplanAnyTime(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawService(t)
		sheet := mustPlan(t, s)
		now := sheet.DayBegins.Add(time.Duration(rapid.IntRange(0, 120).Draw(t, "now")) * time.Minute)
		log := cookedUntil(sheet, now)
		for i := range log {
			if rapid.IntRange(0, 3).Draw(t, "again") == 0 {
				log[i].Again = 1
			}
			log[i].Longer = rapid.IntRange(0, 20).Draw(t, "longer")
		}
		begun := map[string]bool{}
		for _, e := range log {
			begun[e.Task] = true
		}
		eager := false
		for _, r := range sheet.Rows { // the cook begins things that are not due, too
			if r.ID != "" && !begun[r.ID] && rapid.IntRange(0, 5).Draw(t, "eager") == 0 {
				log = append(log, LogEntry{Task: r.ID, Start: now.Add(-time.Minute)})
				begun[r.ID], eager = true, true
			}
		}
		again, _, err := Replan(t.Context(), s, sheet, log, now)
		require.NoError(t, err)
		require.NotEmpty(t, again.Rows)
		if !eager { // what a cook crams in at once is judged by nobody
			require.Empty(t, Check(s, again, now))
		}
		for i, r := range again.Rows {
			if r.ID == "" || begun[r.ID] || r.Minutes == 0 {
				continue
			}
			require.False(t, r.Start.Before(now), r.What)
			for _, o := range again.Rows[:i] {
				if o.Who == r.Who && r.Who != "" && o.ID != "" && !begun[o.ID] {
					require.False(t, r.Start.Before(o.End()) && o.Start.Before(r.End()), "%s, %s", o.What, r.What)
				}
			}
		}
	})
}
