package challenge

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"fairladle/challenge/kitchen"
)

// A CookNote is a button pressed, or a word written, beside one task while
// cooking.
type CookNote struct {
	Task    string // full number on the run sheet, "0:c1.s2"
	Do      string // start, done, again, late, skip, undo, word
	Minutes int    // late: how many more
	Word    string
	Swapped string
	Photo   string // key of a stored photo
}

// maxWord is how much may be written beside one task.
const maxWord = 1000

// LastNotes is the newest entry of each task.
func LastNotes(log kitchen.Log) map[string]kitchen.LogEntry {
	last := map[string]kitchen.LogEntry{}
	for _, e := range log {
		last[e.Task] = e
	}
	return last
}

// Note turns a button into the entry that the log gets. Pressing twice is no
// error: fresh is then false, and nothing is to be written.
func (n CookNote) Note(sheet kitchen.RunSheet, log kitchen.Log, now time.Time) (e kitchen.LogEntry, fresh bool, err error) {
	task := n.Task
	if n.Do == "again" { // copies count on the task they repeat
		task, _, _ = strings.Cut(task, "+")
	}
	i := slices.IndexFunc(sheet.Rows, func(r kitchen.Row) bool { return r.ID == n.Task && r.ID != "" })
	if i < 0 {
		return e, false, NotFound("There is no such task on the run sheet.")
	}
	e = LastNotes(log)[task]
	e.Task = task
	begun, ended := !e.Start.IsZero(), !e.End.IsZero()
	switch n.Do {
	case "start":
		if begun {
			return e, false, nil
		}
		e.Start, e.Skipped = now, false
	case "done":
		if ended {
			return e, false, nil
		}
		if !begun {
			e.Start = earlierOf(sheet.Rows[i].Start, now)
		}
		e.End, e.Skipped = now, false
	case "again":
		if !begun {
			return e, false, Refuse(Shut, "", "“%v” has not been started yet, so there is nothing to make again.", sheet.Rows[i].What)
		}
		if !ended {
			e.End = now
		}
		e.Again++
	case "late":
		if !begun || ended {
			return e, false, Refuse(Shut, "", "“%v” is not under way. Press “Started” when you begin with it; the plan follows by itself.", sheet.Rows[i].What)
		}
		if n.Minutes < 1 || n.Minutes > 12*60 {
			return e, false, Refuse(Invalid, "minutes", "Say how many minutes longer it takes: 1 to 720.")
		}
		e.Longer += n.Minutes
	case "skip":
		if e.Skipped || ended {
			return e, false, nil
		}
		e.Skipped, e.Start = true, time.Time{}
	case "undo":
		return undone(e)
	case "word":
		if len(n.Word) > maxWord || len(n.Swapped) > maxWord {
			return e, false, Refuse(Invalid, "word", "This is too long: at most %v characters.", maxWord)
		}
		e.Word, e.Swapped = n.Word, n.Swapped
		if n.Photo != "" {
			e.Photo = n.Photo
		}
	default:
		return e, false, Refuse(Invalid, "", "There is no such button on this page.")
	}
	return e, true, nil
}

// undone takes the last button of a task back.
func undone(e kitchen.LogEntry) (kitchen.LogEntry, bool, error) {
	switch {
	case e.Skipped:
		e.Skipped = false
	case e.Again > 0:
		e.Again--
	case !e.End.IsZero():
		e.End = time.Time{}
	case !e.Start.IsZero():
		e.Start, e.Longer = time.Time{}, 0
	default:
		return e, false, nil
	}
	return e, true, nil
}

func earlierOf(a, b time.Time) time.Time {
	if a.Before(b) {
		return a
	}
	return b
}

// Moves tells whether a note changes what is still to come, so that the plan
// must follow: pressing a button within two minutes of its time does not.
func (n CookNote) Moves(sheet kitchen.RunSheet, now time.Time) bool {
	const near = 2 * time.Minute
	i := slices.IndexFunc(sheet.Rows, func(r kitchen.Row) bool { return r.ID == n.Task })
	switch {
	case n.Do == "word" || i < 0:
		return false
	case n.Do == "start":
		return sheet.Rows[i].Start.Sub(now).Abs() > near
	case n.Do == "done":
		return sheet.Rows[i].End().Sub(now).Abs() > near
	}
	return true
}

// Corrected gives every dish the durations that the log holds.
func (s *Service) Corrected(recipes []Written, log kitchen.Log) {
	s.Dishes = slices.Clone(s.Dishes)
	last := LastNotes(log)
	log = slices.DeleteFunc(slices.Clone(log), func(e kitchen.LogEntry) bool { return e != last[e.Task] })
	at := 0
	for i := range s.Dishes {
		d := &s.Dishes[i]
		if d.Out {
			continue
		}
		prefix := fmt.Sprintf("%d:", at)
		d.Tasks = log.Correct(s.allTasks(*d, recipes), func(task string) string { return prefix + task })
		d.For = s.Portions
		at++
	}
}
