package ballot

// pairs counts, for every two options, the ballots that put the one above the
// other. Options that a ballot leaves out stand below those it names.
func (s *tallySheet) pairs() [][]int {
	n := len(s.options)
	above := square(n)
	listed := make([]int, n)
	for b := range s.len() {
		ballot := s.ballot(b)
		for i, x := range ballot {
			row := above[x]
			for _, y := range ballot[i+1:] {
				row[y]++
			}
			listed[x] = b + 1
		}
		if len(ballot) == n {
			continue
		}
		for y := range n {
			if listed[y] != b+1 {
				for _, x := range ballot {
					above[x][y]++
				}
			}
		}
	}
	return above
}

func square(n int) [][]int {
	m := make([][]int, n)
	for k := range m {
		m[k] = make([]int, n)
	}
	return m
}

// schulze follows M. Schulze, Social Choice and Welfare 36, 267-303, 2011: a
// link counts the ballots of the side that wins the pair, a path is as strong
// as its weakest link, and x beats y where its strongest path to y is stronger
// than the strongest one back. First come all options that nothing beats, then
// those that nothing left beats, and so on; a group stands level.
func (r *Result) schulze(s *tallySheet) {
	r.Pairs = s.pairs()
	r.Paths = strongestPaths(r.Pairs)
	left := make([]int, len(s.options))
	for k := range left {
		left[k] = k
	}
	for len(left) > 0 {
		var level, rest []int
		for _, x := range left {
			if beaten(x, left, r.Paths) {
				rest = append(rest, x)
			} else {
				level = append(level, x)
			}
		}
		r.place(s, level)
		left = rest
	}
}

func beaten(x int, left []int, paths [][]int) bool {
	for _, y := range left {
		if paths[y][x] > paths[x][y] {
			return true
		}
	}
	return false
}

// strongestPaths is the widest-path form of Floyd and Warshall's algorithm.
func strongestPaths(pairs [][]int) [][]int {
	n := len(pairs)
	p := square(n)
	for x := range n {
		for y := range n {
			if pairs[x][y] > pairs[y][x] {
				p[x][y] = pairs[x][y]
			}
		}
	}
	for via := range n {
		for x := range n {
			if x == via {
				continue
			}
			for y := range n {
				if y != x && y != via {
					p[x][y] = max(p[x][y], min(p[x][via], p[via][y]))
				}
			}
		}
	}
	return p
}
