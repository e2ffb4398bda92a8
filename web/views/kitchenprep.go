package views

import (
	"context"
	"slices"
	"strings"
	"time"

	"fairladle/challenge/kitchen"
)

type PrepPage struct {
	KitchenPage
	List kitchen.PrepList
	Held []kitchen.Hold
}

// heating are the rows of the run sheet that turn an oven on.
func (p PrepPage) heating() (rows []kitchen.Row) {
	for _, r := range p.X.Sheet.Rows {
		if r.ID == "" {
			rows = append(rows, r)
		}
	}
	return rows
}

// when writes a time of the plan: with its day where that is not the serving
// day.
func (p PrepPage) when(ctx context.Context, at time.Time) string {
	if sameDay(at, p.X.Sheet.Serve) {
		return voice(ctx).Clock(at)
	}
	return voice(ctx).Moment(at)
}

func prepName(ctx context.Context, g kitchen.PrepGroup) string {
	if g.Component == "" {
		return t(ctx, "Weigh for %v", g.Dish)
	}
	return t(ctx, "Weigh for %v: %v", g.Dish, g.Component)
}

// sharesText says for whom a job is, where it is for several: "1 for A; 2 for B".
func sharesText(ctx context.Context, j kitchen.CutJob) string {
	parts := slices.Clone(j.Parts)
	for i := range parts {
		parts[i].Preparation = "" // the job's own
	}
	return kitchen.Shares(parts, voice(ctx).Say)
}

func holdDetails(ctx context.Context, h kitchen.Hold) string {
	parts := []string{h.Dish, t(ctx, h.Where), voice(ctx).Minutes(int(h.Until.Sub(h.From).Minutes()))}
	if h.AtMost > 0 {
		parts = append(parts, t(ctx, "keeps its quality for %v", voice(ctx).Minutes(h.AtMost)))
	}
	return strings.Join(parts, " · ")
}

// partAmount is what stands in the amount's column of the prep list.
func partAmount(ctx context.Context, p kitchen.Part) string {
	p.Preparation, p.Component = "", ""
	return p.Written(voice(ctx).Say)
}

func partFood(p kitchen.Part) string {
	if p.Preparation == "" {
		return p.Name
	}
	return p.Name + ", " + p.Preparation
}
