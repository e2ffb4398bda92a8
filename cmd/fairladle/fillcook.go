package main

import (
	"context"
	"fmt"
	"time"

	"fairladle/challenge"
	"fairladle/store"
)

// until lets time go by up to a moment.
func (r *rehearsed) until(t time.Time) {
	r.days = t.Sub(r.started) - r.story.Closes
	r.at(r.story.Closes + r.days)
}

// cookingDay lets the night pass: it is ten in the morning where the challenge
// is.
func (r *rehearsed) cookingDay() error {
	zone, err := time.LoadLocation(r.filling.story.Zone)
	if err != nil {
		return err
	}
	y, m, d := r.clock.now().In(zone).Date()
	r.until(time.Date(y, m, d+1, 10, 0, 0, 0, zone))
	return nil
}

// serve plans the dishes for six in the evening and cooks them by the run sheet.
func (r *rehearsed) serve(ctx context.Context, round challenge.Round, cook string) error {
	serve := r.clock.now().Add(8 * time.Hour)
	err := r.db.DecideService(ctx, r.host, r.id, round.ID, 0, func(_ store.Cooking, s *challenge.Service) error {
		s.Serve, s.Cooks, s.Camera = serve, []string{cook}, 10
		return nil
	})
	if err != nil {
		return err
	}
	for range 400 {
		x, err := r.db.Cooking(ctx, r.host, r.id, round.ID)
		if err != nil {
			return err
		}
		note, at := nextNote(x)
		if note.Do == "" {
			break
		}
		if at.After(r.clock.now()) {
			r.until(at)
		}
		if err := r.db.NoteCooking(ctx, r.host, r.id, round.ID, note); err != nil {
			return fmt.Errorf("cook by the run sheet: %w", err)
		}
	}
	return nil
}

// The slowest task of the evening, counted as they end, takes longer by minutes.
const (
	slowest = 6
	longer  = 5
)

// nextNote is the button that a cook who follows the run sheet presses next.
func nextNote(x store.Cooking) (note challenge.CookNote, at time.Time) {
	last := challenge.LastNotes(x.Log)
	ended := 0
	for _, e := range last {
		if !e.End.IsZero() {
			ended++
		}
	}
	if e := x.Log[max(0, len(x.Log)-1):]; ended == slowest && len(e) > 0 && e[0].Word == "" && !e[0].End.IsZero() {
		e := e[0]
		return challenge.CookNote{Task: e.Task, Do: "word", Word: "Took longer than written; the pan was crowded."}, at
	}
	for _, r := range x.Sheet.Rows {
		e := last[r.ID]
		if r.ID == "" || e.Skipped || !e.End.IsZero() {
			continue
		}
		do, when := "start", r.Start
		if !e.Start.IsZero() {
			do, when = "done", e.Start.Add(time.Duration(r.Minutes)*time.Minute)
			if ended == slowest-1 {
				when = when.Add(longer * time.Minute)
			}
		}
		if note.Do == "" || when.Before(at) || (when.Equal(at) && do == "done" && note.Do == "start") {
			note, at = challenge.CookNote{Task: r.ID, Do: do}, when
		}
	}
	return note, at
}
