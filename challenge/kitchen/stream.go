package kitchen

import (
	"maps"
	"slices"

	"fairladle/challenge/recipe"
)

// A stream is what lies in one bowl, pan or tray while a method goes on: a step
// either begins a stream of its own or takes up those that its words mean.
type stream struct {
	tasks   []string        // that nothing has followed yet
	uses    map[int]bool    // ingredients in it, without seasoning and fat
	words   map[string]bool // foods and made things, by their stems
	vessels map[string]bool
	machine string // of its last task
	tray    bool   // it lies on something for the oven
	blank   bool   // it names nothing
	hot     bool   // a pan that waits for what goes in
	knife   bool   // cut, and not yet in anything
	used    bool   // some of what is cut is in something
}

// follow decides what a step waits for. It takes the streams that the step goes
// on with off the table, and returns them as one with the step's own words;
// without any, the step waits for nothing but the component's prep.
func (b *deriver) follow(c int, st recipe.Step, m mention) (after []string, s stream) {
	s = stream{uses: map[int]bool{}, words: map[string]bool{}, vessels: map[string]bool{}, knife: m.knife, hot: m.heats,
		blank: len(m.leaves)+len(m.vessels)+len(m.another) == 0}
	taken := b.taken(m)
	var rest []stream
	for i, o := range b.streams {
		if !slices.Contains(taken, i) {
			rest = append(rest, o)
			continue
		}
		after = append(after, o.tasks...)
		if o.knife && !m.knife && m.means(o) {
			o.used = true
			rest = append(rest, o)
			continue
		}
		s.machine, s.tray = o.machine, o.tray
		maps.Copy(s.uses, o.uses)
		maps.Copy(s.words, o.words)
		maps.Copy(s.vessels, o.vessels)
	}
	b.streams = rest
	for _, u := range m.uses {
		s.uses[u] = true
	}
	for _, w := range slices.Concat(m.leaves, m.faint) {
		s.words[w] = true
	}
	for _, v := range slices.Concat(m.vessels, m.another) {
		s.vessels[v] = true
	}
	if len(after) == 0 {
		after = b.prepsFor(c, st)
	}
	return b.direct(after), s
}

// direct leaves out what another of the tasks waits for already.
func (b *deriver) direct(tasks []string) []string {
	seen := map[string]bool{}
	var visit func(id string)
	visit = func(id string) {
		for _, l := range b.tasks[b.index(id)].After {
			if !seen[l.ID] {
				seen[l.ID] = true
				visit(l.ID)
			}
		}
	}
	for _, id := range tasks {
		visit(id)
	}
	return slices.DeleteFunc(distinct(tasks), func(id string) bool { return seen[id] })
}

// taken are the streams that a step goes on with: those that it names, and the
// last one unless the step only prepares what it names, or begins anew.
func (b *deriver) taken(m mention) []int {
	last := len(b.streams) - 1
	for last >= 0 && b.streams[last].used {
		last--
	}
	if m.all || last < 0 {
		return upTo(len(b.streams) - 1)
	}
	named, unknown := b.named(m)
	switch {
	case m.sequel && len(named) > 0:
		return named
	case m.sequel && b.heated() >= 0:
		last = b.heated()
	case len(named) == 0 && (m.meanwhile || m.begins && !m.goesOn && !unknown):
		return nil
	case len(named) > 0 && (m.meanwhile || m.alone || m.object && (m.begins || b.streams[last].knife)) && !m.goesOn:
		return named
	}
	return distinctInts(append(named, last))
}

// named are the streams that a step means by an ingredient, a made thing or a
// vessel; a made thing and a vessel are those of the last stream that has one.
// It also tells whether the step means a made thing that no stream has.
func (b *deriver) named(m mention) (list []int, unknown bool) {
	lastOf := func(has func(stream) bool) bool {
		for i := len(b.streams) - 1; i >= 0; i-- {
			if has(b.streams[i]) {
				list = append(list, i)
				return true
			}
		}
		return false
	}
	for i, s := range b.streams {
		if m.means(s) {
			list = append(list, i)
		}
	}
	for _, w := range m.made {
		found := lastOf(func(s stream) bool { return s.words[w] }) || slices.Contains(ofFlour, w) && lastOf(stream.holdsDough)
		unknown = unknown || !found && !m.mixes
	}
	if m.hob && len(m.vessels) == 0 {
		lastOf(func(s stream) bool { return s.hot })
	}
	if len(m.seeks) == 0 && len(m.another) == 0 {
		for _, w := range m.faint {
			lastOf(func(s stream) bool { return s.words[w] && !s.hot })
		}
	}
	for _, v := range m.vessels {
		_ = lastOf(func(s stream) bool { return s.vessels[v] }) || lastOf(func(s stream) bool { return s.hot })
	}
	return distinctInts(list), unknown
}

// ofFlour are words for one thing at several of its stages.
var ofFlour = []string{"dough", "pastry", "crust", "batter", "flour"}

func (s stream) holdsDough() bool {
	return slices.ContainsFunc(ofFlour, func(w string) bool { return s.words[w] })
}

// heated is the last stream that is not only cut, or -1.
func (b *deriver) heated() int {
	for i := len(b.streams) - 1; i >= 0; i-- {
		if !b.streams[i].knife {
			return i
		}
	}
	return -1
}

// means tells whether a step names something of a stream. What says nothing of
// itself ("pat the cubes dry") is meant by the next step that names a food.
func (m mention) means(s stream) bool {
	return s.blank && len(m.seeks) > 0 ||
		slices.ContainsFunc(m.uses, func(u int) bool { return s.uses[u] }) ||
		slices.ContainsFunc(m.seeks, func(w string) bool { return s.words[w] })
}

// open are the tasks of all streams, which whatever comes after the component
// waits for.
func (b *deriver) open() (tasks []string) {
	for _, s := range b.streams {
		if !s.used {
			tasks = append(tasks, s.tasks...)
		}
	}
	return distinct(tasks)
}

// gather puts what no step has named again into the next that names nothing:
// "bake for an hour" bakes all that lies there. What is left waits for the plate.
func (b *deriver) gather(c int) {
	for i := 0; i < len(b.streams)-1; i++ {
		s := b.streams[i]
		if s.used {
			continue
		}
		from := b.index(s.tasks[0])
		k := slices.IndexFunc(b.bare, func(id string) bool { return b.index(id) > from })
		if k < 0 {
			continue
		}
		for _, id := range s.tasks {
			b.link(b.bare[k], id)
		}
		b.streams[i].used = true
	}
	b.last[c] = b.open()
}

// bare tells whether a step names nothing that it works on.
func (m mention) bare() bool {
	return !m.object && len(m.uses)+len(m.seeks)+len(m.made)+len(m.vessels)+len(m.another) == 0
}

func upTo(n int) (list []int) {
	for i := range n + 1 {
		list = append(list, i)
	}
	return list
}

func distinctInts(list []int) []int {
	slices.Sort(list)
	return slices.Compact(list)
}
