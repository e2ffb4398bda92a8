package kitchen

import (
	"fmt"
	"slices"
	"time"

	"fairladle/challenge/kitchen/schedule"
	"fairladle/challenge/recipe"
	"fairladle/challenge/wording"
)

// sheet writes a plan down as rows.
func (b *book) sheet(p *schedule.Problem, res schedule.Result) RunSheet {
	sheet := RunSheet{Serve: b.s.Serve, Notes: b.notes, Proved: res.Proved}
	if res.Plan == nil {
		return sheet
	}
	plan := *res.Plan
	sheet.Serve = b.clock(plan.Start[b.served])
	sheet.Late = plan.Start[b.served] - b.serve
	for k, l := range p.Levels {
		sheet.Wishes = append(sheet.Wishes, Wish{wording.Of(l.Name), res.Costs[k], res.Bounds[k]})
	}
	slack := b.slack(p, plan)
	plan = b.sinceStart(plan)
	who := b.assign(plan)
	first := plan.Start[b.served]
	for i, t := range b.tasks {
		row := Row{ID: t.full, Start: b.clock(plan.Start[i]), Minutes: t.minutes(), Who: who[i], Dish: b.title(t.dish),
			What: t.Name, Text: t.Text, Where: b.where(i, plan), Kind: t.Kind, Guess: t.Guess, Source: t.Source,
			LookIn: t.Attended == recipe.Part, Slack: slack[i]}
		sheet.Rows = append(sheet.Rows, row)
		if plan.Start[i] >= b.day {
			first = min(first, plan.Start[i])
		}
	}
	sheet.DayBegins = b.clock(first)
	b.tightest(&sheet)
	sheet.Rows = append(sheet.Rows, b.heating(plan)...)
	slices.SortStableFunc(sheet.Rows, func(x, y Row) int {
		if c := x.Start.Compare(y.Start); c != 0 {
			return c
		}
		return x.End().Compare(y.End())
	})
	return sheet
}

// sinceStart shows what is running from its real start on; the scheduler only
// knows what is left of it.
func (b *book) sinceStart(plan schedule.Plan) schedule.Plan {
	plan.Start = slices.Clone(plan.Start)
	for i, st := range b.state {
		if st.stage == running {
			plan.Start[i] = st.start
		}
	}
	return plan
}

func (b *book) clock(minute int) time.Time { return b.begin.Add(time.Duration(minute) * time.Minute) }

// assign shares the attended tasks out: whoever is free, the one who has worked
// on the dish last if possible. There is always somebody, because the plan never
// asks for more hands than there are.
func (b *book) assign(plan schedule.Plan) []string {
	names := b.s.cooks()
	who := make([]string, len(b.tasks))
	free := make([]int, len(names))
	last := make([]int, len(names))
	for k := range last {
		last[k] = -2
	}
	order := make([]int, len(b.tasks))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(i, j int) int { return plan.Start[i] - plan.Start[j] })
	for _, i := range order {
		t := b.tasks[i]
		if r, ok := b.was[t.full]; ok && b.begun(i) {
			who[i] = r.Who
			if k := slices.Index(names, r.Who); k >= 0 && !b.loose[i] {
				free[k], last[k] = max(free[k], plan.Start[i]+t.minutes()), t.dish
			}
			continue
		}
		if !t.hands() {
			continue
		}
		best := -1
		for k := range names {
			if free[k] <= plan.Start[i] && (best < 0 || (last[k] == t.dish && last[best] != t.dish)) {
				best = k
			}
		}
		if best >= 0 {
			who[i] = names[best]
			free[best], last[best] = plan.Start[i]+t.minutes(), t.dish
		}
	}
	return who
}

// where names the equipment of a task.
func (b *book) where(i int, plan schedule.Plan) string {
	t := b.tasks[i]
	if r, ok := b.was[t.full]; ok && b.begun(i) && (t.Machine != oven || b.state[i].stage == done) {
		return r.Where
	}
	if inTheCold(t.Machine) {
		return t.Machine
	}
	if _, ok := b.res.by[t.Machine]; !ok {
		return ""
	}
	if t.Machine != oven {
		return t.Machine
	}
	if b.s.Kitchen.Ovens > 1 {
		return fmt.Sprintf("oven %d, %d °C", plan.Unit[i]+1, t.OvenC)
	}
	return fmt.Sprintf("oven, %d °C", t.OvenC)
}

// heating adds a row wherever an oven must be turned to another temperature, or
// turned on again after an hour without use.
func (b *book) heating(plan schedule.Plan) []Row {
	var rows []Row
	for u := range b.s.Kitchen.Ovens {
		var uses []int
		for i, t := range b.tasks {
			if t.Machine == oven && plan.Unit[i] == u {
				uses = append(uses, i)
			}
		}
		slices.SortStableFunc(uses, func(i, j int) int { return plan.Start[i] - plan.Start[j] })
		temp, until := 0, 0
		for _, i := range uses {
			t := b.tasks[i]
			if temp != t.OvenC || plan.Start[i]-until > 60 {
				name := wording.Of("Turn the oven to %v °C", t.OvenC)
				if b.s.Kitchen.Ovens > 1 {
					name = wording.Of("Turn oven %v to %v °C", u+1, t.OvenC)
				}
				rows = append(rows, Row{Start: b.clock(plan.Start[i] - preheat), Minutes: preheat, Kind: Other,
					What: name, Where: b.where(i, plan), Guess: true, Source: practice, Slack: -1})
			}
			temp, until = t.OvenC, max(until, plan.Start[i]+t.minutes())
		}
	}
	return rows
}

// slack works out for each task how much later it could start with the plates
// still in time, if everything keeps its order on hands and machines.
func (b *book) slack(p *schedule.Problem, plan schedule.Plan) []int {
	n := len(p.Tasks)
	latest := make([]int, n)
	order := make([]int, n)
	for i := range order {
		order[i] = i
		latest[i] = p.Horizon
	}
	slices.SortStableFunc(order, func(i, j int) int {
		return plan.Start[j] + p.Tasks[j].Duration - plan.Start[i] - p.Tasks[i].Duration
	})
	latest[b.served] = max(b.serve, plan.Start[b.served])
	for range 3 { // ties in the order settle within a few rounds
		for _, i := range order {
			for _, a := range p.Arcs {
				if a.From == i && a.Wait >= 0 {
					latest[i] = min(latest[i], latest[a.To]-a.Wait)
				}
			}
			for j := range p.Tasks {
				if wait, ok := b.follows(p, plan, i, j); ok {
					latest[i] = min(latest[i], latest[j]-wait)
				}
			}
		}
	}
	for i := range latest {
		latest[i] = max(0, latest[i]-plan.Start[i])
		if i < len(b.tasks) && plan.Start[i] < b.day {
			latest[i] = -1
		}
	}
	return latest
}

// follows tells whether j comes after i on hands or a machine, and how long
// after the start of i it must.
func (b *book) follows(p *schedule.Problem, plan schedule.Plan, i, j int) (int, bool) {
	d := p.Tasks[i].Duration
	if i == j || plan.Start[j] < plan.Start[i]+d || d == 0 {
		return 0, false
	}
	for _, x := range p.Tasks[i].Needs {
		for _, y := range p.Tasks[j].Needs {
			if x.Resource != y.Resource {
				continue
			}
			if x.State != schedule.NoState && x.State != y.State && plan.Unit[i] == plan.Unit[j] {
				return d + preheat, true
			}
			if x.State == schedule.NoState || plan.Unit[i] == plan.Unit[j] {
				return d, true
			}
		}
	}
	return 0, false
}

// tightest finds where the serving day has least room.
func (b *book) tightest(sheet *RunSheet) {
	sheet.Slack = NoLimit
	for i, r := range sheet.Rows { // rows and tasks are still in one order
		if r.Slack >= 0 && r.Kind != Plate && !b.waitsForPlates(b.tasks[i]) && (sheet.Slack == NoLimit || r.Slack < sheet.Slack) {
			sheet.Slack, sheet.SlackTask = r.Slack, r.What
		}
	}
	sheet.Slack = max(0, sheet.Slack)
}
