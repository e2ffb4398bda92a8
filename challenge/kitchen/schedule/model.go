package schedule

import (
	"math/rand/v2"
	"slices"
)

// model is a problem written for the engine.
type model struct {
	p    *Problem
	e    *engine
	cost []int32   // by level: the variable of its cost
	dist [][]int32 // longest known start-to-start wait, or nil where too many tasks
	unit [][]int32 // by task: one variable a unit, where it has a choice
	bad  bool      // contradiction found while building
	rng  *rand.Rand
}

// closureSize is the number of tasks up to which all waits between pairs are
// worked out (cubic time) and pairs get a variable that orders them.
const closureSize = 400

func newEngine() *engine {
	return &engine{
		actInc: 1, clauseIn: 1,
		ana: analysis{strong: map[int32]int32{}, levels: map[int32]bool{}},
	}
}

// build writes the problem as variables and constraints. Variable i is the start
// of task i.
func build(p *Problem, seed uint64) *model {
	m := &model{p: p, e: newEngine(), rng: rand.New(rand.NewPCG(seed, 0x5eed))}
	for i, t := range p.Tasks {
		lo, hi := t.Earliest, p.latest(i)
		if lo > hi {
			m.bad = true
			hi = lo
		}
		m.e.newVar(lo, hi)
	}
	for _, a := range p.Arcs {
		if a.From == a.To {
			m.bad = m.bad || a.Wait > 0
			continue
		}
		m.e.addEdge(2*int32(a.From), 2*int32(a.To), int32(a.Wait), noAtom)
	}
	m.closed()
	m.closure()
	if !m.bad {
		m.capacities()
		m.states()
		m.pairs()
	}
	for _, l := range p.Levels {
		m.level(l)
	}
	m.e.heap.grow(len(m.e.act))
	for v := range m.e.act {
		m.e.heap.push(m.e.act, int32(v))
	}
	m.bad = m.bad || !m.first()
	return m
}

// first looks at every constraint once.
func (m *model) first() bool {
	e := m.e
	for id := range e.edges {
		if !e.relax(int32(id)) {
			return false
		}
	}
	for k := range e.sums {
		if !e.relaxSum(&e.sums[k]) {
			return false
		}
	}
	for v := range e.closed {
		if e.closed[v] != nil && (!e.skipClosed(int32(2*v)) || !e.skipClosed(int32(2*v+1))) {
			return false
		}
	}
	for k, c := range e.cumuls {
		if !c.dirty {
			c.dirty = true
			e.dirty = append(e.dirty, int32(k))
		}
	}
	return e.propagate()
}

// closed works out the starts that closing times forbid to each task.
func (m *model) closed() {
	for i, t := range m.p.Tasks {
		var spans []Interval
		for _, n := range t.Needs {
			for _, c := range m.p.Resources[n.Resource].Closed {
				if t.Duration > 0 && c.From < c.To {
					spans = append(spans, Interval{c.From - t.Duration + 1, c.To})
				}
			}
		}
		m.e.closed[i] = joinSpans(spans)
	}
}

// joinSpans sorts spans and joins those that touch.
func joinSpans(spans []Interval) []Interval {
	slices.SortFunc(spans, func(a, b Interval) int { return a.From - b.From })
	var out []Interval
	for _, s := range spans {
		if n := len(out); n > 0 && s.From <= out[n-1].To {
			out[n-1].To = max(out[n-1].To, s.To)
			continue
		}
		out = append(out, s)
	}
	return out
}

const farApart = -(1 << 28)

// closure fills dist with the longest paths of the arcs (Floyd, Warshall); a
// positive cycle means that no plan exists.
func (m *model) closure() {
	n := len(m.p.Tasks)
	if n > closureSize {
		return
	}
	m.dist = make([][]int32, n)
	for i := range m.dist {
		m.dist[i] = make([]int32, n)
		for j := range m.dist[i] {
			if i != j {
				m.dist[i][j] = farApart
			}
		}
	}
	for _, a := range m.p.Arcs {
		if a.From != a.To {
			m.dist[a.From][a.To] = max(m.dist[a.From][a.To], int32(a.Wait))
		}
	}
	for k := range n {
		for i := range n {
			if m.dist[i][k] <= farApart {
				continue
			}
			for j := range n {
				if d := m.dist[i][k] + m.dist[k][j]; m.dist[k][j] > farApart && d > m.dist[i][j] {
					m.dist[i][j] = d
				}
			}
		}
	}
	for i := range n {
		m.bad = m.bad || m.dist[i][i] > 0
	}
}

// ordered tells whether the arcs alone keep i and j apart in some order.
func (m *model) ordered(i, j int) bool {
	return m.dist != nil &&
		(int(m.dist[i][j]) >= m.p.Tasks[i].Duration || int(m.dist[j][i]) >= m.p.Tasks[j].Duration)
}

// capacities adds the renewable resources; one with several units gets one
// profile for each of them, in which tasks count where they have chosen it.
func (m *model) capacities() {
	m.unit = make([][]int32, len(m.p.Tasks))
	for r, res := range m.p.Resources {
		list := make([]*cumul, res.units())
		for k := range list {
			list[k] = &cumul{cap: int32(res.Capacity)}
		}
		for i, t := range m.p.Tasks {
			for _, n := range t.Needs {
				if n.Resource == r {
					m.place(i, n, list)
				}
			}
		}
		for _, c := range list {
			m.addCumul(c)
		}
	}
}

func (m *model) place(i int, n Need, list []*cumul) {
	u := use{v: int32(i), dur: int32(m.p.Tasks[i].Duration), amount: int32(n.Amount), cond: noAtom}
	if u.amount > list[0].cap && u.dur > 0 {
		m.bad = true
	}
	counts := u.amount > 0 && u.dur > 0
	if len(list) == 1 {
		if counts {
			list[0].items = append(list[0].items, u)
		}
		return
	}
	var choice []atom
	for range list {
		v := m.e.newVar(0, 1)
		m.unit[i] = append(m.unit[i], v)
		choice = append(choice, atLeast(v, 1))
	}
	m.bad = m.bad || !m.e.addClause(choice...)
	for k, c := range list {
		for o := range k {
			m.bad = m.bad || !m.e.addClause(choice[k].not(), choice[o].not())
		}
		u.cond = choice[k]
		if counts {
			c.items = append(c.items, u)
		}
	}
}

func (m *model) addCumul(c *cumul) {
	if len(c.items) < 2 {
		return
	}
	id := int32(len(m.e.cumuls))
	m.e.cumuls = append(m.e.cumuls, c)
	for _, u := range c.items {
		m.e.rowCumuls[2*u.v] = append(m.e.rowCumuls[2*u.v], id)
		m.e.rowCumuls[2*u.v+1] = append(m.e.rowCumuls[2*u.v+1], id)
		if u.cond.row >= 0 {
			m.e.rowCumuls[u.cond.row] = append(m.e.rowCumuls[u.cond.row], id)
		}
	}
}

// either adds "i ends w before j or j ends v before i" under one variable.
func (m *model) either(i, j, ij, ji int) {
	b := m.e.newVar(0, 1)
	m.e.addEdge(2*int32(i), 2*int32(j), int32(ij), atLeast(b, 1))
	m.e.addEdge(2*int32(j), 2*int32(i), int32(ji), atMost(b, 0))
}

// pairs adds an order variable for every two tasks whose demands together are
// more than a resource has.
func (m *model) pairs() {
	n := len(m.p.Tasks)
	if n > closureSize {
		return
	}
	for i := range n {
		for j := range i {
			if !m.ordered(i, j) && m.clash(i, j) {
				m.either(i, j, m.p.Tasks[i].Duration, m.p.Tasks[j].Duration)
			}
		}
	}
}

func (m *model) clash(i, j int) bool {
	a, b := m.p.Tasks[i], m.p.Tasks[j]
	if a.Duration == 0 || b.Duration == 0 {
		return false
	}
	for _, x := range a.Needs {
		for _, y := range b.Needs {
			res := m.p.Resources[x.Resource]
			if x.Resource != y.Resource || res.units() > 1 {
				continue
			}
			if x.Amount+y.Amount > res.Capacity && (!res.HasStates() || x.State == y.State) {
				return true
			}
		}
	}
	return false
}

// states keeps tasks that want different states of one unit apart by the time
// that the change takes.
func (m *model) states() {
	for r, res := range m.p.Resources {
		if !res.HasStates() {
			continue
		}
		type one struct{ task, state int }
		var uses []one
		for i, t := range m.p.Tasks {
			for _, n := range t.Needs {
				if n.Resource != r {
					continue
				}
				for _, o := range uses {
					if o.state != n.State {
						m.apart(i, o.task, res.Setup[n.State][o.state], res.Setup[o.state][n.State])
					}
				}
				uses = append(uses, one{i, n.State})
			}
		}
	}
}

func (m *model) apart(i, j, ij, ji int) {
	wij, wji := m.p.Tasks[i].Duration+ij, m.p.Tasks[j].Duration+ji
	if m.dist != nil && (int(m.dist[i][j]) >= wij || int(m.dist[j][i]) >= wji) {
		return
	}
	if m.unit[i] == nil || m.unit[j] == nil {
		m.either(i, j, wij, wji)
		return
	}
	first, second := m.e.newVar(0, 1), m.e.newVar(0, 1)
	m.e.addEdge(2*int32(i), 2*int32(j), int32(wij), atLeast(first, 1))
	m.e.addEdge(2*int32(j), 2*int32(i), int32(wji), atLeast(second, 1))
	for k := range m.unit[i] {
		m.bad = m.bad || !m.e.addClause(atMost(m.unit[i][k], 0), atMost(m.unit[j][k], 0),
			atLeast(first, 1), atLeast(second, 1))
	}
}

// level adds the cost variable of a level: cost >= start(To) - start(From) - Max.
func (m *model) level(l Level) {
	worst := 0
	for _, k := range l.Limits {
		hi, lo := 0, 0
		if k.To != Origin {
			hi = int(m.e.ub(int32(k.To)))
		}
		if k.From != Origin {
			lo = int(m.e.lb(int32(k.From)))
		}
		worst = max(worst, hi-lo-k.Max)
	}
	x := m.e.newVar(0, worst)
	m.cost = append(m.cost, x)
	for _, k := range l.Limits {
		rows := []int32{2 * x}
		if k.To != Origin {
			rows = append(rows, 2*int32(k.To)+1)
		}
		if k.From != Origin {
			rows = append(rows, 2*int32(k.From))
		}
		m.e.addSum(int32(-k.Max), rows...)
	}
}

// plan reads off a plan once every variable is fixed.
func (m *model) plan() Plan {
	n := len(m.p.Tasks)
	plan := Plan{Start: make([]int, n), Unit: make([]int, n)}
	for i := range n {
		plan.Start[i] = int(m.e.lb(int32(i)))
		if m.unit == nil {
			continue
		}
		for k, v := range m.unit[i] {
			if m.e.lb(v) == 1 {
				plan.Unit[i] = k
			}
		}
	}
	return plan
}
