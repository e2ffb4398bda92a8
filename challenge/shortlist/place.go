package shortlist

import (
	"math"
	"slices"
)

// level is how near two scores must lie to count as the same: far above
// rounding errors, far below any difference between marks.
const level = 1e-9

// order sorts the lines and numbers the ranks.
func (s *Shortlist) order() {
	slices.SortStableFunc(s.Lines, func(a, b Line) int {
		switch {
		case (a.Readings > 0) != (b.Readings > 0):
			return b2i(b.Readings > 0) - b2i(a.Readings > 0)
		case a.Score > b.Score:
			return -1
		case a.Score < b.Score:
			return 1
		}
		return 0
	})
	lines := s.Lines
	for lo := 0; lo < len(lines); {
		hi := lo + 1
		for hi < len(lines) && lines[hi].Readings > 0 && lines[hi-1].Score-lines[hi].Score <= level {
			hi++
		}
		slices.SortStableFunc(lines[lo:hi], func(a, b Line) int {
			switch {
			case a.Keep != b.Keep:
				return b.Keep - a.Keep
			case a.Out != b.Out:
				return a.Out - b.Out
			}
			return a.at - b.at // rounding must not order what is level
		})
		lo = hi
	}
	for n := range lines {
		if lines[n].Readings == 0 {
			continue
		}
		lines[n].Rank = n + 1
		if n > 0 && lines[n].levelWith(lines[n-1]) {
			lines[n].Rank = lines[n-1].Rank
			lines[n].Tied, lines[n-1].Tied = true, true
		}
	}
}

func (l Line) levelWith(m Line) bool {
	return l.Readings > 0 && m.Readings > 0 && math.Abs(l.Score-m.Score) <= level && l.Keep == m.Keep && l.Out == m.Out
}

func b2i(b bool) int {
	if b {
		return 1
	}
	return 0
}

// read is the number of lines with a reading.
func (s *Shortlist) read() int {
	n := 0
	for _, l := range s.Lines {
		if l.Readings > 0 {
			n++
		}
	}
	return n
}

// cut marks who is in.
func (s *Shortlist) cut() {
	read := s.read()
	if read <= s.Size {
		for n := range read {
			s.Lines[n].In = true
		}
		return
	}
	lo, hi := s.Size, s.Size
	for lo > 0 && s.Lines[lo-1].Rank == s.Lines[s.Size].Rank {
		lo--
	}
	for hi < read && s.Lines[hi].Rank == s.Lines[s.Size].Rank {
		hi++
	}
	last := lo
	if lo < s.Size {
		switch s.Rule.AtCut {
		case TakeAll:
			last = hi
		case TakeDraw:
			s.Places = s.Size - lo
			for _, l := range s.Lines[lo:hi] {
				s.Undecided = append(s.Undecided, l.Entry)
			}
		}
	}
	for n := range last {
		s.Lines[n].In = true
	}
}

// Drawn fills the open places by the order of a recorded draw. Who does not
// wait for a place any more is passed over, and places that nobody drawn takes
// stay empty.
func (s Shortlist) Drawn(order []int64) Shortlist {
	s.Lines = slices.Clone(s.Lines)
	for _, entry := range order {
		if s.Places == 0 || !slices.Contains(s.Undecided, entry) {
			continue
		}
		for n := range s.Lines {
			if s.Lines[n].Entry == entry {
				s.Lines[n].In = true
			}
		}
		s.Places--
	}
	s.Undecided, s.Places = nil, 0
	s.Words = s.sentences()
	return s
}

// Chosen is the entries that are in, the best first.
func (s Shortlist) Chosen() []int64 {
	var in []int64
	for _, l := range s.Lines {
		if l.In {
			in = append(in, l.Entry)
		}
	}
	return in
}

// near lists entries that another reading could carry over the cut: closer to
// it than one standard error of their score or, where no error is known, level
// with the last one in or the first one out. Fewest readings first, then those
// on which readers are split, then the closest.
func (s *Shortlist) near() {
	read := s.read()
	if read <= s.Size {
		return
	}
	border := (s.Lines[s.Size-1].Score + s.Lines[s.Size].Score) / 2
	reach := (s.Lines[s.Size-1].Score - s.Lines[s.Size].Score) / 2
	var near []Line
	for _, l := range s.Lines[:read] {
		if math.Abs(l.Score-border) <= max(l.SE, reach)+level {
			near = append(near, l)
		}
	}
	slices.SortStableFunc(near, func(a, b Line) int {
		da, db := math.Abs(a.Score-border), math.Abs(b.Score-border)
		switch {
		case a.Readings != b.Readings:
			return a.Readings - b.Readings
		case a.Split != b.Split:
			return b2i(b.Split) - b2i(a.Split)
		case da < db-level:
			return -1
		case da > db+level:
			return 1
		}
		return 0
	})
	for _, l := range near {
		s.Near = append(s.Near, l.Entry)
	}
}
