package kitchen

import "time"

// LogEntry is what really happened with one task.
type LogEntry struct {
	Task    string    `json:"task"` // the row's ID
	Start   time.Time `json:"start,omitzero"`
	End     time.Time `json:"end,omitzero"`
	Skipped bool      `json:"skipped,omitempty"`
	Again   int       `json:"again,omitempty"`   // how often it is made again
	Longer  int       `json:"longer,omitempty"`  // minutes that it will take beyond the plan, while it runs
	Swapped string    `json:"swapped,omitempty"` // what was used instead
	Word    string    `json:"word,omitempty"`
	Photo   string    `json:"photo,omitempty"` // key of a stored photo
}

// Log is a cook's log of one service, in the order in which things were noted.
type Log []LogEntry

// Compared is one row of the plan beside what really happened.
type Compared struct {
	Row
	Log LogEntry
	// Later is how many minutes after its time the task began, Longer how many
	// minutes more than planned it took; both 0 where the log does not say.
	Later, Longer int
}

// Compare puts plan and log side by side, row by row of the sheet. Of several
// entries for one task the last one counts.
func (l Log) Compare(sheet RunSheet) []Compared {
	by := map[string]LogEntry{}
	for _, e := range l {
		by[e.Task] = e
	}
	var list []Compared
	for _, r := range sheet.Rows {
		c := Compared{Row: r, Log: by[r.ID]}
		if r.ID == "" {
			c.Log = LogEntry{}
		}
		if !c.Log.Start.IsZero() {
			c.Later = int(c.Log.Start.Sub(r.Start).Round(time.Minute).Minutes())
			if !c.Log.End.IsZero() {
				c.Longer = int(c.Log.End.Sub(c.Log.Start).Round(time.Minute).Minutes()) - r.Minutes
			}
		}
		list = append(list, c)
	}
	return list
}

// Correct sets the durations of a dish's tasks to what they really took, where
// the log has both ends. dish is its place in the service.
func (l Log) Correct(tasks []Task, id func(task string) string) []Task {
	out := append([]Task(nil), tasks...)
	for i := range out {
		for _, e := range l {
			if e.Task != id(out[i].ID) || e.Start.IsZero() || !e.End.After(e.Start) {
				continue
			}
			out[i].Minutes = max(1, int(e.End.Sub(e.Start).Round(time.Minute).Minutes()))
			out[i].Guess, out[i].Source = false, FromLog
		}
	}
	return out
}
