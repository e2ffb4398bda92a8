package kitchen

import (
	"fmt"
	"slices"

	"fairladle/challenge/measure"
	"fairladle/challenge/recipe"
	"fairladle/challenge/wording"
)

// Rules by which a breakdown becomes tasks. All are common practice without a
// published source, and the host corrects what they get wrong.
//
//  1. A component begins with one prep task: weighing every line, and the
//     cutting that the lines ask for.
//  2. A step that only heats the oven sets the temperature for the steps that
//     follow; the plan itself says when to turn the oven on.
//  3. A step that leaves the food alone for five minutes or more becomes an
//     attended start (two minutes, and two for each word of handiwork in it) and
//     a wait; one that needs looking in on keeps the cook for a fifth of its time.
//  4. A step of a component waits for the steps whose bowl, pan or tray it goes
//     on with: those whose foods, made things or vessels it names, and the one
//     before it, unless its words begin something of their own or say that it
//     goes on beside. What is cut may go to several places; what nobody names
//     again is waited for by the plate.
//  5. Where all ingredients stand before one method, a component's prep is
//     waited for by the first step that uses any of it.
//  6. More portions than the recipe serves do not make a step longer, but cutting
//     grows with the amounts, what is fried goes in batches, and what is baked
//     fills more trays; where the kitchen says how much a piece takes at once,
//     that decides.
//  7. A step of several sentences becomes a task for each that has a time of its
//     own or is handiwork.
//  8. Every dish ends with plating, a minute a plate.

// Tasks derives the dish's tasks for a number of portions.
func (d Dish) derive(portions int) []Task {
	b := deriver{dish: d, portions: portions, factor: measure.Whole(1), last: map[int][]string{}, opens: map[int]string{}, used: map[string]bool{},
		at: map[string]int{}, heads: map[string]bool{}, names: map[string]bool{}}
	b.factor, _ = d.factor(portions)
	b.ingredientWords()
	for c := range d.Breakdown.Components {
		if !slices.Contains(d.Bought, c) {
			b.component(c)
		}
	}
	b.preps()
	b.join()
	b.back()
	b.plate()
	b.holds()
	return b.tasks
}

// Derive returns the tasks of a dish: the host's where there are any, else those
// that follow from the recipe's text.
func (d Dish) Derive(portions int) []Task {
	if d.Tasks != nil {
		return slices.Clone(d.Tasks)
	}
	return d.derive(portions)
}

// deriver builds the tasks of one dish.
type deriver struct {
	dish     Dish
	portions int
	factor   measure.Number // portions wanted by portions served
	tasks    []Task
	at       map[string]int   // place of a task in tasks
	heads    map[string]bool  // last words of the ingredients' names
	names    map[string]bool  // all words of them
	ovenC    int              // set by the last step that names a temperature
	last     map[int][]string // by component: tasks that nothing in it follows yet
	opens    map[int]string   // by component: its first task
	streams  []stream         // of the component at hand
	bare     []string         // its tasks that name nothing: "bake for an hour"
	used     map[string]bool
	links    []wanted
	machine  string // of the step that the one at hand goes on with
	tray     bool   // the food lies on something for the oven
}

// wanted is a link to a component whose tasks may not be there yet.
type wanted struct {
	task      string
	component int
}

func (b *deriver) component(c int) {
	comp := b.dish.Breakdown.Components[c]
	b.streams, b.bare = nil, nil
	thawing := b.thaw(c, comp)
	if t, ok := b.prep(c, comp); ok {
		b.add(c, t, thawing)
	}
	for k, st := range comp.Steps {
		b.step(c, k, st)
	}
	b.gather(c)
}

// prep is the mise en place of a component.
func (b *deriver) prep(c int, comp recipe.Component) (Task, bool) {
	if len(comp.Ingredients) == 0 {
		return Task{}, false
	}
	weigh, source := minutesOf("measure and weigh ingredients")
	minutes := weigh * float64(len(comp.Ingredients))
	for _, in := range comp.Ingredients {
		minutes += cutting(in, b.factor.Float())
	}
	name := wording.Of("Weigh and cut")
	if comp.Name != "" {
		name = wording.Of("Weigh and cut for %v", comp.Name)
	}
	return Task{ID: fmt.Sprintf("c%d.prep", c), Component: c, Name: name, Kind: Prep, Minutes: max(1, int(minutes+0.5)),
		Guess: true, Source: source, Attended: recipe.Attended, Holds: NoLimit}, true
}

// cutting is how long the preparation of one ingredient takes beyond weighing.
func cutting(in recipe.Ingredient, factor float64) float64 {
	if in.Preparation == "" {
		return 0
	}
	h, ok := habitIn(in.Preparation + " " + in.Name)
	if !ok {
		return max(1, factor)
	}
	n := max(1, factor)
	if in.Unit == "" || in.Unit == "clove" || in.Unit == "stalk" {
		n = max(1, in.Amount.Mid().Float()*factor)
	}
	return min(30, h.minutes*n)
}

// step adds the tasks of one step: one after the other for those of its
// sentences that are work of their own.
func (b *deriver) step(c, k int, st recipe.Step) {
	if t, ok := ovenC(st); ok {
		b.ovenC = t
	}
	if onlyHeatsOven(st) || b.alternative(c, st) {
		return
	}
	for n, cl := range b.clauses(c, b.withoutPreheating(st)) {
		id := fmt.Sprintf("c%d.s%d", c, k)
		if n > 0 {
			id += fmt.Sprintf("-%d", n+1)
		}
		if t, ok := ovenC(cl); ok {
			b.ovenC = t
		}
		switch {
		case onlyHeatsOven(cl):
		case onlyKeeps(cl) && len(b.streams) > 0:
			b.keeping(cl)
		default:
			b.clause(c, k, id, cl, n > 0)
		}
	}
}

// alternative tells whether a step is another way of doing the one before ("or
// 15 minutes at 190 °C"), whose words it then joins.
func (b *deriver) alternative(c int, st recipe.Step) bool {
	words := stems(st.Text)
	if len(words) == 0 || words[0] != "or" && words[0] != "alternatively" || len(b.streams) == 0 {
		return false
	}
	b.tasks[len(b.tasks)-1].Text += " " + st.Text
	return true
}

// clause adds the tasks of one piece of work of a step; more says that it is
// not the step's first.
func (b *deriver) clause(c, k int, id string, st recipe.Step, more bool) {
	needs := b.needs(st, c)
	m := b.mentioned(st, len(needs))
	m.goesOn = m.goesOn || more && !m.meanwhile
	after, s := b.follow(c, st, m)
	b.machine, b.tray = s.machine, s.tray
	parts := b.work(c, id, st)
	s.machine, s.tray = b.machine, b.tray
	for _, p := range needs {
		b.links = append(b.links, wanted{parts[0].ID, p})
	}
	for n, p := range parts {
		if n > 0 {
			after = []string{parts[n-1].ID}
		}
		b.addAfter(c, p, after, n > 0)
	}
	b.keeping(st)
	s.tasks = []string{parts[len(parts)-1].ID}
	if m.bare() {
		b.bare = append(b.bare, parts[0].ID)
	}
	b.streams = append(b.streams, s)
	b.last[c] = b.open()
}

// work is what a step is to do: one task, or an attended start and the rest.
func (b *deriver) work(c int, id string, st recipe.Step) []Task {
	t := Task{ID: id, Component: c, Name: wording.Name(shortName(st.Text)), Text: st.Text, Kind: Cook,
		Attended: recipe.Attended, Machine: b.machineFor(st), Holds: NoLimit, Source: FromRecipe}
	b.machine, b.tray = t.Machine, (b.tray || onTray(st)) && t.Machine != oven
	minutes, ok := given(st)
	if !ok {
		minutes, t.Source = guess(st)
		t.Guess = true
	}
	t.Minutes = min(minutes, longestTask)
	if t.Machine == oven {
		t.OvenC = b.ovenC
		if c, hot := bareOven(st); hot {
			b.ovenC, t.OvenC = c, c
		}
		if t.OvenC == 0 {
			t.OvenC = 180 // no temperature anywhere: a moderate oven
		}
		if !startsWithLetter(shortName(st.Text)) {
			t.Name = wording.Of("Bake")
		}
	}
	b.scale(&t)
	who := attention(st, t.Minutes, ok, t.Machine)
	if t.Machine == "" && who == recipe.Unattended {
		t.Machine = coldPlace(st)
	}
	return splitStep(t, who)
}

// machineFor is what a step takes in the dish's own kitchen.
func (b *deriver) machineFor(st recipe.Step) string {
	m := machineFor(st, b.machine, b.tray)
	if _, hot := bareOven(st); m == "" && hot {
		return oven
	}
	if m == burner && b.dish.Kitchen.Others[fryer] > 0 && deepFries(st) {
		return fryer
	}
	return m
}

// prepsFor are the prep tasks of the components whose ingredients a step uses;
// of its own component where it names none.
func (b *deriver) prepsFor(c int, st recipe.Step) (tasks []string) {
	owners := b.owners(st)
	if len(owners) == 0 {
		owners = []int{c}
	}
	for _, o := range owners {
		if id := fmt.Sprintf("c%d.prep", o); b.index(id) >= 0 {
			tasks = append(tasks, id)
		}
	}
	return tasks
}

// owners lists the components whose ingredients a step uses.
func (b *deriver) owners(st recipe.Step) []int {
	var list []int
	for _, u := range st.Uses {
		for c, comp := range b.dish.Breakdown.Components {
			if u >= 0 && u < len(comp.Ingredients) && !slices.Contains(list, c) {
				list = append(list, c)
			}
			u -= len(comp.Ingredients)
		}
	}
	return list
}

// longestTask keeps a month's ageing from filling the plan: nothing on it is
// longer than two days.
const longestTask = 2 * 24 * 60

// splitStep cuts a step that the cook may leave into its attended start and the
// rest.
func splitStep(t Task, attended recipe.Attention) []Task {
	hands := 0
	switch {
	case attended == recipe.Unattended && t.Minutes >= 5:
		hands = min(2+2*handsIn(t.Text), 12, t.Minutes)
	case attended == recipe.Part && t.Minutes >= 5:
		hands = max(2, t.Minutes/5)
	default:
		return []Task{t}
	}
	start, rest := t, t
	start.ID += "a"
	start.Name = wording.Of("Start: %v", t.Name)
	start.Minutes, start.Guess, start.Source = hands, true, practice
	start.Machine, start.OvenC, start.Loads, start.Batches = "", 0, 0, 0
	if t.Machine != oven && !inTheCold(t.Machine) {
		start.Machine = t.Machine
	}
	rest.Kind = Wait
	rest.Attended = attended
	if attended == recipe.Part {
		rest.Minutes -= hands // the start is part of the cooking
	}
	return []Task{start, rest}
}

func (b *deriver) add(c int, t Task, after []string) { b.addAfter(c, t, after, false) }

// addAfter appends a task; at once means that it must follow without a break.
func (b *deriver) addAfter(c int, t Task, after []string, atOnce bool) {
	for _, id := range after {
		l := Link{ID: id, Max: NoLimit}
		if atOnce {
			l.Max = 0
		}
		t.After = append(t.After, l)
		b.used[id] = true
	}
	if b.opens[c] == "" {
		b.opens[c] = t.ID
	}
	b.last[c] = []string{t.ID}
	b.at[t.ID] = len(b.tasks)
	b.tasks = append(b.tasks, t)
}

func distinct(list []string) []string {
	slices.Sort(list)
	return slices.Compact(list)
}

// meanwhile tells whether a step says that it goes on beside the one before.
func meanwhile(text string) bool {
	s := stems(text)
	return len(s) > 0 && (s[0] == "meanwhile" || s[0] == "while" || (len(s) > 2 && s[0] == "in" && s[1] == "the" && s[2] == "meantime"))
}
