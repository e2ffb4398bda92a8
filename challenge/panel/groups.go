package panel

// Groups says which items and raters hang together: a rater links all items
// that he or she marked. Group numbers count from 0 in the order of the raters.
type Groups struct {
	Count int
	Item  []int // group of each item
	Rater []int // group of each rater
}

func (g Groups) raterCounts() []int {
	n := make([]int, g.Count)
	for _, c := range g.Rater {
		n[c]++
	}
	return n
}

// Connected lists the groups of a table; one group means that every two items
// can be compared, directly or through others.
func Connected(t *Table) Groups { return groups(t) }

func groups(t *Table) Groups {
	parent := make([]int, len(t.Raters))
	for j := range parent {
		parent[j] = j
	}
	find := func(j int) int {
		for parent[j] != j {
			parent[j] = parent[parent[j]]
			j = parent[j]
		}
		return j
	}
	for i := range t.Items {
		row := t.of(i)
		for _, c := range row[1:] {
			a, b := find(int(row[0].rater)), find(int(c.rater))
			parent[max(a, b)] = min(a, b)
		}
	}
	g := Groups{Item: make([]int, len(t.Items)), Rater: make([]int, len(t.Raters))}
	number := map[int]int{}
	for j := range t.Raters {
		root := find(j)
		if _, known := number[root]; !known {
			number[root] = g.Count
			g.Count++
		}
		g.Rater[j] = number[root]
	}
	for i := range t.Items {
		g.Item[i] = g.Rater[t.of(i)[0].rater]
	}
	return g
}
